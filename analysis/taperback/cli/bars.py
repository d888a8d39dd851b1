"""The bar that a terminal shows while files are read."""

from __future__ import annotations

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn


def bar_of(what: str, of: str) -> Progress:
    """A bar that says what is done, how many of how many, of what, and how long it will take."""
    columns = (
        TextColumn(what),
        BarColumn(),
        MofNCompleteColumn(),
        TextColumn(of),
        TimeRemainingColumn(),
    )
    return Progress(*columns, console=Console(stderr=True), transient=True)
