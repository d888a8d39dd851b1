"""The files of a report: put in place all or none, whatever stops it halfway."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from taperback.common.files.whole_files import put_whole


def as_bytes(texts: Mapping[str, str]) -> dict[str, bytes]:
    """Each text as a file holds it."""
    return {name: text.encode("utf-8", errors="replace") for name, text in texts.items()}


def write_files(out: Path, files: Mapping[str, bytes], first: str) -> tuple[Path, ...]:
    """Where the files are: written into `out`, one a name of `files`, in that order.

    A file that holds nothing is none, and one of that name that an earlier run wrote is taken away.
    The one named `first` is put there first, since by it the others are known as ours if anything
    stops this halfway. What is there already stays whole until the new files are written. What is
    new is for the user alone: it says when somebody trains, sleeps and is away.
    """
    for folder in reversed([out, *out.parents]):
        if not folder.is_dir():
            folder.mkdir(mode=0o700, exist_ok=True)
    order = sorted((name for name in files if files[name]), key=lambda name: name != first)
    put_whole({out / name: files[name] for name in order}, private=True)
    for name in files:
        if not files[name]:
            (out / name).unlink(missing_ok=True)
    return tuple(out / name for name in files if files[name])
