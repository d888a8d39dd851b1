"""Which legs are the race."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from build import NAN, day, imported, journal, leg, multisport, race
from taperback.common.limits import LIMITS
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.race_day import race_ids


def race_of(legs, **cells):
    """Window of the one race, and (sport, hours) of the legs that were found to be it."""
    window = windows(imported(legs), journal(race(**cells)))[0]
    own = window.legs.named(window.race_legs)
    return window, list(zip(own["sport"], own["hours"], strict=True))


def test_warm_up_and_race_are_told_apart():
    window, found = race_of([leg(0, hours=0.3, at=7), leg(0, hours=1.5, at=9)], sports=("running",))
    assert found == [("running", 1.5)]
    assert window.legs["role"].tolist() == ["race_day", "race"]


def test_a_multisport_file_with_the_sports_is_the_race_with_its_transitions():
    parts = [("swimming", 0.5), ("transition", 0.1), ("cycling", 1.0), ("running", 0.7)]
    legs = [*multisport(0, *parts), leg(0, "cycling", 3.0, at=15)]
    _, found = race_of(legs, sports=("swimming", "cycling", "running"))
    assert found == parts


def test_a_race_recorded_in_one_file_a_sport_is_put_together():
    legs = [leg(0, "swimming", 0.5, at=8), leg(0, "cycling", 1.2, at=8.6), leg(0, at=10)]
    _, found = race_of([*legs, leg(0, hours=0.2, at=6)], sports=("swimming", "cycling", "running"))
    assert [sport for sport, _ in found] == ["swimming", "cycling", "running"]


def test_a_duathlon_has_two_runs():
    legs = [leg(0, hours=0.5, at=8), leg(0, "cycling", at=9), leg(0, hours=0.4, at=10.5)]
    _, found = race_of([*legs, leg(0, hours=0.1, at=7)], sports=("running", "cycling", "running"))
    assert found == [("running", 0.5), ("cycling", 1.0), ("running", 0.4)]


def test_without_sports_the_longest_session_of_the_day_is_the_race():
    _, found = race_of([leg(0, hours=0.3, at=7), leg(0, "cycling", 4.0, at=9)])
    assert found == [("cycling", 4.0)]


def test_another_sport_on_race_day_is_not_the_race():
    window, found = race_of([leg(0, "cycling", 0.5)], sports=("running",))
    assert found == []
    assert window.days["word"].iloc[-1] == "no file of the race was found"
    assert window.days["state"].iloc[-1] == "unknown"


def test_a_race_that_started_before_midnight_belongs_to_the_date_it_is_written_under():
    evening = leg(-1, hours=3.0, at=22, file_utc_offset_s=0.0)
    window, found = race_of([evening], sports=("running",))
    assert found == [("running", 3.0)]
    assert not len(window.training(-7, -1)), "the race is no training of the day before"
    assert window.days.set_index("days_to_race").loc[0, "state"] == "recorded"


def test_a_race_that_ends_after_midnight_stays_on_its_own_day():
    legs = [
        leg(0, "cycling", 5.0, at=19, file_utc_offset_s=0.0),
        leg(1, "running", 2.0, at=0.2, file_utc_offset_s=0.0),
    ]
    window, found = race_of(legs, sports=("cycling", "running"))
    assert [sport for sport, _ in found] == ["cycling", "running"]
    assert window.legs["days_to_race"].tolist() == [0, 0]


def test_an_evening_session_that_ended_before_midnight_is_not_the_race():
    _, found = race_of([leg(-1, hours=1.0, at=18, file_utc_offset_s=0.0)], sports=("running",))
    assert found == []


def test_heats_on_one_day_follow_the_clock():
    legs = [leg(0, hours=0.2, at=10), leg(0, hours=0.1, at=12)]
    book = journal(
        race(row=2, name="Heat", sports=("running",)),
        race(row=3, name="Final", sports=("running",)),
    )
    heat, final = windows(imported(legs), book)
    starts = {one.leg_id: one.local_start.hour for one in heat.legs}
    assert [starts[heat.race_legs[0]], starts[final.race_legs[0]]] == [11, 13]  # local summer time
    assert (heat.race_id, final.race_id) == ("2030-06-30", "2030-06-30-2")


def test_a_race_not_started_has_no_legs():
    window, found = race_of([leg(0)], status="dns", sports=("running",))
    assert found == []
    assert window.days["word"].iloc[-1] == "the race was not started"
    assert window.days["state"].iloc[-1] == "unknown"
    assert window.legs["role"].tolist() == ["race_day"]


def test_ids_are_dates_and_count_on():
    assert race_ids([date(2030, 5, 1), day(0), day(0)]) == [
        "2030-05-01",
        "2030-06-30",
        "2030-06-30-2",
    ]


def test_an_evening_session_of_unknown_length_is_not_the_race():
    for at in (22, 23 + 3599.5 / 3600):
        before = leg(-1, at=at, elapsed_s=NAN, file_utc_offset_s=0.0)
        assert race_of([before, leg(0)], sports=("running",))[1] == [("running", 1.0)]
        assert race_of([before], sports=("running",))[1] == []


def test_a_race_file_of_unknown_length_is_the_race_where_it_is_the_only_one():
    unknown = leg(0, elapsed_s=NAN, moving_s=NAN)
    for cells in ({}, {"finish_time_s": 3600.0}, {"distance": "10.8 km"}):
        window, _ = race_of([unknown], sports=("running",), **cells)
        assert len(window.race_legs) == 1


def test_of_two_multisport_files_the_longer_is_the_race():
    short = multisport(0, ("swimming", 0.2), ("cycling", 0.5), ("running", 0.3), at=6)
    long = [
        leg(0, sport, hours, at=at, file="long.fit", leg_index=k, legs_in_file=3)
        for k, (sport, hours, at) in enumerate(
            (("swimming", 0.5, 10), ("cycling", 1.0, 11), ("running", 0.7, 12))
        )
    ]
    sports = ("swimming", "cycling", "running")
    assert race_of([*short, *long], sports=sports)[1][0] == ("swimming", 0.5)
    assert race_of([*short, *long])[1][0] == ("swimming", 0.5)


def test_a_race_of_one_sport_is_no_multisport_file_and_a_file_of_other_sports_no_race():
    brick = multisport(0, ("cycling", 2.0), ("running", 0.4), at=14)
    assert race_of([leg(0, hours=1.0), *brick], sports=("running",))[1] == [("running", 1.0)]
    parts = [leg(0, "swimming", 0.4, at=7), leg(0, hours=1.0)]
    _, found = race_of([*parts, *brick], sports=("swimming", "running"))
    assert found == [("swimming", 0.4), ("running", 1.0)]


@pytest.mark.parametrize(("at", "found"), [(2.9, True), (3.1, False)])
def test_a_race_may_start_until_three_hours_past_midnight(at, found):
    """The limit is `past_midnight_h` of limits.toml."""
    hours = LIMITS.race_day.past_midnight_h
    late = leg(1, at=at - 3 + hours, file_utc_offset_s=0.0)
    cycled = leg(0, "cycling", 4.0, at=18, file_utc_offset_s=0.0)
    told = [sport for sport, _ in race_of([cycled, late], sports=("cycling", "running"))[1]]
    assert told == (["cycling", "running"] if found else ["cycling"])


def pool(at, minutes, metres, **changes):
    return leg(0, "swimming", minutes / 60, at=at, distance_m=metres, **changes)


def swum(distance, finish_time_s=NAN, **cells):
    return race(sports=("swimming",), distance=distance, finish_time_s=finish_time_s, **cells)


def metres_of(windows_of_day):
    """What distance the legs taken for each race have; None where there are none."""
    return [
        float(own["distance_m"].sum())
        if len(own := w.legs.where(w.legs["role"] == "race"))
        else None
        for w in windows_of_day
    ]


def test_a_swimmers_start_is_the_leg_that_fits_its_time_and_distance_and_no_warm_up():
    legs = [pool(7, 40, 1800), pool(9, 1.01, 100), pool(9.2, 8, 300)]
    assert metres_of(windows(imported(legs), journal(swum("100 m", 60.5)))) == [100]


def test_three_starts_of_a_day_each_get_their_own_leg_whatever_the_order_typed():
    legs = [pool(7, 40, 1800), pool(9, 1.01, 100), pool(10, 2.2, 200), pool(11, 0.48, 50)]
    book = journal(
        swum("200 m freestyle", 131.9, row=2),
        swum("50 m", 28.4, row=3),
        swum("100 m", 60.5, row=4),
    )
    assert metres_of(windows(imported(legs), book)) == [200, 50, 100]


def test_two_starts_over_one_distance_are_told_apart_by_their_times():
    legs = [pool(9, 1.05, 100), pool(15, 1.0, 100, file="final.fit")]
    final, heat = windows(
        imported(legs), journal(swum("100 m", 60.1, row=2), swum("100 m", 62.9, row=3))
    )
    files = [w.legs.where(w.legs["role"] == "race")["file"].tolist() for w in (final, heat)]
    assert files == [["final.fit"], [legs[0].file]]


def test_a_warm_up_alone_is_no_race_over_another_distance():
    window = windows(imported([pool(7, 40, 1800)]), journal(swum("100 m", 60.5)))[0]
    assert window.race_legs == ()
    assert window.days["word"].iloc[-1] == "no file of the race was found"


def test_a_time_typed_wrong_still_has_the_file_of_its_distance():
    legs = [leg(0, hours=0.3, at=7, distance_m=3000), leg(0, hours=0.7, at=9, distance_m=10_040)]
    _, found = race_of(legs, sports=("running",), distance="10 km", finish_time_s=18_000.0)
    assert found == [("running", 0.7)]


def test_a_race_in_two_files_is_one_where_they_follow_within_minutes():
    legs = [
        leg(0, hours=6.0, at=5, distance_m=60_000, file="first.gpx"),
        leg(0, hours=4.0, at=11.2, distance_m=38_000, file="second.gpx"),
    ]
    ran = {"sports": ("running",), "finish_time_s": 10.2 * 3600}
    assert race_of(legs, **ran)[1] == [("running", 6.0), ("running", 4.0)]
    assert race_of(legs, sports=("running",), distance="100 km")[1][1] == ("running", 4.0)
    assert race_of(legs, sports=("running",))[1] == [("running", 6.0), ("running", 4.0)]


def test_a_warm_up_minutes_before_the_race_is_none_of_it():
    legs = [leg(0, hours=0.3, at=7.5), leg(0, hours=1.0, at=8.0), leg(0, hours=0.2, at=9.1)]
    assert race_of(legs, sports=("running",), finish_time_s=3590.0)[1] == [("running", 1.0)]
    assert race_of(legs, sports=("running",))[1] == [("running", 1.0)]


def test_an_ultra_goes_on_in_another_file_long_after_midnight():
    legs = [
        leg(0, hours=20.0, at=6, file_utc_offset_s=0.0),
        leg(1, hours=5.0, at=2.2, file_utc_offset_s=0.0),
        leg(1, hours=3.0, at=7.3, file_utc_offset_s=0.0),
    ]
    window, found = race_of(legs, sports=("running",), finish_time_s=28.3 * 3600)
    assert [hours for _, hours in found] == [20.0, 5.0, 3.0]
    assert set(window.legs["days_to_race"]) == {0}


def test_a_multisport_file_is_chosen_by_its_time():
    short = multisport(0, ("swimming", 0.2), ("cycling", 0.5), ("running", 0.3), at=6)
    long = [
        leg(0, sport, hours, at=at, file="long.fit", leg_index=k, legs_in_file=3)
        for k, (sport, hours, at) in enumerate(
            (("swimming", 0.5, 10), ("cycling", 1.0, 10.5), ("running", 0.7, 11.5))
        )
    ]
    sports = ("swimming", "cycling", "running")
    assert race_of([*short, *long], sports=sports, finish_time_s=3610.0)[1][0][1] == 0.2
    assert race_of([*short, *long], sports=sports, finish_time_s=7900.0)[1][0][1] == 0.5


def test_a_triathlon_without_the_file_of_its_swim_has_its_other_legs():
    legs = [leg(0, "cycling", 1.2, at=8.6), leg(0, hours=0.7, at=10)]
    sports = ("swimming", "cycling", "running")
    _, found = race_of(legs, sports=sports, finish_time_s=9000.0)
    assert [sport for sport, _ in found] == ["cycling", "running"]


def test_the_leg_of_the_day_comes_before_a_longer_one_of_the_night_before_or_after():
    evening = leg(-1, hours=5.0, at=20, file_utc_offset_s=0.0)
    night = leg(1, hours=4.0, at=0.5, file_utc_offset_s=0.0)
    ran = {"sports": ("running",)}
    assert race_of([evening, leg(0, hours=1.0, at=9), night], **ran)[1] == [("running", 1.0)]
    assert race_of([evening, night], **ran)[1] == [("running", 5.0)]
    assert race_of([night], **ran)[1] == [("running", 4.0)]
    assert race_of([leg(2, hours=4.0, at=0.5, file_utc_offset_s=0.0)], **ran)[1] == []


def test_without_sports_a_leg_after_the_midnight_that_follows_is_no_race():
    assert race_of([leg(1, hours=4.0, at=0.5, file_utc_offset_s=0.0)])[1] == []
    evening = leg(-1, hours=5.0, at=20, file_utc_offset_s=0.0)
    assert race_of([evening, leg(0, hours=1.0, at=9)])[1] == [("running", 1.0)]
    assert race_of([evening])[1] == [("running", 5.0)]


def test_the_multisport_file_of_the_day_comes_before_a_longer_one_of_the_night():
    parts = [("swimming", 0.5), ("cycling", 1.0), ("running", 0.7)]
    longer = [(sport, 3 * hours) for sport, hours in parts]
    at_home = {"file_utc_offset_s": 0.0}
    evening, night, of_day = (
        [replace(one, **at_home) for one in legs]
        for legs in (
            multisport(-1, *longer, at=20),
            multisport(1, *longer, at=0.5),
            multisport(0, *parts, at=9),
        )
    )
    sports = ("swimming", "cycling", "running")
    assert race_of([*evening, *of_day, *night], sports=sports)[1] == parts
    assert [sport for sport, _ in race_of([*evening, *night], sports=sports)[1]] == list(sports)
    first = race_of([*evening, *night], sports=sports)[0].race_legs[0]
    assert first in {one.leg_id for one in imported(evening).legs.itertuples()}
    assert race_of(night, sports=sports, finish_time_s=6.6 * 3600)[1] == []


def test_a_triathlon_whose_run_begins_after_midnight_is_still_one_race():
    parts = [("swimming", 1.0), ("cycling", 9.0), ("running", 5.0)]
    legs = [replace(one, file_utc_offset_s=0.0) for one in multisport(0, *parts, at=15)]
    sports = ("swimming", "cycling", "running")
    assert race_of(legs, sports=sports, finish_time_s=15 * 3600.0)[1] == parts
    assert race_of(legs, sports=sports)[1] == parts


def test_a_lone_transition_is_no_race():
    legs = [leg(0, "transition", 2.0, at=7), leg(0, "cycling", 1.0, at=12)]
    assert race_of(legs)[1] == [("cycling", 1.0)]
    assert race_of(legs, distance="10.8 km")[1] == [("cycling", 1.0)]


def test_a_part_of_a_quarter_of_the_longest_belongs_to_the_race_and_less_does_not():
    """The limit is `part_of_race_share` of limits.toml."""
    share = LIMITS.race_day.part_of_race_share
    whole = leg(0, hours=4.0, at=6)
    part, less = (leg(0, hours=4 * share - by, at=10.2) for by in (0.0, 0.01))
    ran = {"sports": ("running",)}
    assert [hours for _, hours in race_of([whole, part], **ran)[1]] == [4.0, 4 * share]
    assert [hours for _, hours in race_of([whole, less], **ran)[1]] == [4.0]


@pytest.mark.parametrize(("late_min", "found"), [(0.0, 2), (0.5, 1)])
def test_a_file_follows_within_the_minutes_of_limits(late_min, found):
    """The limit is `joined_min` of limits.toml."""
    gap_min = LIMITS.race_day.joined_min + late_min
    legs = [leg(0, hours=4.0, at=6), leg(0, hours=3.0, at=10 + gap_min / 60)]
    assert len(race_of(legs, sports=("running",))[1]) == found
    assert len(race_of(legs, sports=("running",), finish_time_s=7.3 * 3600)[1]) == found


@pytest.mark.parametrize("finish_h", [0.9, 1.0, 1.2])
def test_any_time_between_moving_and_elapsed_fits_a_leg_as_well(finish_h):
    """A stop at a closed crossing: 0.9 h moving of 1.2 h; the others lie further off."""
    stopped = leg(0, hours=1.2, at=9, moving_s=0.9 * 3600)
    others = [leg(0, hours=0.88, at=7), leg(0, hours=1.23, at=12)]
    ran = {"sports": ("running",), "finish_time_s": finish_h * 3600}
    assert race_of([*others, stopped], **ran)[1] == [("running", 0.9)]


def test_one_leg_serves_one_of_two_races_alike():
    """Two starts over 100 m in a minute and one file: it is the first one's."""
    book = journal(swum("100 m", 60.1, row=2), swum("100 m", 60.1, row=3))
    assert metres_of(windows(imported([pool(9, 1.0, 100)]), book)) == [100, None]


def test_a_leg_whose_moving_time_is_unknown_lasts_as_long_as_it_took():
    legs = [leg(0, hours=1.0, at=7), leg(0, hours=2.0, at=9, moving_s=NAN)]
    window, _ = race_of(legs, sports=("running",), finish_time_s=7200.0)
    assert window.legs.named(window.race_legs)["elapsed_s"].tolist() == [7200.0]


def test_of_two_legs_of_one_time_the_distance_decides():
    legs = [leg(0, at=7, distance_m=9_000), leg(0, at=12, distance_m=10_020)]
    window, _ = race_of(legs, sports=("running",), finish_time_s=3600.0, distance="10 km")
    own = window.legs.named(window.race_legs)
    assert own["distance_m"].tolist() == [10_020]


def test_a_distance_that_was_not_finished_is_held_against_nothing():
    """Who stops a marathon after an hour has run the leg of that hour."""
    legs = [leg(0, hours=1.0, at=9, distance_m=11_000)]
    cells = {"sports": ("running",), "distance": "42.2 km"}
    assert race_of(legs, **cells)[1] == []
    assert race_of(legs, **cells, status="dnf")[1] == [("running", 1.0)]


def test_two_races_without_a_time_take_no_leg_twice():
    """The only leg of the day is the first one's; heats without a file come last."""
    book = journal(
        race(row=2, name="Heat", sports=("running",)),
        race(row=3, name="Final", sports=("running",)),
    )
    heat, final = windows(imported([leg(0, hours=0.2, at=10)]), book)
    assert (len(heat.race_legs), len(final.race_legs)) == (1, 0)
