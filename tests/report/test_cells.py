"""A measured value in a table: known with its unit, or unknown with the reason."""

from __future__ import annotations

from report.studies import NO_RESULT, NO_SIGNAL, factor, race_id, race_week
from taperback.raceweek.model import Measured, unknown
from taperback.report.words.cells import (
    Cell,
    cell_of,
    label_of,
    measure_cell,
    missing_races,
    number_notes,
    race_refs,
)


def test_a_known_value_has_its_unit_and_how_it_was_made() -> None:
    cell = cell_of(Measured("sleep_change_h", -0.44, basis="7 nights"))
    assert cell == Cell("sleep change", "−0.4 h a night", basis="7 nights.")


def test_an_unknown_value_is_never_a_number() -> None:
    cell = measure_cell(race_week(3), "intensity_kept")
    assert cell == Cell(
        "intensity kept", "unknown", reason=f"{NO_SIGNAL[0].upper()}{NO_SIGNAL[1:]}."
    )
    assert race_week(3).number("intensity_kept") is None


def test_an_unknown_value_without_a_reason_says_so() -> None:
    assert cell_of(unknown("volume_cut", "")).reason == "No reason was given."


def test_a_measure_that_the_week_lacks_is_unknown() -> None:
    assert measure_cell(race_week(0), "travel_km").text == "unknown"
    assert measure_cell(race_week(0), "travel_km").reason == "Not measured."


def test_a_word_is_told_as_a_word() -> None:
    assert cell_of(Measured("taper_shape", "linear")).text == "linear"
    assert race_week(0).number("taper_shape") is None


def test_a_measure_without_a_printed_form_is_still_told() -> None:
    assert label_of("brand_new") == "brand new"
    assert cell_of(Measured("brand_new", 0.123456)).text == "0.1235"


def test_the_same_reason_is_one_footnote() -> None:
    weeks = [race_week(3), race_week(4), race_week(3)]
    rows, notes = number_notes(
        [[measure_cell(w, "result_pct"), measure_cell(w, "intensity_kept")] for w in weeks]
    )
    assert [[cell.note for cell in row] for row in rows] == [[0, 1], [2, 0], [0, 1]]
    assert notes == (f"{NO_SIGNAL.capitalize()}.", f"{NO_RESULT.capitalize()}.")


def test_races_are_named_by_letter_date_and_anchor() -> None:
    refs = race_refs([race_week(0), race_week(1)])
    ref = refs["2029-09-09"]
    assert (ref.key, ref.name, ref.date) == ("B", "Three Valleys", "9 September 2029")
    assert ref.anchor == "week-2029-09-09"


def test_why_a_race_lacks_a_factor_is_the_race_weeks_own_reason() -> None:
    vague = factor("intensity_kept", "leaning", missing=((race_id(3), "it is not known"),))
    assert missing_races(vague, [race_week(3)]) == ((race_id(3), f"{NO_SIGNAL.capitalize()}."),)
    assert missing_races(vague, []) == ((race_id(3), "It is not known."),)
