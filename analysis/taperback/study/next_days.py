"""The days of next time's week: those of a week the athlete did, scaled, off the travel days."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.raceweek.run_up import UsualRepetitions
from taperback.raceweek.window.window import RACE_WEEK

DAYS = range(RACE_WEEK[0], RACE_WEEK[1] + 1)


@dataclass(frozen=True)
class PlannedSession:
    """What one sport gets on one day before the race.

    Attributes:
        days_to_race: -7 .. -1.
        sport: FIT sport name.
        minutes: moving time, rounded as a person would plan it.
        hard_min: whole minutes of it above the second threshold; None where that is unknown.
        work: the hard part in the athlete's own repetitions, such as "3 x 1 km at 3:45 /km"; empty
            where there is none or where no repetitions are known.
        opener: whether the hard part is the short one that wakes the legs before the race.
        day: the date; None where no race is ahead.
    """

    days_to_race: int
    sport: str
    minutes: int
    hard_min: int | None = None
    work: str = ""
    opener: bool = False
    day: date | None = None


@dataclass(frozen=True)
class Pattern:
    """A week to copy, its days counted from a race.

    Attributes:
        sessions: one row per day and sport: `days_to_race`, `sport`, `hours`, and `hard_min`, the
            minutes above the second threshold.
        opener: the day that held an opener; None where none did.
    """

    sessions: pd.DataFrame
    opener: int | None = None


COLUMNS = ("days_to_race", "sport", "hours", "hard_min")
"""Columns of `Pattern.sessions`."""


def pattern_of(
    days: pd.DataFrame, first: date, opener: date | None = None, hard_in: Collection[str] = ()
) -> Pattern:
    """The week from a date on, as if it were a race week.

    Args:
        days: columns `raceweek.model.DAY_COLUMNS`.
        first: first day of the week.
        opener: the day that held an opener.
        hard_in: the sports that the athlete usually does repetitions in. The days do not tell in
            which sport they were hard: it is taken for one of these, and for the longest.
    """
    rows = []
    for day in days.itertuples():
        to_race = (day.day - first).days + DAYS[0]
        done = {sport: hours for sport, hours in day.hours.items() if hours > 0}
        if to_race not in DAYS or not done:
            continue
        hardest = max(done, key=lambda sport: (sport in hard_in, done[sport]))
        hard = day.hard_min if day.hard_min > 0 else 0.0
        rows += [
            (to_race, sport, float(hours), float(hard) if sport == hardest else 0.0)
            for sport, hours in done.items()
        ]
    return Pattern(
        pd.DataFrame(rows, columns=list(COLUMNS)),
        (opener - first).days + DAYS[0] if opener else None,
    )


def off_travel(pattern: Pattern, travel: Collection[int]) -> Pattern:
    """The same week with nothing on the travel days.

    What lay on one goes to the nearest free day, of two the earlier, and where none is free to the
    nearest other day; to the day before the race only where there is no other.
    """
    trained = sorted(set(pattern.sessions["days_to_race"]))
    open_days = [day for day in DAYS if day not in travel]
    if not open_days:
        return Pattern(pattern.sessions.iloc[:0])
    taken = {*trained, DAYS[-1]} - set(travel)
    goes_to = {day: day for day in open_days}
    for day in (day for day in trained if day in travel):
        free = [k for k in open_days if k not in taken]
        choice = free or [k for k in open_days if k != DAYS[-1]] or open_days
        goes_to[day] = min(choice, key=lambda k: (abs(k - day), k))
        taken.add(goes_to[day])
    moved = pattern.sessions.assign(days_to_race=pattern.sessions["days_to_race"].map(goes_to))
    sessions = moved.groupby(["days_to_race", "sport"], as_index=False).sum()
    return Pattern(sessions, None if pattern.opener in travel else pattern.opener)


def plan_sessions(
    pattern: Pattern,
    scale: float,
    hard_min: float | None,
    repetitions: Sequence[UsualRepetitions] = (),
    race_day: date | None = None,
) -> tuple[PlannedSession, ...]:
    """The pattern scaled, in steps a person plans in, with the hard part on its days.

    Args:
        pattern: the week.
        scale: planned hours over the pattern's.
        hard_min: minutes above the second threshold to plan, as far as they fit; None if unknown.
        repetitions: what the athlete's usual hard sessions are.
        race_day: the date of the race ahead, if there is one.
    """
    limits = LIMITS.next_week
    step = limits.minutes_step
    rows = pattern.sessions.sort_values(["days_to_race", "sport"])
    rows = rows.assign(minutes=[step * round(60 * h * scale / step) for h in rows["hours"]])
    rows = rows[rows["minutes"] >= limits.shortest_min]
    planned = [
        PlannedSession(
            int(row.days_to_race),
            str(row.sport),
            int(row.minutes),
            day=race_day + timedelta(days=int(row.days_to_race)) if race_day else None,
        )
        for row in rows.itertuples()
    ]
    if hard_min is None or not planned:
        return tuple(planned)
    done = [float(minutes) for minutes in rows["hard_min"]]
    whole = round(hard_min)
    opener, short = _opener(planned, done, pattern.opener, whole)
    by_sport = {usual.what.sport: usual for usual in repetitions}
    shares = _shared_out(whole - short, _hard_places(planned, done, opener, by_sport), planned)
    if opener is not None:
        shares[opener] = shares.get(opener, 0) + short
    return tuple(
        replace(
            session,
            hard_min=min(shares.get(place, 0), session.minutes),
            work=by_sport[session.sport].with_hard_min(shares[place])
            if session.sport in by_sport and shares.get(place) and place != opener
            else "",
            opener=place == opener,
        )
        for place, session in enumerate(planned)
    )


def _opener(
    planned: Sequence[PlannedSession], done: Sequence[float], copied: int | None, hard_min: int
) -> tuple[int | None, int]:
    """The place of the session with the opener, and its hard minutes; None, 0 where there is none.

    It is on the day that it was on in the copied week, else on the last of the days for one.
    """
    limits = LIMITS.opener
    days = [copied] if copied else [*range(limits.last_day, limits.first_day - 1, -1)]
    places = [k for day in days for k, one in enumerate(planned) if one.days_to_race == day]
    if not places:
        return None, 0
    first_day = planned[places[0]].days_to_race
    of_day = [k for k in places if planned[k].days_to_race == first_day]
    place = max(of_day, key=lambda k: (done[k] if copied else 0.0, -planned[k].minutes))
    usual = round(done[place]) if copied else 0
    minutes = min(usual or LIMITS.next_week.opener_min, int(limits.most_hard_min), hard_min // 3)
    return (place, minutes) if minutes else (None, 0)


def _hard_places(
    planned: Sequence[PlannedSession],
    done: Sequence[float],
    opener: int | None,
    by_sport: Mapping[str, UsualRepetitions],
) -> dict[int, float]:
    """The places of the sessions that get a hard part, and how much of it each gets.

    They are those that were hard in the copied week; where none were, or only too near the race,
    one on the day nearest to the usual one, in a sport with repetitions where there is one.
    """
    limits = LIMITS.next_week
    places = [k for k in range(len(planned)) if k != opener] or [*range(len(planned))]
    early = [k for k in places if planned[k].days_to_race <= limits.last_hard_day] or places
    most = max(done[k] for k in early)
    if most > 0:
        return {k: done[k] for k in early if done[k] >= limits.hard_day_share * most}
    usable = [k for k in early if planned[k].sport in by_sport] or early
    return {min(usable, key=lambda k: (abs(planned[k].days_to_race - limits.hard_day), k)): 1.0}


def _shared_out(
    minutes: int, weights: Mapping[int, float], planned: Sequence[PlannedSession]
) -> dict[int, int]:
    """Whole minutes by place that add up, none more than the share of a session that may be hard.

    What does not fit goes to the longest other sessions, and to the longest of all in the end.
    """
    limits = LIMITS.next_week
    most = [int(limits.hard_share * session.minutes) for session in planned]
    exact = {place: minutes * weight / sum(weights.values()) for place, weight in weights.items()}
    shares = {place: int(amount) for place, amount in exact.items()}
    by_rest = sorted(exact, key=lambda k: shares[k] - exact[k])
    for place in by_rest[: minutes - sum(shares.values())]:
        shares[place] += 1
    shares = {place: min(amount, most[place]) for place, amount in shares.items()}
    by_length = sorted(range(len(planned)), key=lambda k: (-planned[k].minutes, k))
    for place in by_length:
        if planned[place].days_to_race <= limits.last_hard_day:
            room = most[place] - shares.get(place, 0)
            more = min(max(room, 0), minutes - sum(shares.values()))
            shares[place] = shares.get(place, 0) + more
    shares[by_length[0]] = shares.get(by_length[0], 0) + minutes - sum(shares.values())
    return shares
