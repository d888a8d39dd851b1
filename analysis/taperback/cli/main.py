"""The command `taperback`: its words, and the one place where an error becomes a line and a code.

Exit codes: 0 an answer was given; 1 the input is at fault; 2 the command's words do not fit.
"""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from taperback import __version__
from taperback.cli.check import check
from taperback.cli.draft import draft
from taperback.cli.explain import explain
from taperback.cli.review import review
from taperback.cli.squad import squad
from taperback.errors import TaperbackError, UsageError
from taperback.lines import printable

EXIT_CODES = (
    "Exit codes: 0, an answer was given; 1, something in the folder should be put right; 2, the "
    "command's words do not fit; 130, it was stopped."
)

app = typer.Typer(
    name="taperback",
    help="Look back at an athlete's race weeks and find what worked for that athlete.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.command()(review)
app.command()(check)
app.command()(explain)
app.command()(draft)
app.command()(squad)


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"taperback {__version__}")
        raise typer.Exit


@app.callback(epilog=EXIT_CODES)
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say which version.")
    ] = False,
) -> None:
    """Look back at an athlete's race weeks and find what worked for that athlete."""


def run() -> None:
    """Runs the command; whatever goes wrong on purpose is one line."""
    try:
        app()
    except TaperbackError as error:
        typer.echo(f"taperback: {printable(str(error))}", err=True)
        sys.exit(2 if isinstance(error, UsageError) else 1)
    except OSError as error:
        where = f" ({printable(str(error.filename))})" if error.filename else ""
        reason = (error.strerror or "a file cannot be used").lower()
        typer.echo(f"taperback: {reason}{where}; check the disk and its permissions", err=True)
        sys.exit(1)
    except KeyboardInterrupt:
        typer.echo("taperback: stopped; what was read so far is kept for the next run", err=True)
        sys.exit(130)
