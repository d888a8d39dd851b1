"""Taperback looks back at an athlete's race weeks and finds what worked for that athlete.

import taperback
study = taperback.review("my-folder")
study.table  # one row a race, every measure
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from taperback.study import Study, review

__version__ = "0.1.0"
__all__ = ["Study", "review"]


def __getattr__(name: str) -> object:
    # Loaded when asked for, so that a worker that reads one file does not load the statistics.
    if name in __all__:
        from taperback import study

        return getattr(study, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
