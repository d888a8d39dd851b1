"""What a command says: whole lines, in which no word can be a code for the terminal."""

from __future__ import annotations

import typer

from taperback.common.lines import printable


def tell(line: str, *, error: bool = False) -> None:
    """Says one line, on the error stream where something is wrong."""
    typer.echo(printable(line), err=error)
