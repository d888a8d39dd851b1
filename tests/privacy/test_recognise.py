"""A squad for showing: whoever has athletes' own files tells no more of them than the page says."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

from report.squads import member, squad, together
from taperback.common.quantities import PRIMARY_FACTORS
from taperback.report.charts.figures import plotly_script
from taperback.report.squad_page import write_squad
from taperback.squad.anonymous import anonymous
from taperback.squad.model import Squad


def shown(made: Squad, out: Path) -> dict[str, str]:
    """The files for showing, name -> text, plotly's own script left out."""
    paths = write_squad(made, out, nameless=True)
    texts = {path.name: path.read_text(encoding="utf-8") for path in paths}
    return texts | {"squad.html": texts["squad.html"].replace(plotly_script(), "")}


def test_no_race_row_and_no_travel_of_a_race_is_left(tmp_path: Path) -> None:
    texts = shown(squad(), tmp_path)
    assert texts["squad_race_weeks.csv"] == '"athlete"\n'
    told = json.loads(texts["squad.json"])
    assert [one["race_weeks"] for one in told["athletes"]] == [[]] * len(told["athletes"])
    for name, text in texts.items():
        about = text if name != "squad.json" else json.dumps(told["athletes"])
        assert "travel_km" not in about and "zones_crossed" not in about, name


def test_no_number_has_more_digits_than_the_page(tmp_path: Path) -> None:
    texts = shown(squad(), tmp_path)
    told = json.loads(texts["squad.json"])
    ours = json.dumps({name: told[name] for name in ("athletes", "evidence", "counts")})
    for text in (ours, texts["squad.csv"]):
        assert re.findall(r"\d\.\d{3,}", text) == []


def by_own_effects(made: Squad, text: str) -> list[str]:
    """Athletes whose own effects, as their own report has them, are those of one row only."""
    rows = list(csv.DictReader(io.StringIO(text)))
    assert made.evidence is not None
    found = []
    for one in made.members:
        known = {
            f"{factor.factor}_alone": factor.athletes[one.key].alone.mean
            for factor in made.evidence.factors
        }
        fits = [
            row
            for row in rows
            if row["results"] == str(one.results)
            and all(abs(float(row[name]) - value) < 0.00501 for name, value in known.items())
        ]
        found += [one.key] if len(fits) == 1 else []
    return found


@pytest.mark.parametrize("made", [squad(), together(*(member(place) for place in range(3)))])
def test_nobody_is_recognised_beyond_those_that_the_page_counts(
    made: Squad, tmp_path: Path
) -> None:
    texts = shown(made, tmp_path)
    counted = json.loads(texts["squad.json"])["counts"]["athletes_alone_in_numbers"]
    assert len(by_own_effects(made, texts["squad.csv"])) <= counted
    assert "can still be recognised by whoever has that athlete's own report" in unescape(
        texts["squad.html"]
    )


def test_two_who_are_alike_cannot_be_told_apart(tmp_path: Path) -> None:
    one = member(0)
    made = together(one, replace(one, key="twin", name="Twin"), member(1))
    assert anonymous(made).alone_in_numbers == 1
    texts = shown(made, tmp_path)
    assert len(by_own_effects(made, texts["squad.csv"])) == 1
    both = together(one, replace(one, key="twin", name="Twin"))
    text = shown(both, tmp_path)["squad.html"]
    assert "No athlete here can be recognised by numbers" in text


def test_the_factors_are_all_there(tmp_path: Path) -> None:
    header = shown(squad(), tmp_path)["squad.csv"].partition("\n")[0]
    assert [name for name in PRIMARY_FACTORS if f'"{name}_alone"' not in header] == []
