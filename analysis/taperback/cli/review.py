"""`taperback review`: one athlete's folder becomes a report."""

from __future__ import annotations

import webbrowser
from pathlib import Path

import typer

from taperback.cli.check import without_races
from taperback.cli.earlier import refuse_foreign_report
from taperback.cli.folders import expect_out
from taperback.cli.progress import reading_bar
from taperback.cli.readers import readers_at
from taperback.cli.tell import tell
from taperback.common.notices import Level, Notice
from taperback.report.page import write_report
from taperback.report.words.rule import rule_sentence
from taperback.study.review import review as review_folder


def review(
    folder: Path,
    out: Path | None,
    outcome: str,
    *,
    show: bool,
    replace: bool,
    workers: int | None,
    scheduler: str | None,
) -> None:
    """Measures every race week of one athlete, writes the report and says where it lies."""
    out = beside(folder) if out is None else out
    expect_out(out)
    if not replace:
        refuse_foreign_report(out)
    with readers_at(scheduler) as readers, reading_bar() as progress:
        study = review_folder(
            folder, outcome=outcome, workers=workers, readers=readers, progress=progress
        )
    paths = write_report(study, out)
    say(study.notices)
    if study.unconfirmed:
        tell(UNCONFIRMED, error=True)
    elif not study.weeks:
        tell(without_races(study.imported, study.journal, folder), error=True)
    if study.result.rule:
        tell(f"rule: {rule_sentence(study.result.rule, study.next_week)}")
    tell(f"report: {paths[0]}")
    if show:
        webbrowser.open(paths[0].resolve().as_uri())
    if study.imported.many_unread:
        tell(study.imported.many_unread_words, error=True)
    if study.journal.has_faults or study.imported.many_unread:
        raise typer.Exit(1)


UNCONFIRMED = (
    "Nobody has confirmed these races: they are what the files show. taperback draft writes them "
    "to races.csv, where you can put them right."
)


def beside(folder: Path) -> Path:
    """Where a report goes that nobody named a place for: beside the athlete's folder.

    >>> beside(Path("seasons/mara")).as_posix()
    'seasons/mara-report'
    """
    whole = folder if folder.name not in ("", "..") else folder.resolve()
    return whole.with_name(f"{whole.name}-report")


def say(notices: tuple[Notice, ...]) -> None:
    """One line on the error stream for each thing that is wrong or could not be used."""
    for notice in notices:
        if notice.level is not Level.NOTE:
            tell(str(notice), error=True)
