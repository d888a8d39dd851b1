"""People with a race ahead: the week that is planned, against the test's own sums and calendar."""

from __future__ import annotations

import csv
from datetime import date

import pytest
import vobject

from people.folders import Person, day

RACE = 119
"""Day of the race ahead: 27 October 2024, when clocks in Europe go back."""


def runner(folder, last: int) -> Person:
    """Four hours a week, 20 minutes of them hard; half of that before the race of day 0."""
    person = Person(folder, "Ines", more='sports = ["running", "cycling"]\n')
    for k in range(-70, last + 1):
        share = 0.5 if -7 <= k < 0 else 1.0
        weekday = day(k).isoweekday()
        if weekday == 1:
            person.session(k, "running", 1.0 * share, hard_min="0")
        elif weekday == 3:
            person.session(k, "running", 1.0 * share, hard_min=str(round(20 * share)))
        elif weekday == 6:
            person.session(k, "cycling", 2.0 * share, hard_min="0")
    return person


PAST = {
    "date": day(0),
    "name": "Weir Half",
    "sports": "running",
    "finish_time": "1:40:00",
    "expected_time": "1:41:00",
}
AHEAD = {"date": day(RACE), "name": "Salt Flats Half", "sports": "running"}
TRIP = {
    "depart_date": day(RACE - 5),
    "arrive_date": day(RACE - 4),
    "from_zone": "Europe/Lisbon",
    "to_zone": "Asia/Tokyo",
    "travel_h": 17,
}


def plan_of(folder) -> tuple[list[dict[str, str]], list]:
    """The rows of `next_week.csv`, and the entries of `next_week.ics` as vobject reads them."""
    out = folder.with_name(f"{folder.name}-report")
    with (out / "next_week.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    calendar = vobject.readOne((out / "next_week.ics").read_bytes().decode())
    return rows, calendar.vevent_list


def test_the_week_of_a_race_ahead_is_planned_round_the_trip(tmp_path, say):
    person = runner(tmp_path / "ines", RACE - 24)
    person.table("trips.csv", [TRIP])
    _, study, page = say.review(person.write(PAST, AHEAD))
    page = page.replace("\xa0", " ")
    assert [race["name"] for race in study["races"]] == ["Weir Half"]
    week = study["next_week"]
    last = max(date.fromisoformat(row["date"]) for row in person.diary)
    assert week["race"]["days_to_go"] == (day(RACE) - last).days
    assert f"{week['race']['days_to_go']} days after your last recorded day" in page
    assert week["baseline_h"] == pytest.approx(4.0)
    best = study["evidence"]["result"]["rule"]["parts"][0]["best"]
    kept = study["evidence"]["result"]["rule"]["parts"][1]["best"]
    assert week["target_h"] == pytest.approx(4.0 * (1 - best))
    assert week["hard_min"] == pytest.approx(20 * (1 - best) * kept)
    # the copied week held two hours: Monday's half, Wednesday's half and Saturday's one; Wednesday
    # is a travel day, so that its run, the hard one, is on Thursday
    rows, entries = plan_of(person.folder)
    scale = 4.0 * (1 - best) / 2.0
    minutes = [5 * round(60 * hours * scale / 5) for hours in (0.5, 0.5, 1.0)]
    days = ["2024-10-21", "2024-10-24", "2024-10-26"]
    assert [(row["date"], int(row["minutes"])) for row in rows] == list(
        zip(days, minutes, strict=True)
    )
    assert [row["weekday"] for row in rows] == ["Monday", "Thursday", "Saturday"]
    assert sum(int(row["hard_min"]) for row in rows) == round(week["hard_min"])
    assert int(rows[0]["hard_min"]) == 0
    assert int(rows[1]["hard_min"]) > int(rows[2]["hard_min"])
    assert [entry.dtstart.value for entry in entries] == [date.fromisoformat(d) for d in days]
    # Lisbon to Tokyo on 27 October 2024: summer time is over, nine hours east
    assert week["arrival"]["zones_h"] == 9.0
    assert week["arrival"]["left_h"] == pytest.approx(9 - 4 * 57 / 60)
    most = week["arrival"]["most_left_h"]
    assert week["arrival"]["days_needed"] == next(
        n for n in range(20) if 9 - n * 57 / 60 <= most + 1e-9
    )


def test_who_typed_only_the_race_ahead_gets_a_week_that_says_what_it_is(tmp_path, say):
    person = runner(tmp_path / "ines", RACE - 24)
    ran, study, page = say.review(person.write(AHEAD))
    assert ran.code == 0
    assert study["races"] == []
    rows, entries = plan_of(person.folder)
    assert len(rows) == len(entries) == 3
    assert "so the days are those of a usual week of yours" in page
    assert "race ahead" not in study["next_week"]["reason"]
    told = say("check", person.folder).out.splitlines()
    days = study["next_week"]["race"]["days_to_go"]
    assert f"Last recorded day: {study['last_recorded_day']}" in told
    assert any(
        line.startswith(
            f"{day(RACE)} Salt Flats Half: ahead, {days} days after the last recorded day"
        )
        for line in told
    )


def test_a_tune_up_is_not_prepared_for_and_a_race_over_has_no_calendar(tmp_path, say):
    person = runner(tmp_path / "ines", RACE - 24)
    tune_up = AHEAD | {"date": day(RACE - 14), "name": "Weir Ten", "aim": "tune-up"}
    _, study, page = say.review(person.write(PAST, tune_up, AHEAD))
    assert study["next_week"]["race"]["name"] == "Salt Flats Half"
    assert (
        "Also after your last recorded day: Weir Ten on 13 October 2024 (tune-up)."
        in page.replace("\xa0", " ")
    )
    calendar = person.folder.with_name("ines-report") / "next_week.ics"
    assert calendar.exists()
    _, study, page = say.review(person.write(PAST, tune_up))
    assert study["next_week"]["race"] is None
    assert [race["name"] for race in study["races_ahead"]] == ["Weir Ten"]
    assert not calendar.exists()
    assert '<h2 id="next-title">Next time</h2>' in page
