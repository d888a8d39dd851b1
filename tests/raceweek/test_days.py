"""No day is lost or told twice, whatever the clock does."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from build import imported, journal, leg, race
from taperback.journal.model import Period
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.days import day_states, mark_blocks

ZONES = st.sampled_from(
    [
        "Europe/Lisbon",
        "America/New_York",
        "Asia/Kathmandu",
        "Australia/Lord_Howe",  # half an hour of summer time
        "Pacific/Kiritimati",
        "Pacific/Honolulu",
        "America/Sao_Paulo",
        "Antarctica/Troll",  # two hours of summer time
    ]
)
DAY0 = date(2030, 6, 30)
SPAN = [DAY0 + timedelta(days=k) for k in range(-56, 1)]


@settings(max_examples=30, deadline=None)
@given(
    home=ZONES,
    away=ZONES,
    race_day=st.dates(date(2024, 1, 1), date(2030, 12, 31)),
    days_away=st.integers(0, 20),
    hour=st.integers(0, 21),  # an hour that a clock change skips is told later the same day
)
def test_no_local_day_is_lost_or_doubled(home, away, race_day, days_away, hour):
    """A session each local day at the same local hour, the last ones in another zone."""
    legs = []
    for k in range(-56, 0):
        zone = ZoneInfo(away if k >= -days_away else home)
        local = datetime.combine(race_day + timedelta(days=k), datetime.min.time(), zone)
        start = local.replace(hour=hour).astimezone(UTC)
        offset = start.astimezone(zone).utcoffset().total_seconds()
        legs.append(leg(0, file=f"{k}.fit", start_utc=start, file_utc_offset_s=offset))
    book = journal(race() | {"date": race_day})
    window = windows(imported(legs), book)[0]
    counts = Counter(window.training(-56, -1)["days_to_race"])
    assert counts == dict.fromkeys(range(-56, 0), 1)
    assert window.days["day"].tolist() == [race_day + timedelta(days=k) for k in range(-56, 1)]


@settings(max_examples=60, deadline=None)
@given(recorded=st.sets(st.sampled_from(SPAN)), gap=st.sampled_from([None, (10, 14), (40, 50)]))
def test_each_day_has_one_state_and_files_are_never_denied(recorded, gap):
    periods = [Period(SPAN[gap[0]], SPAN[gap[1]], "gap")] if gap else []
    days = day_states(SPAN, recorded, periods)
    assert days["day"].tolist() == SPAN
    assert set(days.loc[days["state"] == "recorded", "day"]) == recorded
    assert set(days["state"]) <= {"recorded", "rest", "unknown"}
    for block in mark_blocks(days, periods, []):
        states = days.loc[days["days_to_race"].between(block.first, block.last), "state"]
        assert not (block.usable and "unknown" in set(states))


def test_six_empty_days_are_rest_and_seven_are_unknown():
    for run, state in ((6, "rest"), (7, "unknown")):
        empty = set(SPAN[20 : 20 + run])
        days = day_states(SPAN, set(SPAN) - empty, [])
        assert set(days.loc[days["day"].isin(empty), "state"]) == {state}


def test_a_word_in_the_journal_parts_a_long_stretch():
    empty = set(SPAN[20:30])
    days = day_states(SPAN, set(SPAN) - empty, [Period(SPAN[24], SPAN[26], "illness")])
    assert set(days.loc[days["day"].isin(empty), "state"]) == {"rest"}


def states_after_the_last_file(
    last: int, after: int | None = None, *, took_place: bool = True
) -> list[str]:
    """States of the days between the last file before the race and the race, which has none."""
    recorded = {DAY0 + timedelta(days=k) for k in range(-56, last + 1)}
    recorded |= {DAY0 + timedelta(days=after)} if after else set()
    days = day_states(SPAN, recorded, [], took_place=took_place)
    return list(days.loc[days["days_to_race"].between(last + 1, -1), "state"])


@pytest.mark.parametrize("last", [-2, -3, -5])
def test_no_day_before_a_race_to_come_is_a_rest_day_that_nobody_had(last):
    assert set(states_after_the_last_file(last, took_place=False)) == {"unknown"}


def test_a_day_or_two_before_a_race_that_took_place_are_days_off_and_more_are_unknown():
    assert states_after_the_last_file(-3) == ["rest"] * 2
    assert states_after_the_last_file(-4) == ["unknown"] * 3


def test_files_soon_after_a_race_that_took_place_show_that_the_days_before_it_were_recorded():
    assert states_after_the_last_file(-7, after=7) == ["rest"] * 6
    assert states_after_the_last_file(-8, after=7) == ["unknown"] * 7
    assert states_after_the_last_file(-7, after=8) == ["unknown"] * 6


def test_a_race_that_nothing_is_typed_of_does_not_part_a_stretch_without_files():
    assert states_after_the_last_file(-4, after=3, took_place=False) == ["rest"] * 3
    assert states_after_the_last_file(-4, after=4, took_place=False) == ["unknown"] * 3


def test_days_after_the_last_file_are_told_as_such_unless_the_journal_has_a_word():
    recorded = set(SPAN[:-6])
    days = day_states(SPAN, recorded, [Period(SPAN[-4], SPAN[-3], "illness")])
    assert days["word"].tolist()[-6:-1] == [
        *["after the last file"] * 2,
        *["the journal says illness"] * 2,
        "after the last file",
    ]


def test_blocks_are_six_weeks_up_to_day_minus_15():
    blocks = mark_blocks(day_states(SPAN, set(SPAN), []), [], [])
    assert [(block.first, block.last) for block in blocks] == [
        (-56, -50),
        (-49, -43),
        (-42, -36),
        (-35, -29),
        (-28, -22),
        (-21, -15),
    ]


def test_each_day_says_why_it_is_what_it_is():
    recorded = set(SPAN) - {*SPAN[20:22], *SPAN[30:37]}
    days = day_states(SPAN, recorded, [Period(SPAN[40], SPAN[41], "gap")])
    word_of = dict(zip(days["day"], days["word"], strict=True))
    assert word_of[SPAN[20]] == "no file, and files lie close by"
    assert word_of[SPAN[30]] == "7 days without a file or a word in the journal"
    assert {word_of[SPAN[40]], word_of[SPAN[41]]} == {"records are missing, says the journal"}
    assert {word_of[day] for day in recorded - {SPAN[40], SPAN[41]}} == {""}
    assert set(days.loc[days["partial"], "day"]) == {SPAN[40], SPAN[41]}


def test_what_keeps_a_week_out_has_a_kind_and_a_reason():
    days = day_states(SPAN, set(SPAN) - set(SPAN[14:21]), [])
    (first, second, third, *_) = mark_blocks(
        days, [Period(SPAN[7], SPAN[7], "illness")], [(SPAN[6], "Early")]
    )
    assert (first.kind, first.reason) == ("recovery", "holds Early or the 7 days after it")
    assert (second.kind, second.usable) == ("recovery", False)
    assert (third.kind, third.reason) == (
        "unknown",
        "has 7 unknown days (7 days without a file or a word in the journal)",
    )
    ill = mark_blocks(days, [Period(SPAN[6], SPAN[7], "illness")], [])
    assert [block.kind for block in ill[:2]] == ["illness", "illness"]
    before = mark_blocks(days, [Period(SPAN[7], SPAN[7], "illness")], [])
    assert [block.kind for block in before[:2]] == ["", "illness"]


def test_recovery_reaches_seven_days_and_no_further():
    days = day_states(SPAN, set(SPAN), [])
    eight_before = DAY0 - timedelta(days=64)
    seven_before = DAY0 - timedelta(days=63)
    assert mark_blocks(days, [], [(eight_before, "Early")])[0].usable
    assert not mark_blocks(days, [], [(seven_before, "Early")])[0].usable
