"""Recorded, rest and unknown days; baselines; races close to each other."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from build import DAY0, day, habit, imported, journal, leg, multisport, one_window, race
from taperback.importer.file_names import Moment
from taperback.importer.model import WrongClock
from taperback.journal.model import Period
from taperback.raceweek.window.calendar import windows


def states(window, first: int, last: int) -> list[str]:
    days = window.days
    return list(days.loc[days["days_to_race"].between(first, last), "state"])


def usable(window) -> list[bool]:
    return [block.usable for block in window.blocks]


def test_a_window_has_57_days_and_ends_on_the_race():
    window = one_window(habit())
    assert list(window.days["days_to_race"]) == list(range(-56, 1))
    assert window.days["day"].iloc[-1] == window.day0 == DAY0


def test_a_day_without_a_file_among_files_is_rest():
    window = one_window([*habit(), leg(-7), leg(-2), leg(0)])
    assert states(window, -7, 0) == ["recorded", *["rest"] * 4, "recorded", "rest", "recorded"]
    assert window.why_unknown(-7, -1) == ""


def test_a_week_without_a_file_or_a_word_is_unknown_and_no_rest_week():
    window = one_window([*habit(), leg(0)])
    assert states(window, -7, -1) == ["unknown"] * 7
    assert window.why_unknown(-7, -1) == (
        "7 of 7 days are not known: 7 days without a file or a word in the journal"
    )


def test_a_rest_period_in_the_journal_makes_rest_days():
    periods = (Period(day(-7), day(-1), "rest"),)
    window = one_window([*habit(), leg(0)], journal(periods=periods))
    assert states(window, -7, -1) == ["rest"] * 7


def test_a_gap_period_makes_unknown_days_and_doubts_the_recorded_ones():
    periods = (Period(day(-5), day(-4), "gap"),)
    window = one_window([*habit(), leg(-7), leg(-4), leg(-1)], journal(periods=periods))
    assert states(window, -6, -4) == ["rest", "unknown", "recorded"]
    assert window.why_unknown(-4, -4) == "records are missing, says the journal"


def test_a_day_off_with_an_unread_file_is_unknown_and_a_recorded_day_stays_recorded():
    held = imported([leg(k) for k in range(-60, 1) if k != -3])
    lost = tuple(
        WrongClock(f"{day(k)}.fit", date(2000, 1, 1), Moment(day(k), None)) for k in (-3, -2)
    )
    (window,) = windows(replace(held, wrong_clocks=lost), journal())
    states = window.days.set_index("days_to_race")["state"]
    assert (states[-3], states[-2]) == ("unknown", "recorded")


def test_such_a_day_says_so_and_a_table_of_days_has_its_columns_alone():
    held = imported([leg(k) for k in range(-60, 1) if k != -3])
    lost = (WrongClock("lost.fit", date(2000, 1, 1), Moment(day(-3), None)),)
    (window,) = windows(replace(held, wrong_clocks=lost), journal())
    assert window.why_unknown(-7, -1) == (
        "1 of 7 days are not known: a file of that day could not be read or dated"
    )
    assert list(window.days) == ["day", "days_to_race", "state", "word", "partial"]
    assert list(window.days.index) == list(range(57))


def test_a_silent_day_is_unknown_unless_the_journal_explains_it():
    """Days of a daily habit without a file, of which a file of a wrong clock may be."""
    silent = frozenset(day(k) for k in (-6, -5, -4, -3, -2))
    held = replace(
        imported([leg(k) for k in range(-60, 1) if day(k) not in silent]), silent_days=silent
    )
    (window,) = windows(held, journal(periods=(Period(day(-5), day(-3), "rest"),)))
    assert states(window, -6, -2) == ["unknown", "rest", "rest", "rest", "unknown"]


def test_days_before_the_first_file_are_unknown():
    window = one_window([leg(k) for k in range(-20, 0)])
    assert set(states(window, -56, -21)) == {"unknown"}
    assert window.why_no_baseline.startswith(
        "only 0 of 6 baseline weeks can be used and 3 are needed: one has 7 unknown days "
        "(before the first file)"
    )


@pytest.mark.parametrize(
    ("row", "state"),
    [
        ({}, "unknown"),
        ({"expected_time_s": 2400.0}, "unknown"),
        ({"finish_time_s": 2400.0, "status": "dns"}, "unknown"),
        ({"finish_time_s": 2400.0}, "rest"),
        ({"place": 12.0}, "rest"),
        ({"race_rpe": 8.0}, "rest"),
        ({"status": "dnf"}, "rest"),
        ({"status": "short_course"}, "rest"),
    ],
)
def test_a_race_takes_place_for_the_calendar_once_the_journal_says_how_it_went(row, state):
    """The files end three days before the race, which has none."""
    book = journal(race(**row))
    window = windows(imported([*habit(), *[leg(k) for k in range(-7, -2)]]), book)[0]
    assert states(window, -2, -1) == [state] * 2
    assert window.why_unknown(-7, -1) == (
        "" if state == "rest" else "2 of 7 days are not known: after the last file"
    )


def test_an_athlete_without_any_file_has_windows_of_unknown_days():
    window = one_window([])
    assert set(window.days["state"]) == {"unknown"}
    assert window.race_legs == ()


@pytest.mark.parametrize("kind", ["illness", "injury", "gap"])
def test_an_explained_week_is_no_baseline(kind):
    period = Period(day(-40), day(-38), kind)
    window = one_window(habit(), journal(periods=(period,)))
    assert usable(window) == [True, True, False, True, True, True]
    assert window.blocks[2].kind == kind
    assert window.blocks[2].reason.startswith(f"the journal says {period.words} from")


def test_a_rest_period_stays_in_the_baseline():
    legs = [one for one in habit() if not day(-42) <= one.start_utc.date() <= day(-36)]
    window = one_window(legs, journal(periods=(Period(day(-42), day(-36), "rest"),)))
    assert all(usable(window))


def test_weeks_that_hold_recovery_from_an_earlier_race_drop_out():
    early, late = windows(
        imported([*habit(), leg(-20, hours=2.0)]),
        journal(race(-30, name="First"), race(0, name="Second")),
    )
    # the race on day -30 lies in block -35..-29, its week after reaches day -23
    assert usable(late) == [True, True, True, False, False, True]
    assert late.blocks[4].why_not("it") == "it holds First or the 7 days after it"
    assert late.facts[0] == (
        "First was 30 days before this race; the two share part of their baseline."
    )
    assert [other.days_to_race for other in early.others] == [30]


def test_a_race_six_weeks_before_shares_no_baseline():
    late = windows(imported(habit()), journal(race(-42, name="First"), race(0)))[1]
    assert late.facts[0] == "First was 42 days before this race."


def test_a_race_that_was_not_started_needs_no_recovery():
    book = journal(race(-30, status="dns"), race(0))
    assert all(usable(windows(imported(habit()), book)[1]))


def test_two_races_on_one_weekend_are_told_apart():
    legs = [*habit(), leg(-1, hours=2.0), leg(-1, hours=0.2, at=6.0), leg(0, hours=3.0)]
    book = journal(race(-1, sports=("running",)), race(0, sports=("running",)))
    saturday, sunday = windows(imported(legs), book)
    roles = dict(zip(sunday.legs.ids, sunday.legs["role"], strict=True))
    assert [roles[leg_id] for leg_id in saturday.race_legs] == ["other_race"]
    assert [roles[leg_id] for leg_id in sunday.race_legs] == ["race"]
    assert sunday.facts[0].endswith("its hours count as training of this race week.")
    assert saturday.race_id != sunday.race_id


def test_the_journal_wins_over_a_file_and_both_are_kept():
    window = one_window([], journal(nights={-1: 7.5}), nights={-1: 7.0, -2: 6.0})
    third, second, last = window.nights[-4:-1]
    assert (last.sleep_h, last.source, last.file_sleep_h) == (7.5, "journal", 7.0)
    assert (second.sleep_h, second.source) == (6.0, "file")
    assert (third.days_to_race, third.source, third.known) == (-3, "", False)


def test_a_night_copied_from_a_file_into_the_journal_is_still_the_files():
    window = one_window([], journal(nights={-1: 7.33, -2: 7.4}), nights={-1: 7.3333, -2: 7.3333})
    assert [night.source for night in window.nights[-3:-1]] == ["journal", "file"]


def test_a_factor_cannot_see_the_outcome():
    row = one_window(habit(), journal(race(finish_time_s=3600.0, race_rpe=8.0))).race
    assert not {"finish_time_s", "race_rpe", "place", "expected_time_s", "status"} & row.keys()


def test_sessions_of_a_multisport_file_are_one():
    window = one_window([*habit(), *multisport(-5, ("cycling", 1.0), ("running", 0.5))])
    assert len(set(window.training(-5, -5)["session"])) == 1


def test_shuffled_files_give_the_same_window():
    legs = [*habit(), leg(-3), leg(0, hours=2.0), *multisport(-5, ("cycling", 1), ("running", 1))]
    forward, backward = one_window(legs), one_window(legs[::-1])
    assert forward.legs.ids == backward.legs.ids
    assert forward.days.equals(backward.days)
    assert forward.race_legs == backward.race_legs


def test_legs_after_the_race_do_not_enter_the_window():
    window = windows(imported([*habit(), leg(0), leg(3)]), journal())[0]
    assert window.legs["days_to_race"].max() == 0
    assert window.after["days_to_race"].tolist() == [3]
    assert window.span(-1, 0) == (DAY0 - timedelta(days=1), DAY0)


def test_legs_after_the_race_have_the_columns_of_those_before():
    window = windows(imported([*habit(), leg(0), leg(1), leg(28), leg(29)]), journal())[0]
    assert {(leg.role, leg.counts, leg.block, leg.hours) for leg in window.after} == {
        ("training", True, -1, 1.0)
    }
    assert window.after["days_to_race"].tolist() == [1, 28]


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (0, "First was on the same day; the two share part of their baseline."),
        (
            7,
            "First was 7 days before this race; the two share part of their baseline; its hours "
            "count as training of this race week.",
        ),
        (8, "First was 8 days before this race; the two share part of their baseline."),
        (41, "First was 41 days before this race; the two share part of their baseline."),
        (42, "First was 42 days before this race."),
        (56, "First was 56 days before this race."),
    ],
)
def test_an_earlier_race_is_told_with_what_it_means(days, words):
    late = windows(imported(habit()), journal(race(-days, name="First"), race(0, row=3)))[1]
    assert late.facts[0] == words


def test_races_further_off_later_or_not_started_are_no_facts():
    book = journal(race(-57, name="Far"), race(-20, name="Ill", status="dns"), race(0), race(5))
    far, _ill, this, later = windows(imported(habit()), book)
    assert not [fact for fact in this.facts if "before this race" in fact]
    assert [(one.name, one.days_to_race, one.started) for one in this.others] == [
        ("Ill", -20, False),
        ("race of 2030-07-05", 5, True),
    ]
    assert far.name == "Far" and later.name == "race of 2030-07-05"


def test_weeks_left_out_and_words_of_the_last_fortnight_are_facts():
    periods = (
        Period(day(-40), day(-38), "illness"),
        Period(day(-16), day(-14), "injury"),
        Period(day(-13), day(-12), "rest"),
    )
    window = one_window(habit(), journal(periods=periods))
    assert window.facts == (
        "The week of days −42 to −36 is not part of the baseline: the journal says illness from "
        "2030-05-21 to 2030-05-23.",
        "The week of days −21 to −15 is not part of the baseline: the journal says injury from "
        "2030-06-14 to 2030-06-16.",
        "The journal says injury from 2030-06-14 to 2030-06-16.",
        "The journal says rest from 2030-06-17 to 2030-06-18.",
    )


def test_only_periods_that_touch_the_window_are_kept():
    around = [(-90, -57), (-90, -56), (-30, -29), (0, 9), (1, 9)]
    periods = tuple(Period(day(first), day(last), "rest") for first, last in around)
    assert one_window(habit(), journal(periods=periods)).periods == periods[1:4]


def test_each_leg_knows_its_week_of_the_baseline_and_its_part():
    book = journal(race(sports=("running",)), periods=(Period(day(-40), day(-38), "illness"),))
    legs = [*habit(), *multisport(-5, ("cycling", 1.0), ("transition", 0.1)), leg(0, hours=2.0)]
    window = one_window([*legs, leg(0, hours=0.2, at=6)], book)
    told = {leg.days_to_race: leg.block for leg in window.legs}
    assert [told[k] for k in (-56, -50, -49, -43, -42, -36, -35, -15)] == [0, 0, 1, 1, -1, -1, 3, 5]
    assert [told[k] for k in (-14, -5, 0)] == [-1, -1, -1]
    by_role = {role: legs["counts"].tolist() for role, legs in window.legs.by("role")}
    assert by_role["race"] == [False]
    assert by_role["race_day"] == [True]
    assert by_role["training"] == [True] * 50 + [False], "a transition is no training"
    assert window.baseline_days == tuple(day(k) for k in range(-56, -14) if not -42 <= k <= -36)
    assert sorted(set(window.baseline["block"].tolist())) == [0, 1, 3, 4, 5]


def test_too_few_weeks_name_each_reason_once():
    window = one_window([leg(k) for k in range(-30, 0)])
    assert window.why_no_baseline == (
        "only 2 of 6 baseline weeks can be used and 3 are needed: one has 7 unknown days "
        "(before the first file); one has 5 unknown days (before the first file)"
    )


def test_weeks_left_out_for_one_reason_are_one_sentence():
    first = race(-30, name="First", row=3)
    (_, late) = windows(imported(habit()), journal(race(), first))
    said = [fact for fact in late.facts if "not part of" in fact]
    assert said == [
        "The weeks of days −35 to −29 and days −28 to −22 are not part of the baseline: each "
        "holds First or the 7 days after it."
    ]
