"""One athlete's study as a member of a squad, and what is asked of members."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from taperback.common.notices import Level
from taperback.evidence.model import Races
from taperback.raceweek.ahead import next_race
from taperback.squad.model import OUTCOME, Member, NextRace, PastRace, SeenFlag
from taperback.squad.weeks import weeks_of
from taperback.study.missing import gaps
from taperback.study.points import points
from taperback.study.review import Study


def member_of(key: str, study: Study) -> Member:
    """What a squad keeps of one athlete's study: enough for the coach, without the days."""
    weeks = weeks_of(study.table)
    race, plan = next_race(study.ahead), study.next_week
    return Member(
        key=key,
        name=study.journal.athlete.name,
        weeks=weeks,
        rule=study.result.rule,
        results=weeks.known(OUTCOME.name),
        points=points(study.weeks, OUTCOME),
        races=tuple(
            PastRace(
                week.name,
                week.day0,
                tuple(SeenFlag(flag.rule, flag.day_before, flag.session) for flag in week.flags),
                week.looked_at,
            )
            for week in study.weeks
        ),
        next_race=NextRace(race.name, race.day0, race.days_to_go, plan.target_h, plan.hard_min)
        if race
        else None,
        gaps=gaps(study.weeks),
        notices=tuple(n for n in study.notices if n.level is not Level.NOTE),
        last_day=study.last_day,
    )


def races_of(member: Member) -> Races:
    """(exposures, outcomes) of the athlete's race weeks, as the evidence wants them."""
    return member.points.exposures, member.points.values


FEWEST_RESULTS = 3
"""Below this an athlete's own races hardly say anything, so more of them is what would help."""


def is_thin(member: Member) -> bool:
    """Whether something is unknown that the athlete's evidence would rest on."""
    return member.has_faults or bool(member.gaps) or member.results < FEWEST_RESULTS


def flags_by_rule(members: Iterable[Member]) -> dict[str, Counter[int]]:
    """Rule -> how often it was broken on which day before the race, over all athletes."""
    seen: dict[str, Counter[int]] = {}
    for member in members:
        for race in member.races:
            for flag in race.flags:
                seen.setdefault(flag.rule, Counter())[flag.day_before] += 1
    return dict(sorted(seen.items()))
