"""The coach's page and the files beside it."""

from __future__ import annotations

import json
from pathlib import Path

from taperback.report.render import render
from taperback.report.squad_factors import squad_factor_chart
from taperback.report.squad_view import squad_view
from taperback.squad import Squad, anonymous, squad_table
from taperback.squad_json import athletes_table, squad_json

SQUAD_FILES = ("squad.html", "squad.csv", "squad_race_weeks.csv", "squad.json")


def write_squad(squad: Squad, out: Path, *, nameless: bool = False) -> tuple[Path, ...]:
    """Which files a squad's report is: written into `out`, the page first.

    `nameless` takes every name, day and typed word out of all of them. The same squad gives the
    same bytes.
    """
    squad = anonymous(squad) if nameless else squad
    texts = (
        squad_html(squad, nameless=nameless),
        athletes_table(squad).to_csv(index=False, lineterminator="\n"),
        squad_table(squad.members).to_csv(index=False, lineterminator="\n"),
        json.dumps(squad_json(squad), ensure_ascii=False, indent=1) + "\n",
    )
    out.mkdir(parents=True, exist_ok=True)
    for name, text in zip(SQUAD_FILES, texts, strict=True):
        (out / name).write_bytes(text.encode("utf-8", errors="replace"))
    return tuple(out / name for name in SQUAD_FILES)


def squad_html(squad: Squad, *, nameless: bool = False) -> str:
    """The coach's page in one piece."""
    keys = [member.key for member in squad.members]
    factors = squad.evidence.factors if squad.evidence else ()
    charts = {f"chart-{f.factor}": squad_factor_chart(f, keys) for f in factors}
    page = squad_view(squad, anonymous=nameless)
    return render("squad.html", page, charts, ("page.js", "sort.js"))
