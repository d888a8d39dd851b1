"""How races went, on one scale for all."""

from __future__ import annotations

import pytest

from build import day, imported, journal, leg, race
from taperback.raceweek.result.outcome import outcomes
from taperback.raceweek.window.calendar import windows


def results(*races, legs=(), **book):
    """(result, rpe) of each race, the races a hundred days apart."""
    rows = [
        race(-100 * (len(races) - 1 - place), row=place + 2, **cells)
        for place, cells in enumerate(races)
    ]
    typed = journal(*rows, **book)
    return outcomes(windows(imported(list(legs)), typed), typed.races)


def values(*races):
    return [result.value for result, _ in results(*races)]


EXPECTED = {"finish_time_s": 3564.0, "expected_time_s": 3600.0}


def test_faster_than_expected_is_positive_percent():
    ((result, _),) = results(EXPECTED)
    assert result.value == pytest.approx(1.0)
    assert result.basis == "0:59:24 against an expected 1:00:00"
    assert values({"finish_time_s": 3780.0, "expected_time_s": 3600.0}) == [pytest.approx(-5.0)]


def test_against_the_field_the_usual_ratio_is_the_median():
    races = [{"finish_time_s": t, "reference_time_s": 4000.0} for t in (4400, 4000, 4200)]
    # ratios 1.10, 1.00, 1.05; usual 1.05
    expected = [100 * (1 - ratio / 1.05) for ratio in (1.10, 1.00, 1.05)]
    assert values(*races) == pytest.approx(expected)
    named = [row | {"reference": "Winner"} for row in races]
    ((plain, _), *_others), ((told, _), *_rest) = results(*races), results(*named)
    words = (
        "1:13:20 is 1.100 of 1:06:40 ({}); the athlete's usual ratio is 1.050, the median of "
        "3 races"
    )
    assert plain.basis == words.format("the reference")
    assert told.basis == words.format("Winner")


def test_the_result_is_the_same_whatever_the_day_did_to_everyone():
    """Heat that slows athlete and field by 6% changes nothing."""
    cool = [{"finish_time_s": t, "reference_time_s": 4000.0} for t in (4400, 4000, 4200)]
    hot = {"finish_time_s": 4000 * 1.06, "reference_time_s": 4240.0}
    assert values(cool[0], hot, cool[2]) == pytest.approx(values(*cool))


def test_by_place_in_the_field():
    races = [{"place": p, "field_size": 100.0} for p in (16.0, 50.0, 84.0)]
    # normal scores of 15.5%, 49.5%, 83.5%: 1.0152, 0.0125, -0.9741 (normal table); 2.5% per unit
    assert values(*races) == pytest.approx([2.507, 0.0, -2.467], abs=2e-3)
    ((first, _), *_rest) = results(*races)
    assert first.basis == (
        "place 16 of 100 is a normal score of +1.02; the usual one is +0.01, the median of 3 "
        "races; one standard deviation of a field is taken as 2.5% of time"
    )


def test_one_scale_for_all_the_one_that_most_races_have():
    field = {"finish_time_s": 4200.0, "reference_time_s": 4000.0}
    found = results(EXPECTED, EXPECTED, field)
    assert [result.known for result, _ in found] == [True, True, False]
    assert found[2][0].reason == (
        "races are compared by time against the expected one, which 2 of 3 have; this one lacks "
        "an expected time"
    )
    (nothing, _), *_rest = reversed(results(EXPECTED, EXPECTED, {}))
    assert nothing.reason.endswith("; this one lacks a finish time and an expected time")


def test_two_times_that_cannot_belong_to_one_race_are_no_result():
    minutes = {"finish_time_s": 3600.0, "expected_time_s": 60.0}
    (good, _), (wrong, _) = results(EXPECTED, minutes)
    assert good.known
    assert (wrong.value, wrong.reason) == (
        None,
        "its expected_time of 0:01:00 cannot belong to a finish_time of 1:00:00",
    )


def test_a_race_without_a_finish_time_is_not_counted_as_one_without_an_expected_time():
    (_, _), (other, _) = results(EXPECTED, {"expected_time_s": 3600.0})
    assert other.reason == (
        "races are compared by time against the expected one, which 1 of 2 have; this one lacks "
        "a finish time"
    )


def test_ratios_to_a_winner_and_to_a_median_are_not_mixed():
    field = {
        "finish_time_s": 4200.0,
        "reference_time_s": 4000.0,
        "reference": "Median of the field",
    }
    winner = field | {"reference_time_s": 3000.0, "reference": "winner"}
    found = results(field, field | {"reference": "median of  the field"}, winner)
    assert [result.value for result, _ in found][:2] == pytest.approx([0.0, 0.0])
    assert found[2][0].reason == (
        "its reference time is winner, that of the races compared is median of the field"
    )


def test_on_a_tie_the_field_is_preferred():
    field = {"finish_time_s": 4200.0, "reference_time_s": 4000.0}
    found = results(EXPECTED, EXPECTED, field, field)
    assert [result.known for result, _ in found] == [False, False, True, True]


def test_a_single_race_against_a_field_has_no_usual_ratio():
    ((result, _),) = results({"finish_time_s": 4200.0, "reference_time_s": 4000.0})
    assert result.reason == (
        "only one race has a reference time, so there is no usual one to compare"
    )


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"status": "dnf"}, "the race was not finished"),
        ({"status": "dns"}, "the race was not started"),
        ({"status": "short_course"}, "the course was shortened"),
        ({"leave_out": "ran with a friend"}, "left out by the journal: ran with a friend"),
    ],
)
def test_races_that_are_not_compared_say_why(cells, reason):
    (result, rpe), (other, _) = results(EXPECTED | {"race_rpe": 7.0} | cells, EXPECTED)
    assert (result.value, result.reason) == (None, reason)
    assert (result.name, rpe.name) == ("result_pct", "race_rpe")
    assert (rpe.value, rpe.reason) == (None, reason)
    assert other.known


def test_left_out_races_do_not_choose_the_scale_nor_the_usual_ratio():
    field = {"finish_time_s": 4200.0, "reference_time_s": 4000.0}
    odd = {"finish_time_s": 8000.0, "reference_time_s": 4000.0, "status": "dnf"}
    assert values(field, field, odd, odd)[:2] == pytest.approx([0.0, 0.0])


def test_without_any_result_the_reason_is_given():
    ((result, _),) = results({})
    assert result.reason == (
        "no race has a finish time with an expected or reference time, nor a place"
    )


def test_rpe_comes_from_the_journal_then_from_the_file():
    legs = [leg(0, session_rpe=8.0)]
    ((_, typed),) = results({"race_rpe": 9.0}, legs=legs)
    ((_, filed),) = results({}, legs=legs)
    ((_, missing),) = results({}, legs=[leg(0)])
    assert (typed.value, typed.basis) == (9.0, "from the journal")
    assert {one.name for one in (typed, filed, missing)} == {"race_rpe"}
    assert typed.days == filed.days == missing.days == (day(0),)
    assert (filed.value, filed.basis) == (8.0, "session RPE 8.0 in the race's file")
    assert len(filed.legs) == 1
    assert missing.reason == "neither the journal nor the race's file tells it"


def test_an_rpe_of_zero_is_a_value():
    ((_, rpe),) = results({"race_rpe": 0.0})
    assert rpe.value == 0.0


def test_an_estimated_expected_time_is_named():
    typed = journal(race(**EXPECTED))
    races = typed.races.assign(expected_source="estimated from earlier races by Riegel's rule")
    ((result, _),) = outcomes(windows(imported([]), typed), races)
    assert result.basis.endswith("1:00:00 (estimated from earlier races by Riegel's rule)")


def test_scaling_both_times_changes_nothing():
    races = [{"finish_time_s": t, "reference_time_s": 4000.0} for t in (4400, 4000, 4200)]
    scaled = [{name: 60 * seconds for name, seconds in cells.items()} for cells in races]
    assert values(*scaled) == pytest.approx(values(*races))


def test_a_place_outside_the_field_or_without_one_is_no_result():
    field = {"place": 10.0, "field_size": 100.0}
    odd = [{"place": 0.0, "field_size": 10.0}, {"place": 11.0, "field_size": 10.0}, {"place": 3.0}]
    found = [
        result for result, _ in results(field, field, *odd, {"place": 10.0, "field_size": 10.0})
    ]
    assert [one.known for one in found] == [True, True, False, False, False, True]
    told = "races are compared by place, which 3 of 6 have; this one lacks "
    assert [one.reason for one in found[2:5]] == [
        f"{told}a place",
        f"{told}a place and the size of the field",
        f"{told}the size of the field",
    ]


def test_a_single_race_by_place_has_no_usual_one():
    ((result, _),) = results({"place": 10.0, "field_size": 100.0})
    assert result.reason == "only one race has a place, so there is no usual one to compare"


def test_a_reference_that_nobody_named_is_said_as_such():
    named = {"finish_time_s": 4200.0, "reference_time_s": 4000.0, "reference": "winner"}
    nameless = named | {"reference": ""}
    found = [result.reason for result, _ in results(named, named, nameless)]
    assert found[2] == ("its reference time is not named, that of the races compared is winner")
    found = [result.reason for result, _ in results(nameless, nameless, named)]
    assert found[2] == "its reference time is winner, that of the races compared is not named"
    ((result, _), *_rest) = results(named, named, named | {"reference_time_s": 0.0})
    assert result.days
    assert [one.known for one, _ in results(named, named, named | {"reference_time_s": 0.0})] == [
        True,
        True,
        False,
    ]


def test_references_of_different_kinds_do_not_add_up_to_the_scale_that_most_have():
    field = {"finish_time_s": 4200.0, "reference_time_s": 4000.0}
    kinds = [field | {"reference": kind} for kind in ("winner", "median", "age group")]
    found = [result.known for result, _ in results(*kinds, EXPECTED, EXPECTED)]
    assert found == [False, False, False, True, True]


def test_one_time_that_is_not_typed_turns_no_result_into_a_place():
    placed = {"place": 10.0, "field_size": 100.0}
    blank = placed | {"expected_time_s": 3600.0}
    found = results(*[EXPECTED | placed] * 2, blank, placed, placed)
    assert [result.known for result, _ in found] == [True, True, False, False, False]
    assert "against an expected" in found[0][0].basis
    assert found[0][0].caveat == ""


def test_places_lead_where_no_two_times_can_be_compared_and_stand_with_their_name():
    placed = {"place": 10.0, "field_size": 100.0}
    found = results(EXPECTED | placed, placed, placed)
    assert [result.caveat for result, _ in found] == ["by place"] * 3


def test_a_time_that_lacks_is_offered_from_its_file():
    legs = [leg(0, hours=1.25)]
    book = journal(race(sports=("running",), expected_time_s=4400.0))
    (window,) = windows(imported(legs), book)
    ((result, _),) = outcomes((window,), book.races.assign(expected_time_s=[4400.0]))
    assert result.reason.startswith("no race has a finish time")
    rows = journal(
        race(-7, row=2, **EXPECTED), race(row=3, sports=("running",), expected_time_s=4400.0)
    )
    first, second = windows(imported(legs), rows)
    (_, (result, _)) = outcomes((first, second), rows.races)
    assert result.reason.endswith("this one lacks a finish time (its file lasts 1:15:00)")
