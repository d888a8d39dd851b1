"""A squad for showing: no name, race, day, file or typed word is left, and numbers are rounded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from hashlib import sha256
from typing import Any

from taperback.common.notices import Notice
from taperback.squad.model import NO_POINTS, Broken, Member, PastRace, Squad
from taperback.squad.weeks import Weeks

_DECIMALS = 2
"""Digits of the finest number on the page: percent of a cut, hundredths of a percent of a result.
Whoever has an athlete's own files could tell the athlete by a number with more."""


def anonymous(squad: Squad) -> Squad:
    """The squad for showing: numbers for names; no race, day, file or typed word is left.

    What a race measured is left out, travel with it, and every other number is rounded as on the
    page. The order is by a digest of what is shown of each: the alphabet would give athletes away,
    and so would anything else that can be worked out from their names.
    """
    evidence = _rounded(squad.evidence)
    shown = {}  # all that is shown of a member, but for the number; two alike may swap
    for member in squad.members:
        mine: list[object] = []
        if evidence is not None:
            mine = [f.athletes[member.key] for f in evidence.factors]
            mine += [evidence.cuts[member.key], evidence.own_noise[member.key]]
        shown[member.key] = f"{_anonymous(member, '')}{mine}"
    order = sorted(squad.members, key=lambda member: sha256(shown[member.key].encode()).digest())
    names = {member.key: str(place) for place, member in enumerate(order, 1)}
    if evidence:
        evidence = replace(
            evidence,
            factors=tuple(
                replace(f, athletes={names[key]: one for key, one in f.athletes.items()})
                for f in evidence.factors
            ),
            cuts={names[key]: cut for key, cut in evidence.cuts.items()},
            own_noise={names[key]: noise for key, noise in evidence.own_noise.items()},
        )
    alike = Counter(shown.values())
    unnamed = Notice("an athlete's folder", 0, "", "athlete", "it could not be used", "")
    return replace(
        squad,
        members=tuple(_anonymous(member, names[member.key]) for member in order),
        evidence=evidence,
        broken=tuple(Broken("A folder", unnamed) for _ in squad.broken),
        left_out=(),
        remarks=(),
        alone_in_numbers=sum(times == 1 for times in alike.values()),
    )


def _anonymous(member: Member, number: str) -> Member:
    # the page shows the range of the volume cut, and how sure it is
    rule = (
        replace(member.rule, parts=member.rule.parts[:1], sensitivity=()) if member.rule else None
    )
    return replace(
        member,
        key=number,
        name=f"Athlete {number}",
        weeks=Weeks(),
        rule=_rounded(rule),
        points=NO_POINTS,
        races=tuple(
            PastRace(
                f"race {place}",
                None,
                tuple(replace(f, session="") for f in race.flags),
                race.looked_at,
            )
            for place, race in enumerate(member.races, 1)
        ),
        next_race=None,
        gaps=tuple(
            replace(gap, race_id="", race="", reason="", add="", remedy="") for gap in member.gaps
        ),
        notices=(),
        last_day=None,
    )


def _rounded(value: Any) -> Any:
    """The value, every number in it with the digits of the page."""
    if isinstance(value, float):
        return round(float(value), _DECIMALS)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{f.name: _rounded(getattr(value, f.name)) for f in fields(value)})
    if isinstance(value, Mapping):
        return {key: _rounded(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return tuple(map(_rounded, value))
    return value
