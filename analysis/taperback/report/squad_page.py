"""The coach's page and the files beside it."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from taperback.common.sinks import json_text
from taperback.report.charts.chart import Charts, make_each
from taperback.report.charts.squad_factors import squad_factor_chart
from taperback.report.files import as_bytes, write_files
from taperback.report.render import Section, render
from taperback.report.squad.athletes import athlete_name
from taperback.report.squad.view import SquadPage, squad_view
from taperback.report.take_along import words_csv
from taperback.squad.anonymous import anonymous
from taperback.squad.attention import in_order
from taperback.squad.files import SQUAD_FILES
from taperback.squad.model import Squad
from taperback.squad.tables import athletes_table, squad_table
from taperback.squad.to_json import squad_json

SECTIONS = (
    Section("together", "Together", "squad_together.html"),
    Section("athletes", "Athletes", "squad_athletes.html"),
    Section("effects", "Factors", "squad_effects.html"),
    Section("panic", "Panic training", "squad_panic.html"),
    Section("thin", "Too little data", "squad_thin.html"),
    Section("method", "Method", "squad_method.html"),
)
"""The parts of the page in their order; the frame of every page adds the cautions."""


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
    files = as_bytes(dict(zip(SQUAD_FILES, texts, strict=True)))
    return write_files(out, files, first="squad.json")


def squad_html(squad: Squad, *, nameless: bool = False) -> str:
    """The coach's page in one piece."""
    page = squad_view(squad, anonymous=nameless)
    return render("squad.html", page, charts(squad, page), SECTIONS, ("page.js", "sort.js"))


def charts(squad: Squad, page: SquadPage) -> Charts:
    """Every chart of the page by the id of its place."""
    names = {member.key: athlete_name(member) for member in in_order(squad)}
    factors = squad.evidence.factors if squad.evidence else ()
    return make_each(
        {
            view.place: partial(squad_factor_chart, factor, names)
            for view, factor in zip(page.factors, factors, strict=True)
        }
    )
