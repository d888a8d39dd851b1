"""Who of a squad wants looking at first, and why."""

from __future__ import annotations

from dataclasses import dataclass

from taperback.common.limits import LIMITS
from taperback.squad.members import FEWEST_RESULTS
from taperback.squad.model import Member, Squad


@dataclass(frozen=True)
class Attention:
    """What there is to look at of one athlete.

    Attributes:
        race_near_d: days from the last recorded day to the next race, where they are few.
        faults: something in the journal should be put right.
        flags: panic flags before races that are over; flagged_races: such races.
        unseen_races: races that are over of whose last days not all could be looked at.
        few_results: too few races have a result.
        unknown: measures that are unknown of races that are over.
    """

    race_near_d: int | None
    faults: bool
    flags: int
    flagged_races: int
    unseen_races: int
    few_results: bool
    unknown: int

    @property
    def order(self) -> tuple[float, ...]:
        """What athletes are ordered by: a near race, a fault, flags, data that are missing."""
        far = float("inf") if self.race_near_d is None else self.race_near_d
        return far, not self.faults, -self.flagged_races, not self.few_results, -self.unknown


def attention(member: Member) -> Attention:
    """What there is to look at of an athlete."""
    days = member.next_race.days_to_go if member.next_race else None
    return Attention(
        race_near_d=days if days is not None and days <= LIMITS.squad.race_near_d else None,
        faults=member.has_faults,
        flags=sum(len(race.flags) for race in member.races),
        unseen_races=sum(1 for race in member.races if not race.looked_at),
        flagged_races=sum(1 for race in member.races if race.flags),
        few_results=member.results < FEWEST_RESULTS,
        unknown=len(member.gaps),
    )


def in_order(squad: Squad) -> tuple[Member, ...]:
    """The athletes, whom to look at first first; alike ones as they were."""
    return tuple(sorted(squad.members, key=lambda member: attention(member).order))
