"""A squad for showing: no name, race, day, file or typed word is left in it."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256

from taperback.common.notices import Level, Notice
from taperback.common.quantities import QUANTITIES
from taperback.squad.model import Member, PastRace, Squad


def anonymous(squad: Squad) -> Squad:
    """The squad for showing: numbers for names; no race, day, file or typed word is left.

    The order is by a digest of what is shown of each: the alphabet would give athletes away, and so
    would anything else that can be worked out from their names.
    """
    order = sorted(squad.members, key=_digest)
    names = {member.key: str(place) for place, member in enumerate(order, 1)}
    evidence = squad.evidence
    if evidence is not None:
        factors = (
            replace(f, athletes={names[key]: one for key, one in f.athletes.items()})
            for f in evidence.factors
        )
        cuts = {names[key]: cut for key, cut in evidence.cuts.items()}
        own_noise = {names[key]: one for key, one in evidence.own_noise.items()}
        evidence = replace(evidence, factors=tuple(factors), cuts=cuts, own_noise=own_noise)
    unnamed = tuple(
        Notice("an athlete's folder", 0, "", notice.code, "it could not be used", "", notice.level)
        for notice in squad.left_out
        if notice.level is Level.FAULT
    )
    return replace(
        squad,
        members=tuple(_anonymous(member, names[member.key]) for member in order),
        evidence=evidence,
        left_out=unnamed,
    )


def _digest(member: Member) -> bytes:
    """A digest of what is shown; two who are alike in all of it may stand either way round."""
    shown = _anonymous(member, "")
    return sha256(f"{shown.table.to_csv()}{replace(shown, table=None)}".encode()).digest()


def _anonymous(member: Member, number: str) -> Member:
    numbers = [name for name in member.table if name in QUANTITIES and QUANTITIES[name].unit]
    return replace(
        member,
        key=number,
        name=f"Athlete {number}",
        table=member.table[numbers],
        races=tuple(
            PastRace(f"race {place}", None, tuple(replace(f, session="") for f in race.flags))
            for place, race in enumerate(member.races, 1)
        ),
        next_race=None,
        gaps=tuple(replace(gap, race_id="", race="", reason="", remedy="") for gap in member.gaps),
        notices=(),
    )
