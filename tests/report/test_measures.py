"""Everything measured, race beside race: each value in its row, each basis once."""

from __future__ import annotations

from dataclasses import replace

from report.studies import race_week, study
from taperback.common.quantities import GROUPS
from taperback.raceweek.model import Measured, RaceWeek
from taperback.report.sections.measures import Measures, measures
from taperback.report.words.cells import race_refs

STUDY = study()
HARD = "cycling by power, hard above 236 W; running by speed, hard above 4.20 m/s"
USUAL = "a usual week of 10.9 h, the median of 6 weeks (10.5, 11.3, 10.9 h)"


def made(*weeks: RaceWeek) -> Measures:
    return measures(weeks, race_refs(weeks))


def week(place: int, **bases: str) -> RaceWeek:
    """A race week of which only these measures are known, each made so."""
    told = {name: Measured(name, 1.0, basis=basis) for name, basis in bases.items()}
    return replace(race_week(place), measures=told)


def bases_of(*weeks: RaceWeek) -> list[tuple[str, str]]:
    return [line for group in made(*weeks).groups for line in group.bases]


def test_every_measure_of_every_race_stands_in_a_row_of_its_group() -> None:
    found = made(*STUDY.weeks)
    assert found.keys == ("A", "B", "C", "D", "E")
    rows = {row.label: [cell.text for cell in row.cells] for g in found.groups for row in g.rows}
    assert rows["volume cut"] == ["46%", "8%", "52%", "44%", "55%"]
    assert rows["intensity kept"][3] == "unknown"
    assert len(rows) == len(STUDY.weeks[0].measures)
    assert [group.title for group in found.groups] == [
        title
        for title, quantities in GROUPS
        if {quantity.name for quantity in quantities} & STUDY.weeks[0].measures.keys()
    ]


def test_unknown_values_share_a_note_that_says_why() -> None:
    found = made(*STUDY.weeks)
    cells = [cell for group in found.groups for row in group.rows for cell in row.cells]
    assert {cell.note for cell in cells if cell.text == "unknown"} == {1, 2}
    assert found.notes[0].startswith("No finish time and no reference time")


def test_what_is_said_of_many_races_is_said_once_with_the_numbers_of_each() -> None:
    lines = bases_of(
        week(0, volume_cut="8.6 h of moving time in 8 legs on days −7 to −1"),
        week(1, volume_cut="6.0 h of moving time in 7 legs on days −7 to −1"),
    )
    text = "8.6 and 6.0 h of moving time in 8 and 7 legs on days −7 to −1."
    assert lines == [("volume cut", text)]


def test_lists_of_numbers_are_never_woven_together() -> None:
    lines = bases_of(
        week(0, volume_cut=USUAL),
        week(1, volume_cut=USUAL),
        week(2, volume_cut=USUAL.replace("11.3", "11.4")),
    )
    assert [whose for whose, _ in lines] == ["volume cut, races A and B", "volume cut, race C"]


def test_what_another_measure_says_of_itself_is_called_by_its_name() -> None:
    lines = bases_of(
        week(0, baseline_weekly_h=USUAL, volume_cut=f"5.0 h on days −7 to −1, against {USUAL}"),
    )
    assert lines == [
        ("usual week", f"A{USUAL[1:]}."),
        ("volume cut", "5.0 h on days −7 to −1, against the usual week."),
    ]


def test_a_clause_that_many_measures_share_is_said_once_with_their_names() -> None:
    lines = bases_of(
        week(0, result_pct=f"2:21 h; {HARD}", race_rpe=f"8 of 10; {HARD}"),
        week(1, result_pct=f"2:17 h; {HARD}", race_rpe=f"7 of 10; {HARD}"),
    )
    assert lines == [
        ("result", "2:21 and 2:17 h."),
        (
            "result and race RPE",
            "Cycling by power, hard above 236 W. Running by speed, hard above 4.20 m/s.",
        ),
        ("race RPE", "8 and 7 of 10."),
    ]


def test_only_what_evidence_rests_on_says_how_it_was_made() -> None:
    """All else is in study.json, and there are the compared measures' own grounds."""
    lines = bases_of(
        week(0, monotony="Foster 1998, over seven days", race_rpe="from the journal"),
    )
    assert lines == [("race RPE", "From the journal.")]
