"""Taperback looks back at an athlete's race weeks and finds what worked for that athlete.

    import taperback
    study = taperback.review("my-folder")
    study.table  # a DataFrame with one row per race and every measure
    squad = taperback.review_squad("my-athletes")

A folder that cannot be used raises `InputError`; all errors are of the family `TaperbackError`.
"""

import os
import sys

# `python -m taperback` looks for modules in the current folder first, before the standard library
# even; a folder that was handed over may hold a typing.py. So nothing is imported before this.
if sys.argv[:1] == ["-m"] and "taperback" in sys.orig_argv and not sys.flags.safe_path:
    _here, _ours = sys.path[0], f"{sys.path[0]}{os.sep}taperback"
    if __path__[0] != _ours and os.path.exists(".") and os.path.samefile(_here, "."):  # noqa: PTH110, PTH121
        del sys.path[0]

from importlib import import_module
from typing import TYPE_CHECKING

from taperback.common.errors import InputError, TaperbackError
from taperback.common.files.safe_path import NothingFromHere
from taperback.common.version import __version__

if TYPE_CHECKING:
    from taperback.squad.model import Squad
    from taperback.squad.review import review_squad
    from taperback.study.review import Study, review

__all__ = [
    "InputError",
    "Squad",
    "Study",
    "TaperbackError",
    "__version__",
    "review",
    "review_squad",
]
_HOMES = {
    "Squad": "taperback.squad.model",
    "Study": "taperback.study.review",
    "review": "taperback.study.review",
    "review_squad": "taperback.squad.review",
}


def __getattr__(name: str) -> object:
    # Loaded when asked for, so that a worker that reads one file does not load the statistics.
    if name in _HOMES:
        with NothingFromHere():
            return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return __all__
