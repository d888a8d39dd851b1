"""What a squad keeps of each athlete, so that one of whom nothing has changed is left as it is.

A file for each athlete beside the store of what was read, in the user's cache folder. It is never
the only copy of anything: whatever is wrong with it, the athlete is reviewed anew.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from taperback.common.errors import InputError
from taperback.common.files.plain_file import read_start
from taperback.common.files.whole_files import put_whole
from taperback.common.limits import LIMITS
from taperback.importer.store.codec import NotOursError
from taperback.importer.store.place import store_path, study_path
from taperback.study.rests_on import rests_on


def state(folder: Path, outcome: str) -> bytes:
    """What the athlete's study rests on now, as `rests_on` has it; empty where nobody can tell."""
    try:
        return rests_on(folder, outcome)
    except (InputError, OSError):
        return b""


def load(folder: Path, outcome: str) -> bytes:
    """What was kept of the athlete, packed; empty where nothing was, or the folder has changed.

    Raises:
        NotOursError: what lies there cannot have been kept by us.
    """
    path = study_path(folder, outcome)
    if path is None or not os.path.lexists(path):
        return b""
    most = LIMITS.store.most_bytes_a_study
    try:
        data = read_start(path, most + 1)
    except OSError as error:
        raise NotOursError(str(error)) from error
    if len(data) > most or len(data) < _STATE_BYTES:
        raise NotOursError("of no size that we keep")
    now = state(folder, outcome)
    if not now or data[:_STATE_BYTES] != now:
        return b""
    store_path(folder)  # what the next change starts from stays of use, too
    return data[_STATE_BYTES:]


_STATE_BYTES = 32


def keep(folder: Path, outcome: str, before: bytes, packed: bytes) -> None:
    """Keeps what was packed of a review that began with the folder in the state `before`.

    Nothing is kept of a folder that changed meanwhile, nor where nothing can be.
    """
    path = study_path(folder, outcome)
    if path is None or not before or state(folder, outcome) != before:
        return
    if len(before) + len(packed) <= LIMITS.store.most_bytes_a_study:
        with suppress(OSError):
            put_whole({path: before + packed}, private=True)


def forget(folder: Path, outcome: str) -> None:
    """Takes away what was kept of the athlete."""
    path = study_path(folder, outcome)
    if path is not None:
        with suppress(OSError):
            path.unlink()
