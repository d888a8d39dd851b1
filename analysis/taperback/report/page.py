"""The report as files: the page, the table of race weeks, the study, next time's week."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from taperback.report.factor_chart import factor_chart
from taperback.report.figures import foreign_style_ids, plotly_script
from taperback.report.take_along import next_week_csv, race_weeks_csv
from taperback.report.theme import SCHEMES, colours, css_variables
from taperback.report.view import Page, page_view
from taperback.report.week_chart import week_chart
from taperback.study import Study
from taperback.study_json import to_json
from taperback.whole_files import put_whole

TEMPLATES = Path(__file__).parent / "templates"
EMPTY_STYLE = ""
"""Plotly adds one empty style element and fills it by script, so its digest is allowed, too."""


def write_report(study: Study, out: Path) -> tuple[Path, ...]:
    """Which files the report of a study is: written into `out`, the page first.

    The same study gives the same bytes. A report that is there already stays whole until the new
    one is written.
    """
    texts = {
        "report.html": page_html(page_view(study)),
        "race_weeks.csv": race_weeks_csv(study.table),
        "study.json": json.dumps(to_json(study), ensure_ascii=False, indent=1) + "\n",
        "next_week.csv": next_week_csv(study.next_week),
    }
    out.mkdir(parents=True, exist_ok=True)
    # study.json goes first: by it the others are known as ours if anything stops this halfway.
    names = sorted(texts, key=lambda name: name != "study.json")
    put_whole({out / name: texts[name].encode("utf-8", errors="replace") for name in names})
    return tuple(out / name for name in texts)


def page_html(page: Page) -> str:
    """The page in one piece: nothing in it asks for anything from anywhere."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=printable,
    )
    style = _style()
    scripts = (plotly_script(), _asset("page.js"))
    return environment.get_template("page.html").render(
        page=page,
        policy=policy(scripts, (style, EMPTY_STYLE)),
        style=Markup(style),  # noqa: S704 - our own file
        guards=foreign_style_ids(scripts[0]),
        plotly=Markup(scripts[0]),  # noqa: S704 - plotly's own file
        script=Markup(scripts[1]),  # noqa: S704 - our own file
        charts=script_json(charts(page)),
        schemes=script_json({scheme: colours(scheme) for scheme in SCHEMES}),
    )


_UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")


_UNIT = re.compile(r"(?<=\d) (?=(?:h|min|km|m|bpm|W|days|points)\b)")


def printable(value: object) -> object:
    """The value as a page may hold it.

    Characters that no page may hold are shown as such, and a number is kept with its unit.
    """
    if isinstance(value, str) and not isinstance(value, Markup):
        return _UNIT.sub("\u00a0", _UNPRINTABLE.sub("\ufffd", value))
    return value


def charts(page: Page) -> dict[str, Any]:
    """Every chart of the page by the id of its place."""
    most = max((strip.most_hours for strip in page.strips), default=0.0)
    weeks = {f"chart-{strip.race.anchor}": week_chart(strip, most) for strip in page.strips}
    factors = {f"chart-{view.factor}": factor_chart(view) for view in page.factors if view.drawn}
    return {**weeks, **factors}


def script_json(value: object) -> Markup:
    """JSON that can stand inside a script element whatever text it holds."""
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    safe = text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return Markup(safe)  # noqa: S704 - no character of it can end the element


def policy(scripts: tuple[str, ...], styles: tuple[str, ...]) -> str:
    """The content-security policy: only what this page holds may run, and nothing is fetched.

    Style attributes are let through because plotly places its drawing with them.
    """
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src {' '.join(map(_digest, scripts))}",
            f"style-src-elem {' '.join(map(_digest, styles))}",
            "style-src-attr 'unsafe-inline'",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _style() -> str:
    light, dark = css_variables("light"), css_variables("dark")
    return (
        f":root{{{light}}}\n"
        f"@media screen and (prefers-color-scheme: dark){{:root{{{dark}}}}}\n{_asset('page.css')}"
    )


def _asset(name: str) -> str:
    return (TEMPLATES / name).read_text(encoding="utf-8")
