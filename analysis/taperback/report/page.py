"""The report as files: the page, the table of race weeks, the study, next time's week."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from taperback.report.factor_chart import factor_chart
from taperback.report.render import render
from taperback.report.take_along import next_week_csv, words_csv
from taperback.report.view import Page, page_view
from taperback.report.week_chart import week_chart
from taperback.study import Study
from taperback.study_json import to_json
from taperback.whole_files import put_whole


def write_report(study: Study, out: Path) -> tuple[Path, ...]:
    """Which files the report of a study is: written into `out`, the page first.

    The same study gives the same bytes. A report that is there already stays whole until the new
    one is written.
    """
    texts = {
        "report.html": page_html(page_view(study)),
        "race_weeks.csv": words_csv(study.table),
        "study.json": json.dumps(to_json(study), ensure_ascii=False, indent=1) + "\n",
        "next_week.csv": next_week_csv(study.next_week),
    }
    out.mkdir(parents=True, exist_ok=True)
    # study.json goes first: by it the others are known as ours if anything stops this halfway.
    names = sorted(texts, key=lambda name: name != "study.json")
    put_whole({out / name: texts[name].encode("utf-8", errors="replace") for name in names})
    return tuple(out / name for name in texts)


def page_html(page: Page) -> str:
    """The page in one piece."""
    return render("page.html", page, charts(page), ("page.js",))


def charts(page: Page) -> dict[str, Any]:
    """Every chart of the page by the id of its place."""
    most = max((strip.most_hours for strip in page.strips), default=0.0)
    weeks = {f"chart-{strip.race.anchor}": week_chart(strip, most) for strip in page.strips}
    factors = {f"chart-{view.factor}": factor_chart(view) for view in page.factors if view.drawn}
    return {**weeks, **factors}
