"""Hand-built studies with a race ahead."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from report.studies import days_of, study
from taperback.journal.columns import TABLES
from taperback.raceweek.ahead import RaceAhead
from taperback.raceweek.effort.repetitions import Repetitions
from taperback.raceweek.model import Measured
from taperback.raceweek.run_up import RunUp, UsualRepetitions
from taperback.raceweek.travel.trips import Trip
from taperback.study.next_week import plan_next_week
from taperback.study.review import Study


def race_ahead(day0: date, name: str = "Gull Point", **cells: object) -> RaceAhead:
    """A race 28 days after the last recorded day."""
    row = TABLES["races"].absent | {"row": 7, "date": day0, "name": name} | cells
    return RaceAhead(day0.isoformat(), name, day0, row, day0 - timedelta(28), 28, (7,))


def run_up_to(race: RaceAhead, trip: Trip | None = None) -> RunUp:
    """Four steady weeks before a race ahead, with kilometres as the usual repetitions."""
    span = tuple(race.day0 + timedelta(k) for k in range(-56, -28))
    kilometres = Repetitions("running", 5, "distance", 1000, "speed", 1000 / 225, 1125)
    return RunUp(
        race=race,
        weekly=Measured("baseline_weekly_h", 10.0, days=span),
        hard=Measured("baseline_hard_min", 60.0, days=span),
        night=Measured("usual_night_h", 7.5, days=span),
        days=days_of(race.day0, 0.5, 7.5, 0.0),
        repetitions=(UsualRepetitions(kilometres, 3.75, 4),),
        trip=trip,
    )


def study_ahead(
    day0: date = date(2031, 3, 30), trip: Trip | None = None, name: str = "Gull Point"
) -> Study:
    """The same athlete with a race ahead, a tune-up before it, and one after it."""
    made, race = study(), race_ahead(day0, name)
    tune_up = race_ahead(day0 - timedelta(14), "Weir Sprint", row=8, aim="tune-up")
    later = race_ahead(day0 + timedelta(70), "Long Dyke", row=9)
    return replace(
        made,
        ahead=(tune_up, race, later),
        last_day=race.last_day,
        next_week=plan_next_week(made.weeks, made.result.rule, run_up_to(race, trip)),
    )


def busy_ahead() -> Study:
    """A race ahead with all that can stand in next time: a trip, other races, full days."""
    day0 = date(2031, 3, 30)
    away = Trip("journal", 9.0, "", day0 - timedelta(4), day0 - timedelta(3), 14.0, ((9.0, 3),))
    made = study_ahead(day0, away, "The Long Way Round the Salt Marsh and Back by Sea")
    week = made.next_week
    more = [replace(one, sport="strength_training") for one in week.sessions]
    also = [race_ahead(day0 + timedelta(30 * k), f"Race {k} of the Summer Series") for k in (3, 4)]
    plan = replace(week, sessions=(*week.sessions, *more))
    return replace(made, next_week=plan, ahead=(*made.ahead, *also))
