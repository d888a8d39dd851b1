"""The files of a report: put in place all or none, whatever stops it halfway."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from taperback.common.files.whole_files import put_whole


def write_files(out: Path, texts: Mapping[str, str], first: str) -> tuple[Path, ...]:
    """Where the files are: written into `out`, one a name of `texts`, in that order.

    The one named `first` is put there first, since by it the others are known as ours if anything
    stops this halfway. What is there already stays whole until the new files are written.
    """
    out.mkdir(parents=True, exist_ok=True)
    order = sorted(texts, key=lambda name: name != first)
    put_whole({out / name: texts[name].encode("utf-8", errors="replace") for name in order})
    return tuple(out / name for name in texts)
