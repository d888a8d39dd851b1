"""What libraries load that no command needs, and that they stand without."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")

LEFT_OUT = ("formulaic",)
"""The second of two readers of formulas that statsmodels tries to load; no command has a formula,
and the two take longer than its least squares."""


def leave_out() -> None:
    """Lets this process load none of them. A command does so; a process of somebody else's, which
    may have formulas, is left as it is."""
    for name in LEFT_OUT:
        sys.modules.setdefault(name, None)  # type: ignore[arg-type]


def loaded(load: Callable[[], T]) -> T:
    """What `load` gives; where it cannot do without what is left out, that is let in.

    Raises:
        ImportError: it cannot be loaded either way.
    """
    try:
        return load()
    except ImportError:
        for name in LEFT_OUT:
            if name in sys.modules and sys.modules[name] is None:
                del sys.modules[name]
        return load()
