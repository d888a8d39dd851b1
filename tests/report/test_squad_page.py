"""The coach's page and the files beside it: whole, private, every number from the squad."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from urllib.parse import unquote

import pytest

from report.ahead import study_ahead
from report.hostile import SCRIPT
from report.numbers import printed_numbers, told_by
from report.squads import NAMES, empty_squad, hostile_squad, member, squad, together
from report.studies import study
from report.test_page import HTML, parsed, visible_text
from taperback.evidence.model import Estimate
from taperback.report.charts.squad_factors import squad_factor_chart
from taperback.report.squad.athletes import athlete_row
from taperback.report.squad.view import squad_view
from taperback.report.squad_page import squad_html, write_squad
from taperback.report.view import page_view
from taperback.squad.anonymous import anonymous
from taperback.squad.attention import in_order
from taperback.squad.members import member_of
from taperback.squad.model import Member, NextRace, Squad
from taperback.squad.tables import athletes_table
from taperback.squad.to_json import squad_json


@pytest.fixture(scope="module")
def html() -> str:
    return squad_html(squad())


@pytest.fixture(scope="module")
def nameless(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Every file of the page for showing, as text."""
    paths = write_squad(squad(), tmp_path_factory.mktemp("nameless"), nameless=True)
    return {path.name: path.read_text(encoding="utf-8") for path in paths}


@pytest.mark.parametrize("made", [squad(), hostile_squad(), empty_squad(), anonymous(squad())])
def test_a_conforming_parser_finds_no_fault_and_ids_are_unique(made: Squad) -> None:
    tree = parsed(squad_html(made))
    ids = [element.get("id") for element in tree.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    inside = {e.get("href")[1:] for e in tree.iter(f"{HTML}a") if e.get("href").startswith("#")}
    assert inside <= set(ids)


def test_the_same_squad_gives_the_same_bytes(tmp_path: Path) -> None:
    first, second = write_squad(squad(), tmp_path / "a"), write_squad(squad(), tmp_path / "b")
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in second]


@pytest.mark.parametrize("made", [squad(), empty_squad(), anonymous(squad())])
def test_every_number_on_the_page_is_in_the_squad(made: Squad) -> None:
    told = told_by(squad_json(made))
    page = visible_text(squad_html(made))
    assert [n for n in printed_numbers(page) if n not in told] == []


def test_each_athlete_has_a_row_and_a_link_to_the_own_page(html: str) -> None:
    links = [
        unquote(e.get("href"))
        for e in parsed(html).iter(f"{HTML}a")
        if not e.get("href").startswith(("#", "https://doi.org/10."))
    ]
    assert links == [f"{member.key}/report.html" for member in in_order(squad())]


def test_an_athlete_without_a_race_gets_the_squads_estimate_called_so() -> None:
    page = squad_view(squad())
    row = next(row for row in page.athletes if row.name == "Zeno Larch")
    cells = {cell.label: cell.text for cell in row.cells}
    assert cells["results"] == "0"
    assert cells["cut to use"].endswith(", the squad's alone")
    assert any(
        line.startswith("Zeno Larch has no race with a result: ") and "squad's estimate" in line
        for line in page.reasons
    )
    evidence = squad().evidence
    assert evidence is not None
    for factor in evidence.factors:
        assert factor.athletes["zeno"].together.mean == pytest.approx(factor.shared.mean)


@pytest.mark.parametrize(
    ("athletes", "words"),
    [
        (1, "One athlete with a result says little of what athletes have in common."),
        (3, "Three athletes with a result say little of what athletes have in common."),
    ],
)
def test_a_few_athletes_are_said_to_be_few(athletes: int, words: str) -> None:
    assert words in squad_view(together(*map(member, range(athletes)))).reasons
    assert not any("in common" in line for line in squad_view(squad()).reasons)


def test_who_panics_and_when_is_told_race_by_race_and_rule_by_rule() -> None:
    page = squad_view(squad())
    assert sorted(row.name for row in page.panic) == sorted(NAMES[:5])
    assert all(row.race == "Three Valleys, 9 September 2029" for row in page.panic)
    assert page.panic[0].flags[0] == "catching up, 5 days before: bike ride"
    assert {rule: seen for rule, seen, _ in page.panic_when} == {
        "catching up": "5",
        "late": "5",
        "long": "5",
    }


def test_thin_data_name_the_measure_and_what_would_help() -> None:
    thin = {row.name: row.lines for row in squad_view(squad()).thin}
    assert (
        "Sleep change is unknown for one race. 4 nights between 3 September 2029 and "
        "8 September 2029 in nights.csv would make sleep change known for Three Valleys."
    ) in thin["Wren Alder"]
    assert "No race has a result: each further one would help most." in thin["Zeno Larch"]


def test_a_folder_that_could_not_be_used_has_a_row_with_the_reason() -> None:
    page = squad_view(squad())
    row = page.athletes[0]
    assert (row.number, row.name, row.link) == (None, "notes", "")
    why = "could not be used: notes: athlete.toml is missing; draft writes one"
    assert {cell.text for cell in row.cells} == {"unknown", why}
    assert "notes: athlete.toml is missing" not in squad_html(anonymous(squad()))


def test_the_mixed_model_stands_beside_and_says_whether_it_agrees() -> None:
    for view in squad_view(squad()).factors:
        assert (
            view.mixed.endswith("it agrees within its standard error.")
            or "standard errors from the squad's estimate" in view.mixed
            or view.mixed.startswith("No mixed model was fitted: it needs")
        ), view.mixed


def test_typed_words_stay_words() -> None:
    text = squad_html(hostile_squad())
    tree = parsed(text)
    assert not list(tree.iter(f"{HTML}img"))
    assert len(list(tree.iter(f"{HTML}script"))) == 5
    assert SCRIPT not in text
    assert "onerror=alert(1)" in visible_text(text)
    assert "{{ 7*7 }}" in visible_text(text)


def test_nothing_of_anyone_is_left_in_the_files_for_showing(nameless: dict[str, str]) -> None:
    typed = {*NAMES[:5], "Zeno", "zeno", "folder-", "Gullmouth", "notes"}
    typed |= {race.name for m in squad().members for race in m.races}
    sessions = {flag.session for m in squad().members for race in m.races for flag in race.flags}
    for name, text in nameless.items():
        shown = text if name != "squad.html" else visible_text(text)
        assert [word for word in typed | sessions if word in shown] == [], name
        assert re.findall(r"20(?:29|30|31)-\d\d-\d\d|[A-Z][a-z]+ 20(?:29|30|31)", shown) == [], name


def test_their_order_for_showing_does_not_follow_from_their_names() -> None:
    members = squad().members
    keys = [member.key for member in members]
    pages = {
        squad_html(anonymous(together(*map(with_key, members, keys[place:] + keys[:place]))))
        for place in range(len(keys))
    }
    assert len(pages) == 1, "whoever knows the names would know the numbers"


def with_key(member: Member, key: str) -> Member:
    return replace(member, key=key)


def test_the_page_for_showing_has_no_link_out_and_the_same_numbers(
    nameless: dict[str, str], html: str
) -> None:
    tree = parsed(nameless["squad.html"])
    links = [e.get("href") for e in tree.iter(f"{HTML}a")]
    assert all(link.startswith(("#", "https://doi.org/10.")) for link in links)
    told = squad_view(anonymous(squad()), anonymous=True)
    for named, shown in zip(squad_view(squad()).factors, told.factors, strict=True):
        assert named.lead == shown.lead
        assert sorted(row.together for row in named.rows) == sorted(
            row.together for row in shown.rows
        )


def test_tables_beside_the_page_have_a_row_for_each_athlete_and_race(tmp_path: Path) -> None:
    page, athletes, races, whole = write_squad(squad(), tmp_path)
    rows = list(csv.DictReader(io.StringIO(athletes.read_text(encoding="utf-8"))))
    assert [row["name"] for row in rows] == [*(m.name for m in squad().members), ""]
    assert rows[-1]["could_not_be_used"] == "notes: athlete.toml is missing; draft writes one"
    assert rows[-2]["races"] == "0", "a whole number in spite of an empty row"
    assert float(rows[0]["sleep_change_h_borrowed"]) > 0
    pulled = [float(row["sleep_change_h_pulled"]) for row in rows[:-1]]
    assert 0 < pulled[0] < 0.99 < pulled[-1]
    weeks = list(csv.DictReader(io.StringIO(races.read_text(encoding="utf-8"))))
    assert len(weeks) == sum(len(m.table) for m in squad().members)
    assert json.loads(whole.read_text(encoding="utf-8"))["squad_schema_version"] == 3
    assert page.name == "squad.html"


def test_every_interval_is_seen_to_end_and_nought_is_on_the_axis() -> None:
    made = squad()
    assert made.evidence is not None
    for factor in made.evidence.factors:
        names = {member.key: member.name for member in made.members}
        chart = squad_factor_chart(factor, names)
        assert chart["layout"]["yaxis"]["ticktext"] == ["published", "squad", *names.values()]
        low, high = chart["layout"]["xaxis"]["range"]
        ends = [x for trace in chart["data"] for x in trace["x"] if x is not None]
        assert low < min(0, *ends) and max(0, *ends) < high


def test_the_next_race_is_told_with_its_week_and_the_day_it_is_counted_from() -> None:
    """The hours and hard minutes are those of the athlete's own page."""
    cells = {cell.label: cell for cell in athlete_row(1, member(0), None, False).cells}
    assert cells["next race"].text == (
        "1 May 2031, Gullmouth; 60 days after the last record (2 March 2031); its week: 5.2 h, "
        "26 min hard"
    )
    assert cells["next race"].sort == "2031-05-01"
    none = replace(member(0), next_race=None)
    cells = {cell.label: cell for cell in athlete_row(1, none, None, False).cells}
    assert cells["next race"].text == "none in the journal; recorded up to 2 March 2031"
    study = study_ahead()
    race = member_of("wren", study).next_race
    assert race == NextRace(
        "Gull Point", date(2031, 3, 30), 28, study.next_week.target_h, study.next_week.hard_min
    )


def test_names_in_charts_are_words_and_are_cut_where_they_are_long() -> None:
    made = squad()
    assert made.evidence is not None
    names = dict.fromkeys([member.key for member in made.members], "<b>Ada & Bo</b> of Long Reach")
    labels = squad_factor_chart(made.evidence.factors[0], names)["layout"]["yaxis"]["ticktext"]
    assert set(labels[2:]) == {"&lt;b&gt;Ada &amp; Bo&lt;/b…"}


def test_the_headline_says_what_the_squad_is_surest_of_and_then_the_cut() -> None:
    made = squad()
    assert made.evidence is not None
    open_, clear = Estimate(0.1, -0.2, 0.4), Estimate(0.8, 0.4, 1.2)
    barely = Estimate(-0.5, -0.9, -0.1)
    shared = (open_, barely, clear, open_)
    factors = tuple(
        replace(f, shared=one) for f, one in zip(made.evidence.factors, shared, strict=True)
    )
    page = squad_view(replace(made, evidence=replace(made.evidence, factors=factors)))
    cut = made.evidence.cut
    assert page.rule == (
        "The squad is surest that longer sleep than usual goes with faster races: +0.80% (90% "
        "interval +0.40 to +1.20%) for 1 h a night more sleep. For an athlete of whom "
        f"nothing else is known, train {100 * cut.low:.0f} to {100 * cut.high:.0f}% less than "
        "usual in the last seven days."
    )
    none = tuple(replace(f, shared=open_) for f in made.evidence.factors)
    page = squad_view(replace(made, evidence=replace(made.evidence, factors=none)))
    assert page.rule.startswith("The squad's races leave it open whether any of the four helps.")


def test_who_uses_the_own_range_is_named_in_the_row_and_in_words() -> None:
    made = squad()
    assert made.evidence is not None
    cut, key = made.evidence.factors[0], made.members[1].key
    athletes = dict(cut.athletes) | {key: replace(cut.athletes[key], borrowed=-0.1)}
    factors = (replace(cut, athletes=athletes), *made.evidence.factors[1:])
    page = squad_view(replace(made, evidence=replace(made.evidence, factors=factors)))
    used = {
        row.name: next(cell.text for cell in row.cells if cell.label == "cut to use")
        for row in page.athletes
    }
    part = made.members[1].rule.parts[0] if made.members[1].rule else None
    assert part and used[NAMES[1]] == f"{100 * part.low:.0f} to {100 * part.high:.0f}%, own"
    assert all(text.endswith("with the squad") for name, text in used.items() if name in NAMES[2:])
    assert (
        f"For {NAMES[1]} use the own cut: the squad's races scatter more and make it no surer."
        in page.reasons
    )
    assert any(r.startswith("For each athlete, use the cut") for r in squad_view(squad()).reasons)
    table = list(csv.DictReader(io.StringIO(athletes_table(made).to_csv())))
    assert [row["use"] for row in table] == [*["squad"] * 6, ""]


def test_an_athletes_own_page_says_which_range_to_use_and_one_without_a_coach_does_not() -> None:
    words = "Your coach's squad page says which range to use for you"
    assert words in page_view(study(), of_squad=True).rule.reasons[-1]
    assert not any(words in reason for reason in page_view(study()).rule.reasons)
