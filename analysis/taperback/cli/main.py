"""The command `taperback`, and the one place where an error becomes a line and a code.

Exit codes: 0 an answer was given; 1 the input is at fault; 2 wrong options or arguments. An
interrupt is answered by `__main__`, since it may come before all this is loaded.
"""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from taperback.cli import commands
from taperback.cli.tell import tell
from taperback.common.errors import STOPPED, TaperbackError, UsageError, why_refused
from taperback.common.version import __version__

UNHEARD = 141
"""What a shell gives for a command whose reader went away, as `head` does."""

EXIT_CODES = (
    "Exit codes: 0, an answer was given; 1, something in the folder should be put right; 2, wrong "
    "options or arguments; 130, it was stopped; 141, the program reading the output closed it."
)

app = typer.Typer(
    name="taperback",
    help="Look back at an athlete's race weeks and find what worked for that athlete.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.command()(commands.draft)
app.command()(commands.check)
app.command()(commands.review)
app.command()(commands.explain)
app.command()(commands.squad)


def _version(asked: bool) -> None:
    if asked:
        tell(f"taperback {__version__}")
        raise typer.Exit


@app.callback(epilog=EXIT_CODES)
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Look back at an athlete's race weeks and find what worked for that athlete."""


def run() -> None:
    """Runs the command; whatever goes wrong on purpose is one line.

    Raises:
        KeyboardInterrupt: somebody stopped it.
    """
    try:
        app()
    except TaperbackError as error:
        tell(f"taperback: {error!s}", error=True)
        sys.exit(2 if isinstance(error, UsageError) else 1)
    except OSError as error:
        where = f" ({error.filename!s})" if error.filename else ""
        advice = "check the disk and its permissions"
        tell(f"taperback: {why_refused(error)}{where}; {advice}", error=True)
        sys.exit(1)
    except SystemExit as end:
        if end.code == STOPPED:  # what Typer makes of an interrupt, without a message
            raise KeyboardInterrupt from None
        if isinstance(end.__context__, BrokenPipeError):  # of which Typer makes a 1
            sys.exit(UNHEARD)
        raise
