"""What an athlete's process leaves behind, in a module that every process can import."""

from __future__ import annotations

import os
from pathlib import Path

from taperback.study.review import Study


def mark(key: str, study: Study, *, into: Path, kills: int) -> None:
    """Notes the athlete; ivo's process dies so many times before it does."""
    tried = into / f"tried-{key}"
    if key == "ivo":
        times = len(tried.read_bytes()) if tried.exists() else 0
        tried.write_bytes(b"x" * (times + 1))
        if times < kills:
            os._exit(9)
    (into / key).write_text(study.journal.athlete.name, encoding="utf-8")


def trip_over_ivo(key: str, study: Study) -> None:
    """Fails at one athlete as nobody foresaw."""
    if key == "ivo":
        raise ZeroDivisionError(study.outcome.asked)
