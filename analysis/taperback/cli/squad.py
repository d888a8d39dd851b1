"""`taperback squad`: a coach's folder of athletes becomes one page and a report for each."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from taperback.cli.progress import squad_bar
from taperback.cli.review import Outcome, readers_at, refuse_foreign_files
from taperback.errors import UsageError
from taperback.lines import printable
from taperback.notices import Level
from taperback.report.page import write_report
from taperback.report.squad_page import SQUAD_FILES, write_squad
from taperback.squad.model import Squad
from taperback.squad.review import athlete_folders, review_squad
from taperback.study import Study


def squad(
    folder: Annotated[Path, typer.Argument(help="Holds one folder for each athlete.")],
    out: Annotated[Path, typer.Option(help="Folder that the reports are written into.")],
    anonymous: Annotated[
        bool,
        typer.Option("--anonymous", help="One page for showing: no name, day or link in it."),
    ] = False,
    outcome: Annotated[
        Outcome, typer.Option(help="What leads each athlete's own report.")
    ] = Outcome.RESULT,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over files that Taperback did not write.")
    ] = False,
    workers: Annotated[
        int | None, typer.Option(min=1, help="Processes to work with; one a core by default.")
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(help="Address of a Dask scheduler whose workers read the files instead."),
    ] = None,
) -> None:
    """Review every athlete of a folder, and write one page for their coach.

    Each athlete gets a report of their own, which holds nothing of anyone else.

    Example: taperback squad my-athletes --out squad-report
    """
    folders = athlete_folders(folder)
    if not replace:
        _refuse(out, [] if anonymous else [path.name for path in folders])
    with readers_at(scheduler) as cluster, squad_bar() as progress:
        found = review_squad(
            folder,
            outcome=outcome.value,
            workers=workers,
            cluster=cluster,
            each=None if anonymous else WriteReport(out),
            progress=progress,
        )
    paths = write_squad(found, out, nameless=anonymous)
    faults = _say(found)
    typer.echo(f"squad: {printable(str(paths[0]))}")
    if faults:
        raise typer.Exit(1)


@dataclass(frozen=True)
class WriteReport:
    """Writes an athlete's own report into a folder of the athlete's name, in any process."""

    out: Path

    def __call__(self, key: str, study: Study) -> None:
        """Writes one report."""
        write_report(study, self.out / key)


def _say(found: Squad) -> bool:
    """One line for each thing that is wrong or could not be used; whether something is wrong."""
    for notice in found.left_out:
        typer.echo(str(notice), err=True)
    for member in found.members:
        for notice in member.notices:
            typer.echo(str(notice.at(f"{member.key}/{notice.file}")), err=True)
    return bool(found.left_out) or any(
        notice.level is Level.FAULT for member in found.members for notice in member.notices
    )


def _refuse(out: Path, keys: list[str]) -> None:
    """Nothing is written over that is not an earlier report of ours."""
    there = [name for name in SQUAD_FILES if (out / name).exists()]
    if there and not _is_ours(out / "squad.json"):
        raise UsageError(
            f"{out} holds a {there[0]} that Taperback did not write; "
            "choose another --out, or add --replace to write over it"
        )
    for key in keys:
        refuse_foreign_files(out / key)


def _is_ours(path: Path) -> bool:
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(told, dict) and "squad_schema_version" in told
