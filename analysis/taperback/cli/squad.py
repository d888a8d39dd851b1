"""`taperback squad`: a coach's folder of athletes becomes one page and a report for each."""

from __future__ import annotations

from pathlib import Path

import typer

from taperback.cli.earlier import (
    refuse_foreign_report,
    refuse_foreign_squad,
    refuse_named_reports,
)
from taperback.cli.folders import expect_out
from taperback.cli.progress import squad_bar
from taperback.cli.readers import readers_at
from taperback.cli.tell import tell
from taperback.common.notices import Level
from taperback.report.own_reports import OwnReports
from taperback.report.squad.view import recognisable
from taperback.report.squad_page import write_squad
from taperback.squad.anonymous import anonymous as make_anonymous
from taperback.squad.folders import athlete_folders
from taperback.squad.review import review_squad


def squad(
    folder: Path,
    out: Path,
    outcome: str,
    *,
    anonymous: bool,
    replace: bool,
    workers: int | None,
    scheduler: str | None,
) -> None:
    """Reviews every athlete of a folder, writes their coach's page and says where it lies."""
    folders = athlete_folders(folder)
    for path in (out, *(out / one.name for one in folders if not anonymous)):
        expect_out(path)
    if anonymous:
        refuse_named_reports(out)
    if not replace:
        refuse_foreign_squad(out)
        for path in () if anonymous else folders:
            refuse_foreign_report(out / path.name)
    with readers_at(scheduler) as cluster, squad_bar() as progress:
        found = review_squad(
            folder,
            outcome=outcome,
            workers=workers,
            cluster=cluster,
            reports=None if anonymous else OwnReports(out),
            progress=progress,
        )
    paths = write_squad(found, out, nameless=anonymous)
    wrong = [one.why for one in found.broken]
    for notice in (*found.remarks, *wrong, *found.left_out):
        tell(str(notice), error=True)
    for member in found.members:
        wrong += member.notices
        for notice in member.notices:
            tell(str(notice.at(f"{member.key}/{notice.file}")), error=True)
    tell(f"squad: {paths[0]!s}")
    if anonymous:
        alone = make_anonymous(found).alone_in_numbers or 0
        tell(recognisable(alone, len(found.members)))
    if any(notice.level is Level.FAULT for notice in wrong):
        raise typer.Exit(1)
