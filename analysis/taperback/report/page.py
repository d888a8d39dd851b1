"""The report as files: the page, the table of race weeks, the study, next time's week."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from taperback.report.charts.factors import factor_chart
from taperback.report.charts.weeks import week_chart
from taperback.report.files import json_text, write_files
from taperback.report.render import render
from taperback.report.take_along import next_week_csv, words_csv
from taperback.report.view import Page, page_view
from taperback.study.review import Study
from taperback.study.to_json import to_json

REPORT_FILES = ("report.html", "race_weeks.csv", "study.json", "next_week.csv")


def write_report(study: Study, out: Path) -> tuple[Path, ...]:
    """Which files the report of a study is: written into `out`, the page first.

    The same study gives the same bytes.
    """
    texts = (
        page_html(page_view(study)),
        words_csv(study.table),
        json_text(to_json(study)),
        next_week_csv(study.next_week),
    )
    return write_files(out, dict(zip(REPORT_FILES, texts, strict=True)), first="study.json")


def page_html(page: Page) -> str:
    """The page in one piece."""
    return render("page.html", page, charts(page), ("page.js",))


def charts(page: Page) -> dict[str, Any]:
    """Every chart of the page by the id of its place."""
    most = max((strip.most_hours for strip in page.strips), default=0.0)
    weeks = {f"chart-{strip.race.anchor}": week_chart(strip, most) for strip in page.strips}
    factors = {f"chart-{view.factor}": factor_chart(view) for view in page.factors if view.drawn}
    return {**weeks, **factors}
