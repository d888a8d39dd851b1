"""The coach's page and the files beside it."""

from __future__ import annotations

from pathlib import Path

from taperback.report.charts.squad_factors import squad_factor_chart
from taperback.report.files import json_text, write_files
from taperback.report.render import render
from taperback.report.squad.view import squad_view
from taperback.report.take_along import words_csv
from taperback.squad.anonymous import anonymous
from taperback.squad.model import Squad
from taperback.squad.tables import athletes_table, squad_table
from taperback.squad.to_json import squad_json

SQUAD_FILES = ("squad.html", "squad.csv", "squad_race_weeks.csv", "squad.json")


def write_squad(squad: Squad, out: Path, *, nameless: bool = False) -> tuple[Path, ...]:
    """Which files a squad's report is: written into `out`, the page first.

    `nameless` takes every name, day and typed word out of all of them. The same squad gives the
    same bytes.
    """
    squad = anonymous(squad) if nameless else squad
    texts = (
        squad_html(squad, nameless=nameless),
        words_csv(athletes_table(squad)),
        words_csv(squad_table(squad.members)),
        json_text(squad_json(squad)),
    )
    return write_files(out, dict(zip(SQUAD_FILES, texts, strict=True)), first="squad.json")


def squad_html(squad: Squad, *, nameless: bool = False) -> str:
    """The coach's page in one piece."""
    keys = [member.key for member in squad.members]
    factors = squad.evidence.factors if squad.evidence else ()
    charts = {f"chart-{f.factor}": squad_factor_chart(f, keys) for f in factors}
    page = squad_view(squad, anonymous=nameless)
    return render("squad.html", page, charts, ("page.js", "sort.js"))
