"""The races at a glance."""

from __future__ import annotations

from dataclasses import replace

import pytest

from report.studies import NO_RESULT, race_id, race_week, rpe_evidence, study
from taperback.raceweek.model import unknown
from taperback.report.sections.glance import (
    GlanceRow,
    best_and_worst,
    cuts_compared,
    flags_text,
    glance,
    week_clauses,
)
from taperback.report.words.cells import cell_of, race_refs

STUDY = study()
REFS = race_refs(STUDY.weeks)


def test_every_race_has_a_row_also_one_without_a_result() -> None:
    table = glance(STUDY.weeks, STUDY.result, REFS)
    assert [row.race.key for row in table.rows] == ["A", "B", "C", "D", "E"]
    assert [cell.text for cell in table.rows[4].cells] == [
        "unknown",
        "55%",
        "71%",
        "−0.4 h a night",
        "4.2 h",
    ]
    assert table.notes[table.rows[4].cells[0].note - 1] == f"{NO_RESULT.capitalize()}."


def test_best_and_worst_are_marked_and_told_in_words() -> None:
    table = glance(STUDY.weeks, STUDY.result, REFS)
    assert [row.mark for row in table.rows] == ["", "worst", "best", "", ""]
    assert table.lead == (
        "The best was race C, 19 May 2030, result +2.3%. The week before it held 52% less training "
        "than usual, 88% of the usual share of hard work and 0.4 h a night more sleep. The worst "
        "was race B, 9 September 2029, result −1.9%. The week before it held 8% less training than "
        "usual, 131% of the usual share of hard work, 0.2 h a night less sleep and three panic "
        "flags."
    )


def test_for_effort_less_is_best() -> None:
    best, worst = best_and_worst(STUDY.weeks, rpe_evidence())
    assert best is not None
    assert worst is not None
    assert (best.race_id, worst.measures["race_rpe"].value) == (race_id(2), 9.0)
    marks = [row.mark for row in glance(STUDY.weeks, rpe_evidence(), REFS).rows]
    assert marks == ["", "", "easiest", "", "hardest"]


@pytest.mark.parametrize("n", [0, 1])
def test_one_race_is_neither_best_nor_worst(n: int) -> None:
    few = replace(STUDY.result, n=n)
    assert best_and_worst(STUDY.weeks[:n], few) == (None, None)
    lead = glance(STUDY.weeks[:n], few, REFS).lead
    assert lead.endswith("can be compared, so no best week is named.")


def test_a_race_left_out_of_the_comparison_is_never_the_best() -> None:
    without = replace(STUDY.result, left_out=((race_id(2), "short course"),))
    best, _ = best_and_worst(STUDY.weeks, without)
    assert best is not None
    assert best.race_id == race_id(0)


def test_flags_are_counted_with_their_kinds() -> None:
    week = STUDY.weeks[1]
    assert flags_text(replace(week, flags=())) == "none"
    assert flags_text(week) == "three flags: catching up, long and late"
    assert flags_text(replace(week, flags=week.flags[1:2])) == "one flag: long"


def unlooked(week):
    """The same week where panic could not be looked for."""
    why = unknown("panic_sessions", "only 1 of 6 baseline weeks can be used")
    return replace(week, measures={**week.measures, "panic_sessions": why})


def test_no_flag_where_hard_work_is_unknown_says_so() -> None:
    week = STUDY.weeks[1]
    seen = replace(week.measures["panic_sessions"], caveat="hard work unknown")
    half = replace(week, measures={**week.measures, "panic_sessions": seen})
    assert flags_text(replace(half, flags=())) == "none (hard work unknown)"
    assert flags_text(replace(half, flags=week.flags[1:2])) == "one flag: long (hard work unknown)"


def test_a_week_that_could_not_be_looked_at_is_unknown_and_not_calm() -> None:
    week = unlooked(STUDY.weeks[1])
    assert flags_text(replace(week, flags=())) == "unknown"
    assert flags_text(replace(week, flags=week.flags[2:])) == "at least one flag: late"


def test_caveats_stand_beside_their_numbers() -> None:
    cut = replace(STUDY.weeks[1].measures["volume_cut"], value=0.4, caveat="older weeks")
    assert cell_of(cut).text == "40% (older weeks)"


def test_what_is_unknown_is_left_out_of_the_words_and_a_rise_is_told_as_more() -> None:
    week = race_week(4)
    assert week_clauses(week)[-1] == "4.2 h of a time change left"
    assert len(week_clauses(race_week(3))) == 2
    cut = replace(week.measures["volume_cut"], value=-0.12)
    risen = replace(week, measures={**week.measures, "volume_cut": cut})
    assert week_clauses(risen)[0] == "12% more training than usual"


def test_changes_that_round_to_nothing_are_told_as_usual() -> None:
    week = race_week(0)
    flat = {
        name: replace(week.measures[name], value=0.004) for name in ("volume_cut", "sleep_change_h")
    }
    told = week_clauses(replace(week, measures={**week.measures, **flat}))
    assert (told[0], told[2]) == ("as much training as usual", "the usual sleep")


def test_the_first_screen_tells_what_best_and_worst_came_after() -> None:
    assert cuts_compared(STUDY.weeks, STUDY.result, REFS) == (
        "Your best race, C, came after a volume cut of 52%; your worst, B, after one of 8%."
    )
    assert cuts_compared(STUDY.weeks[:1], STUDY.result, REFS) == ""


NAN = float("nan")


def row_of(scale: str = "expected_time", **cells: object) -> GlanceRow:
    """The first race's row, with these cells typed."""
    week = STUDY.weeks[0]
    week = replace(week, race=dict(week.race) | cells, scale=scale)
    return glance((week,), STUDY.result, REFS).rows[0]


@pytest.mark.parametrize(
    ("cells", "time"),
    [
        ({"finish_time_s": 8225.0, "expected_time_s": 8400.0}, "2:17:05, expected 2:20:00"),
        (
            {"finish_time_s": 8225.0, "expected_time_s": 8400.0, "expected_source": "two races"},
            "2:17:05, expected 2:20:00 by estimate",
        ),
        (
            {"finish_time_s": 8242.0, "reference_time_s": 9025.0, "reference": "field median"},
            "2:17:22, field median 2:30:25",
        ),
        ({"finish_time_s": 60.57, "reference_time_s": 59.87}, "1:00.57, reference 59.87"),
        ({"status": "dnf", "expected_time_s": 8400.0}, "not finished, expected 2:20:00"),
        ({"finish_time_s": NAN, "expected_time_s": NAN, "place": NAN}, ""),
    ],
)
def test_a_race_has_its_times(cells: dict, time: str) -> None:
    assert ", ".join(row_of(**cells).time) == time


def test_a_place_stands_there_where_races_are_compared_by_it() -> None:
    cells = {"finish_time_s": 8225.0, "place": 14.0, "field_size": 162.0}
    assert row_of("place", **cells).time == ("2:17:05", "place 14 of 162")
    assert row_of("place", place=14.0, field_size=NAN).time == ("place 14",)
    assert row_of(**cells).time == ("2:17:05",)


def test_a_race_has_its_temperature_and_its_note() -> None:
    row = row_of(temp_c=-2.5, notes="long flight  east,\nhot")
    assert (row.temperature, row.note) == ("−2.5 °C", "long flight east, hot")
    assert len(row_of(notes="w" * 500).note) == 160
    assert (row_of(temp_c=NAN).temperature, row_of().note) == ("", "")


def test_intensity_kept_is_explained_in_a_line() -> None:
    assert glance(STUDY.weeks, STUDY.result, REFS).signs.endswith(
        "Intensity kept is the share of hard time in race week over that in a usual week: 100% is "
        "as usual."
    )
