"""The report as files: the page, the table of race weeks, the study, next time's week."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from taperback.common.sinks import json_text
from taperback.report.calendar_file import next_week_ics
from taperback.report.charts.chart import Charts, make_each
from taperback.report.charts.diary import diary_chart
from taperback.report.charts.effects import effects_chart
from taperback.report.charts.factors import factor_chart
from taperback.report.charts.weeks import scale_of, week_chart
from taperback.report.files import as_bytes, write_files
from taperback.report.render import Section, render
from taperback.report.take_along import next_week_csv, words_csv
from taperback.report.view import Page, page_view
from taperback.study.review import Study
from taperback.study.to_json import to_json

PAGE = "report.html"
REPORT_FILES = (PAGE, "race_weeks.csv", "study.json", "next_week.csv", "next_week.ics")
"""The files of a report; the last is written only where a race is ahead."""

SCRIPTS = ("page.js",)
SECTIONS = (
    Section("rule", "The rule", "rule.html"),
    Section("next", "Next time", "next.html"),
    Section("glance", "Races", "glance.html"),
    Section("weeks", "Race weeks", "weeks.html"),
    Section("factors", "Factors", "factors.html"),
    Section("panic", "Panic training", "panic.html"),
    Section("unused", "Not known", "unused.html"),
    Section("made-from", "Made from", "made_from.html"),
    Section("method", "Method", "method.html"),
)
"""The parts of the page in their order; the frame of every page adds the cautions."""


FIRST = "study.json"
"""The file of a report that is put in place first."""


def write_report(study: Study, out: Path) -> tuple[Path, ...]:
    """Which files the report of a study is: written into `out`, the page first."""
    return write_files(out, report_files(study), first=FIRST)


def report_files(study: Study, *, of_squad: bool = False) -> dict[str, bytes]:
    """The report of a study: name -> what the file holds. The same study gives the same bytes.

    Where no race is ahead, the calendar holds nothing: it is not written, and that of an earlier
    run is taken away, since its days are no advice any more. `of_squad` says that a coach's page
    has a range for the athlete, too.
    """
    texts = (
        page_html(page_view(study, of_squad=of_squad)),
        words_csv(study.table),
        json_text(to_json(study)),
        next_week_csv(study.next_week),
        next_week_ics(study.next_week, study.journal.athlete.name),
    )
    return as_bytes(dict(zip(REPORT_FILES, texts, strict=True)))


def page_html(page: Page) -> str:
    """The page in one piece."""
    return render("page.html", page, charts(page), SECTIONS, SCRIPTS)


def charts(page: Page) -> Charts:
    """Every chart of the page by the id of its place."""
    scale = scale_of(page.strips)
    weeks = {strip.place: partial(week_chart, strip, *scale) for strip in page.strips}
    factors = {view.place: partial(factor_chart, view) for view in page.factors if view.place}
    typed = (strip.diary for strip in page.strips if strip.diary and strip.diary.drawn)
    diaries = {diary.place: partial(diary_chart, diary) for diary in typed}
    picture = page.effects
    effects = {picture.place: partial(effects_chart, picture)} if picture.place else {}
    return make_each({**weeks, **diaries, **effects, **factors})
