"""Next time: the rule in hours and minutes, by sport and by day before the race."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from taperback.common.dates import day_month_year, weekday, weekday_day_month
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, listing, number_word, out_of
from taperback.evidence.model import Rule
from taperback.raceweek.ahead import RaceAhead
from taperback.report.words.cells import RaceRef, label_of
from taperback.report.words.plan import session_words
from taperback.report.words.rule import no_hard_habit, part_clause
from taperback.report.words.wording import (
    days_before,
    sentence,
    short,
    span,
    sport_order,
    sport_word,
)
from taperback.study.next_days import DAYS
from taperback.study.next_week import Arrival, NextWeek


@dataclass(frozen=True)
class SportRow:
    """Hours of one sport over the week."""

    sport: str
    hours: str
    about: str
    copied: str


@dataclass(frozen=True)
class DayPlan:
    """One day before the race; `date` is empty where no race is ahead, `free` why nothing is on."""

    label: str
    date: str
    sessions: tuple[str, ...]
    free: str


@dataclass(frozen=True)
class NextTime:
    """The week, finished.

    Attributes:
        race: name of the race ahead; empty where none is. when: its day, and how far ahead it is.
        lead, hard: the hours, and how many minutes of them are hard and on which days.
        others: sleep, arrival, and whatever else the rule asks for.
        sports, days, pattern: the hours by sport, by day, and which week they are copied from.
        reason: why a part is missing.
        also: the other races ahead, a sentence; empty where there are none.
        teaches: what is worth writing down.
        in_calendar: whether a calendar file holds the week, too.
    """

    race: str
    when: str
    lead: str
    hard: str
    others: tuple[str, ...]
    sports: tuple[SportRow, ...]
    days: tuple[DayPlan, ...]
    pattern: str
    reason: str
    also: str
    teaches: str
    in_calendar: bool


def next_time(
    week: NextWeek, rule: Rule | None, refs: dict[str, RaceRef], ahead: Sequence[RaceAhead] = ()
) -> NextTime:
    """The rule applied to the athlete's usual week; `ahead` are all races ahead."""
    race, when = week.race, ""
    if race:  # counted from a day that is in the files
        when = (
            f"{weekday(race.day0)} {day_month_year(race.day0)}, {count(race.days_to_go, 'day')} "
            f"after your last recorded day, {day_month_year(race.last_day)}."
        )
    return NextTime(
        race=short(race.name) if race else "",
        when=when,
        lead=_lead(week, refs),
        hard=_hard(week, rule),
        others=_others(rule, week),
        sports=tuple(
            SportRow(
                sport_word(plan.sport),
                span(QUANTITIES["volume_h"], plan.low_h, plan.high_h),
                QUANTITIES["volume_h"].show(plan.target_h),
                QUANTITIES["volume_h"].show(plan.pattern_h),
            )
            for plan in week.sports
        ),
        days=_days(week),
        pattern=_pattern(week, refs),
        reason=sentence(week.reason),
        also=_also(week, ahead),
        teaches=_teaches(rule),
        in_calendar=bool(race and week.sessions),
    )


def _lead(week: NextWeek, refs: dict[str, RaceRef]) -> str:
    if week.low_h is None or week.high_h is None or week.target_h is None:
        return ""
    if week.baseline_h is None:
        return ""
    hours = QUANTITIES["volume_h"]
    usual = hours.show(week.baseline_h)
    all_of_it = f"{span(hours, week.low_h, week.high_h)}, aim for about {hours.show(week.target_h)}"
    if week.race is None or week.baseline_race:
        race = refs.get(week.baseline_race)
        when = f", the one before race {race.key} ({race.date})" if race else ""
        return (
            f"All training of the last seven days: {all_of_it}. That is the rule for your latest "
            f"usual week of {usual}{when}. If your usual week is different by then, use the "
            "percentage, not the hours."
        )
    first, last = (day_month_year(day) for day in week.baseline_days)
    older = "; these are older weeks, so review again nearer to the race" if week.older else ""
    over = ""
    if week.recorded_days:
        days = number_word(week.recorded_days).capitalize()
        verb = "is" if week.recorded_days == 1 else "are"
        so_far = hours.show(week.recorded_h)
        over = f" {days} of the seven days {verb} recorded already, with {so_far}."
    return (
        f"All training of the last seven days: {all_of_it}. That is the rule for your usual week "
        f"of {usual}, the median of {count(week.baseline_weeks, 'week')} from {first} to "
        f"{last}{older}.{over}"
    )


def _hard(week: NextWeek, rule: Rule | None) -> str:
    if week.target_h is None:
        return ""
    if week.hard_min is None:
        return "How many minutes of that should be hard is unknown."
    if rule and any(no_hard_habit(part, week) for part in rule.parts):
        return (
            "Your usual week holds next to no time above the second threshold, so none is planned "
            "here."
        )
    minutes = QUANTITIES["hard_min"]
    part = rule.part("intensity_kept") if rule else None
    least = minutes.show(week.hard_min * part.low / part.best) if part and part.best else ""
    lead = f"About {minutes.show(week.hard_min)} of it hard, above the second threshold"
    lead += f" ({least} at least)" if least else ""
    days = [
        weekday(session.day) if session.day else days_before(-session.days_to_race)
        for session in week.sessions
        if session.hard_min and not session.opener
    ]
    if not days:
        return f"{lead}, in short pieces; in the last days no more than a short opener."
    opener = any(session.opener for session in week.sessions)
    after = "only the opener" if opener else "nothing hard"
    on = "on " if week.race else ""
    return f"{lead}: {on}{listing(dict.fromkeys(days))}; after that {after}."


def _others(rule: Rule | None, week: NextWeek) -> tuple[str, ...]:
    said = {"intensity_kept", "body_clock_lag_h"} if week.arrival else {"intensity_kept"}
    lines = []
    for part in rule.parts[1:] if rule else ():
        clause = part_clause(part)
        if clause and part.factor not in said:
            if part.factor == "sleep_change_h" and week.night_h is not None:
                clause += f": {QUANTITIES['usual_night_h'].show(week.night_h)} a night"
            lines.append(sentence(clause))
    if week.arrival and week.race:
        lines.append(_arrival_line(week.arrival, week.race))
    if week.race and week.why_no_baseline and week.baseline_h is not None:
        lines.append(
            "The usual week of the weeks before this race is not known, so that of an earlier race "
            f"is used: {week.why_no_baseline}."
        )
    return tuple(lines)


def _arrival_line(arrival: Arrival, race: RaceAhead) -> str:
    """What the typed trip leaves of the time change, and whether that is early enough."""
    lag = QUANTITIES["body_clock_lag_h"]
    there = f"Your trip arrives {_days_before(arrival.days_there)}"
    if arrival.zones_h is None or arrival.left_h is None:
        return f"{there}; its time zone is not typed, so nothing is known of your body clock."
    if arrival.zones_h == 0:
        return f"{there}, in your own time zone."
    left = (
        f"{there}; on race day your body clock will be {lag.show(arrival.left_h)} from local time"
    )
    if arrival.most_left_h is None or arrival.days_needed is None:
        return f"{left}."
    most = lag.show(arrival.most_left_h)
    if arrival.left_h <= arrival.most_left_h:
        return f"{left}, which is within the {most} of the rule."
    day = day_month_year(race.day_before(arrival.days_needed))
    return (
        f"{left}. The rule is {most} at most: arrive {_days_before(arrival.days_needed)}, on {day}."
    )


def _days_before(days: int) -> str:
    if days <= 0:
        return "on race day"
    return "the day before the race" if days == 1 else f"{number_word(days)} days before the race"


def _days(week: NextWeek) -> tuple[DayPlan, ...]:
    if not week.sessions:
        return ()
    order = sport_order({session.sport for session in week.sessions})
    return tuple(
        DayPlan(
            days_before(-day),
            weekday_day_month(week.race.day_before(-day)) if week.race else "",
            tuple(
                session_words(session)
                for sport in order
                for session in week.sessions
                if session.days_to_race == day and session.sport == sport
            ),
            "travel, no training" if day in week.travel_days else "free",
        )
        for day in DAYS
    )


def _pattern(week: NextWeek, refs: dict[str, RaceRef]) -> str:
    race = refs.get(week.pattern_race)
    moved = (
        " Nothing lies on a travel day: what did is on the nearest other day."
        if week.travel_days
        else ""
    )
    if race is None and week.pattern_day is not None:
        return (
            "No race week without panic flags is recorded in full, so the days are those of a "
            f"usual week of yours, the one from {day_month_year(week.pattern_day)} on, "
            f"scaled.{moved}"
        )
    if race is None or week.target_h is None or not week.baseline_h:
        return ""
    return (
        f"The days are copied from your week before race {race.key} ({race.date}), scaled to "
        f"{QUANTITIES['volume_h'].show(week.target_h)}: of your weeks without panic flags it is "
        f"the nearest to a {QUANTITIES['volume_cut'].show(1 - week.target_h / week.baseline_h)} "
        f"cut.{moved}"
    )


def _also(week: NextWeek, ahead: Sequence[RaceAhead]) -> str:
    """The other races ahead, each with what it is for where it is not raced for."""
    others = []
    for race in (race for race in ahead if race != week.race):
        row, why_not = race.race, ""
        if row["status"] in ("cancelled", "dns"):
            why_not = " (cancelled)" if row["status"] == "cancelled" else " (not started)"
        elif row["leave_out"]:
            why_not = " (left out)"
        elif row["aim"] == "tune-up":
            why_not = " (tune-up)"
        others.append(f"{short(race.name)} on {day_month_year(race.day0)}{why_not}")
    return f"Also after your last recorded day: {listing(others)}." if others else ""


def _teaches(rule: Rule | None) -> str:
    """What would make later rules surer: a note of what is unknown, and no experiment."""
    worth = rule.worth_knowing if rule else None
    if worth is None:
        return ""
    return (
        f"To learn more from your races, make {label_of(worth.factor)} known: it is unknown for "
        f"{out_of(worth.points, worth.of, 'race')}, which makes "
        f"{'that race' if worth.points == 1 else 'those races'} count for less. What would help "
        "stands under Not known."
    )
