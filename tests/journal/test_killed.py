"""Killed while a journal is written: every file is the old one or the new one, never half."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import taperback

PROGRAM = Path(__file__).with_name("killed.py")


BEGUN, KEPT = ("athlete.toml", "sessions.csv"), ("races.csv", "nights.csv", "days.csv")
"""Files that were not there before, and files that were."""


@pytest.fixture(scope="module")
def kills() -> list[dict]:
    """What each of some hundred killed writers left behind, `killed.py` tells of it."""
    ran = subprocess.run(
        [sys.executable, PROGRAM],
        env=os.environ | {"PYTHONPATH": str(Path(taperback.__file__).parents[1])},
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    return [json.loads(line) for line in ran.stdout.splitlines()]


def test_processes_are_killed_at_every_step_of_the_writing(kills: list[dict]) -> None:
    died = [kill for kill in kills if kill["killed"]]
    assert len([kill for kill in died if kill["moment"].startswith("our line")]) > 60
    assert len([kill for kill in died if kill["moment"].startswith("line")]) > 60
    assert len([kill for kill in died if kill["moment"].endswith("of the time")]) > 5
    states = {"".join(file["is"][0] for file in kill["left"].values()) for kill in died}
    written = len(BEGUN) + len(KEPT)
    between = {"n" * done + "o" * (written - done) for done in range(written + 1)}
    assert states == between, "the moments fall before, between and after"


def test_every_file_is_old_or_new_and_never_half(kills: list[dict]) -> None:
    for kill in kills:
        for name, file in kill["left"].items():
            assert file["is"] in ("old", "new"), (kill["moment"], name)


def test_before_a_file_is_new_its_first_version_is_kept_whole(kills: list[dict]) -> None:
    for kill in kills:
        for name, file in kill["left"].items():
            assert file["backup"] in ("none", "old"), (kill["moment"], name)
            if file["is"] == "new" and name in KEPT:
                assert file["backup"] == "old", (kill["moment"], name)


def test_the_next_run_finishes_what_was_begun(kills: list[dict]) -> None:
    for kill in kills:
        assert {file["is"] for file in kill["then"].values()} == {"new"}, kill["moment"]
        backups = {name: file["backup"] for name, file in kill["then"].items()}
        assert backups == dict.fromkeys(BEGUN, "none") | dict.fromkeys(KEPT, "old"), kill["moment"]
