"""The words of each command: its arguments, its options and its help.

What a command does lies in the module of its name, which loads tables and statistics; that is
loaded when the command is called, so that help, the version, completion and wrong words come at
once.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from taperback.cli.folders import expect_folder


class Outcome(StrEnum):
    """What race weeks are related to."""

    RESULT = "result"
    RPE = "rpe"


Folder = Annotated[Path, typer.Argument(help="One athlete's folder.", readable=False)]
Replace = Annotated[
    bool, typer.Option("--replace", help="Write over files that Taperback did not write.")
]
Workers = Annotated[
    int | None, typer.Option(min=1, help="Number of processes; one per core by default.")
]
Scheduler = Annotated[
    str | None,
    typer.Option(help="Address of a Dask scheduler whose workers read the files instead."),
]


def draft(
    folder: Annotated[
        Path, typer.Argument(help="One athlete's folder of activity files.", readable=False)
    ],
    show: Annotated[
        bool, typer.Option("--show", help="Say what would be written, and write nothing.")
    ] = False,
) -> None:
    """Propose the journal from the files: races, nights, trips, and athlete.toml if there is none.

    Rows are added, each with its evidence under "proposed"; nothing typed is changed. Every other
    table that a journal may have is there afterwards with its columns.

    Example: taperback draft my-seasons
    """
    expect_folder(folder)
    from taperback.cli import draft as work

    work.draft(folder, show)


def check(folder: Folder) -> None:
    """List faults, and what is missing.

    File by file what is wrong, and race by race what is unknown and what would make it known.

    Example: taperback check my-seasons
    """
    expect_folder(folder)
    from taperback.cli import check as work

    work.check(folder)


def review(
    folder: Annotated[
        Path,
        typer.Argument(
            help="One athlete: athlete.toml, races.csv and activity files.", readable=False
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            help="Folder that the report is written into.",
            show_default="beside the athlete's, with -report behind its name",
        ),
    ] = None,
    outcome: Annotated[
        Outcome, typer.Option(help="What to rank races by: the race result or the race RPE.")
    ] = Outcome.RESULT,
    show: Annotated[bool, typer.Option("--open", help="Open the report in a browser.")] = False,
    replace: Replace = False,
    workers: Workers = None,
    scheduler: Scheduler = None,
) -> None:
    """Measure every race week of one athlete and write the report.

    Example: taperback review my-seasons --open
    """
    expect_folder(folder)
    from taperback.cli import review as work

    work.review(
        folder,
        out,
        outcome.value,
        show=show,
        replace=replace,
        workers=workers,
        scheduler=scheduler,
    )


def explain(
    folder: Folder,
    race: Annotated[str, typer.Argument(help="The race: its date, or part of its name.")],
    measure: Annotated[
        str, typer.Argument(help='The measure, such as "volume cut", or part of its name.')
    ],
    every_file: Annotated[bool, typer.Option("--all", help="List every file, too.")] = False,
) -> None:
    """Show where one number came from.

    Its rule; usual weeks and race week, each with its sum; its files.

    Example: taperback explain my-seasons 2024-05-19 "volume cut"
    """
    expect_folder(folder)
    from taperback.cli import explain as work

    work.explain(folder, race, measure, every_file=every_file)


def squad(
    folder: Annotated[Path, typer.Argument(help="Holds one folder for each athlete.")],
    out: Annotated[Path, typer.Option(help="Folder that the reports are written into.")],
    anonymous: Annotated[
        bool,
        typer.Option("--anonymous", help="Write one page to share, without names, dates or links."),
    ] = False,
    outcome: Annotated[
        Outcome, typer.Option(help="What to rank each athlete's races by.")
    ] = Outcome.RESULT,
    replace: Replace = False,
    workers: Workers = None,
    scheduler: Scheduler = None,
) -> None:
    """Review every athlete of a folder, and write one page for their coach.

    Each athlete gets a report of their own, which holds nothing of anyone else.

    Example: taperback squad my-athletes --out squad-report
    """
    from taperback.cli import squad as work

    work.squad(
        folder,
        out,
        outcome.value,
        anonymous=anonymous,
        replace=replace,
        workers=workers,
        scheduler=scheduler,
    )
