"""`taperback review`: one athlete's folder becomes a report."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from taperback.cli.folders import expect_folder
from taperback.cli.progress import reading_bar
from taperback.errors import UsageError
from taperback.importer.workers import Readers
from taperback.lines import printable
from taperback.notices import Level, Notice
from taperback.report.page import write_report
from taperback.study import review as review_folder

WRITTEN = ("report.html", "race_weeks.csv", "study.json", "next_week.csv")


class Outcome(StrEnum):
    """What race weeks are related to."""

    RESULT = "result"
    RPE = "rpe"


def review(
    folder: Annotated[
        Path,
        typer.Argument(
            help="One athlete: athlete.toml, races.csv and activity files.", readable=False
        ),
    ],
    out: Annotated[Path, typer.Option(help="Folder that the report is written into.")],
    outcome: Annotated[
        Outcome, typer.Option(help="What leads the report: the race result or the race RPE.")
    ] = Outcome.RESULT,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over files that Taperback did not write.")
    ] = False,
    workers: Annotated[
        int | None, typer.Option(min=1, help="Processes that read files; one a core by default.")
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(help="Address of a Dask scheduler whose workers read the files instead."),
    ] = None,
) -> None:
    """Measure every race week of one athlete and write the report.

    Example: taperback review my-seasons --out report
    """
    expect_folder(folder)
    if not replace:
        refuse_foreign_files(out)
    with readers_at(scheduler) as readers, reading_bar() as progress:
        study = review_folder(
            folder, outcome=outcome.value, workers=workers, readers=readers, progress=progress
        )
    paths = write_report(study, out)
    say(study.notices)
    if not study.weeks:
        typer.echo("no race is typed yet: taperback draft proposes races from the files", err=True)
    typer.echo(f"report: {printable(str(paths[0]))}")
    if study.journal.has_faults:
        raise typer.Exit(1)


@contextmanager
def readers_at(scheduler: str | None) -> Iterator[Readers | None]:
    """The readers behind a scheduler's address, or None where none was named."""
    if scheduler is None:
        yield None
        return
    from taperback.importer.cluster import Cluster

    with Cluster(scheduler) as cluster:
        yield cluster


def say(notices: tuple[Notice, ...]) -> None:
    """One line on the error stream for each thing that is wrong or could not be used."""
    for notice in notices:
        if notice.level is not Level.NOTE:
            typer.echo(str(notice), err=True)


def refuse_foreign_files(out: Path) -> None:
    """Files of these names are written over only where they are an earlier report of ours."""
    there = [name for name in WRITTEN if (out / name).exists()]
    if there and not _is_ours(out / "study.json"):
        raise UsageError(
            f"{out} holds a {there[0]} that Taperback did not write; "
            "choose another --out, or add --replace to write over it"
        )


def _is_ours(path: Path) -> bool:
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(told, dict) and "schema_version" in told and "evidence" in told
