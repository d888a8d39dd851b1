"""Sports beyond three, and a flight that arrives a day before it left."""

from __future__ import annotations

import pytest

from people.folders import Person, day


@pytest.mark.parametrize(
    "sport", ["cross-country skiing", "handcycling", "rowing", "trail running", "gravel", "mtb"]
)
def test_every_athletes_own_word_for_a_sport_is_taken(tmp_path, say, same, sport):
    person = Person(tmp_path / "own")
    for k in range(-60, 9):
        person.session(k, sport, 0.5 if -7 <= k < 0 else 1.0)
    times = {"finish_time": "2:00:00", "expected_time": "2:05:00"}
    folder = person.write({"date": day(0), "name": "Open", "sports": sport} | times)
    it = say.through(folder, "Open", "volume_h")
    assert (it.review.code, it.review.err) == (0, "")
    (race,) = it.study["races"]
    same(race, "volume_cut", 1 - person.between(-7, -1) / (person.between(-56, -15) / 6))
    same(race, "result_pct", 4.0)


def test_a_flight_east_over_the_date_line_may_arrive_the_day_before(tmp_path, say, same):
    person = Person(tmp_path / "fay", zone="Pacific/Auckland")
    for k in range(-60, 9):
        person.session(k, "running", 0.5 if -7 <= k < 0 else 1.0)
    person.table(
        "trips.csv",
        [
            {
                "depart_date": day(-3),
                "arrive_date": day(-4),
                "from_zone": "Pacific/Auckland",
                "to_zone": "Pacific/Honolulu",
            }
        ],
    )
    folder = person.write({"date": day(0), "name": "Open", "sports": "running"})
    it = say.through(folder, "Open", "body_clock_lag_h")
    assert (it.check.code, it.review.err) == (0, ""), "no mistake"
    same(it.study["races"][0], "body_clock_lag_h", 0.0)
    same(it.study["races"][0], "zones_crossed", 2.0 - 24.0)
    # 12 h ahead to 10 h behind: the clock goes back 22 h, two hours on for the body; at 57 minutes
    # a day nothing of them is left after four days
    assert (
        "clock 22.0 h back, which is 2.0 h eastward for the body, and then 4 days" in it.explain.out
    )
