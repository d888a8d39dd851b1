"""What a command says: whole lines, in which no word can be a code for the terminal."""

from __future__ import annotations

import os
import shlex
from pathlib import Path

import typer

from taperback.common.lines import printable


def tell(line: str, *, error: bool = False) -> None:
    """Says one line, on the error stream where something is wrong."""
    typer.echo(printable(line), err=error)


def line_of(command: str, folder: Path) -> str:
    """The command for a folder as it can be pasted into a shell, whatever the folder is called.

    >>> line_of("check", Path("seasons"))
    'taperback check seasons'
    """
    text = str(folder)
    if os.name == "nt":
        return f'taperback {command} "{text}"' if " " in text else f"taperback {command} {text}"
    return f"taperback {command} {shlex.quote(text)}"
