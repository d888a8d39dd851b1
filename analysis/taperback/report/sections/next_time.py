"""Next time: the rule in hours and minutes, by sport and by day before the race."""

from __future__ import annotations

from dataclasses import dataclass

from taperback.common.dates import day_month_year
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, number_word
from taperback.evidence.model import Rule
from taperback.report.words.cells import RaceRef, label_of
from taperback.report.words.rule import no_hard_habit, part_clause
from taperback.report.words.wording import days_before, sentence, span, sport_order, sport_word
from taperback.study.next_week import NextWeek


@dataclass(frozen=True)
class SportRow:
    """Hours of one sport over the week."""

    sport: str
    hours: str
    about: str
    copied: str


@dataclass(frozen=True)
class DayPlan:
    """One day before the race; `sessions` is empty on a free day."""

    days_to_race: int
    label: str
    sessions: str


@dataclass(frozen=True)
class NextTime:
    """The week, finished; `reason` says why a part is missing."""

    lead: str
    hard: str
    others: tuple[str, ...]
    sports: tuple[SportRow, ...]
    days: tuple[DayPlan, ...]
    pattern: str
    reason: str
    teaches: str


def next_time(week: NextWeek, rule: Rule | None, refs: dict[str, RaceRef]) -> NextTime:
    """The rule applied to the athlete's usual week."""
    return NextTime(
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
        teaches=_teaches(rule),
    )


def _lead(week: NextWeek, refs: dict[str, RaceRef]) -> str:
    if week.low_h is None or week.high_h is None or week.target_h is None:
        return ""
    if week.baseline_h is None:
        return ""
    hours = QUANTITIES["volume_h"]
    race = refs.get(week.baseline_race)
    when = f", the one before race {race.key} ({race.date})" if race else ""
    return (
        f"All training of the last seven days: {span(hours, week.low_h, week.high_h)}, aim for "
        f"about {hours.show(week.target_h)}. That is the rule for your latest usual week of "
        f"{hours.show(week.baseline_h)}{when}. If your usual week is different by then, use the "
        "percentage, not the hours."
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
    minutes = QUANTITIES["hard_min"].show(week.hard_min)
    return (
        f"About {minutes} of it hard, above the second threshold, in short pieces; in the last "
        "days no more than a short opener."
    )


def _others(rule: Rule | None, week: NextWeek) -> tuple[str, ...]:
    parts = rule.parts[1:] if rule else ()
    return tuple(sentence(clause) for part in parts if (clause := part_clause(part, week)))


def _days(week: NextWeek) -> tuple[DayPlan, ...]:
    if not week.sessions:
        return ()
    order = sport_order({session.sport for session in week.sessions})
    return tuple(
        DayPlan(
            day,
            days_before(-day),
            ", ".join(
                f"{sport_word(session.sport)} {session.minutes} min"
                for sport in order
                for session in week.sessions
                if session.days_to_race == day and session.sport == sport
            ),
        )
        for day in range(-7, 0)
    )


def _pattern(week: NextWeek, refs: dict[str, RaceRef]) -> str:
    race = refs.get(week.pattern_race)
    if race is None and week.pattern_day is not None:
        return (
            "No race week without panic flags is recorded in full, so the days are those of a "
            f"usual week of yours, the one from {day_month_year(week.pattern_day)} on, scaled."
        )
    if race is None:
        return ""
    return (
        f"The days are copied from your week before race {race.key} ({race.date}), scaled: of your "
        "weeks without panic flags, its volume cut was nearest to the best of the rule."
    )


def _teaches(rule: Rule | None) -> str:
    """What would make later rules surer: a note of what is unknown, and no experiment."""
    worth = rule.worth_knowing if rule else None
    if worth is None:
        return ""
    return (
        f"To learn more from your races, write down {label_of(worth.factor)}: it is unknown for "
        f"{number_word(worth.points)} of {count(worth.of, 'race')}, which makes "
        f"{'that race' if worth.points == 1 else 'those races'} count for less."
    )
