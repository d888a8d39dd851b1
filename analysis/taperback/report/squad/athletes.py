"""The athletes of a squad as a table: whom to look at, the range to use, what comes next."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from urllib.parse import quote

from taperback.common.dates import day_month_year
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, number_of
from taperback.evidence.model import STRENGTHS
from taperback.evidence.squad import SquadEvidence, borrows
from taperback.report.words.rule import range_text
from taperback.report.words.wording import short, span
from taperback.squad.attention import Attention, attention
from taperback.squad.model import Member, Squad


@dataclass(frozen=True)
class AthleteCell:
    """One cell of the athletes' table: text, and what its column is sorted by.

    `in_words`: its text is words, though a number is behind its place.
    """

    label: str
    text: str
    sort: str
    is_number: bool = False
    in_words: bool = False


@dataclass(frozen=True)
class AthleteRow:
    """One athlete in the table; `link` leads to the own page, empty where there is none.

    `number` is that of the athlete on the page; a folder that could not be used has none.
    """

    number: int | None
    name: str
    link: str
    cells: tuple[AthleteCell, ...]


def athlete_name(member: Member) -> str:
    """What a page calls an athlete."""
    return short(member.name) or "An athlete"


def athlete_rows(squad: Squad, members: tuple[Member, ...], anonymous: bool) -> list[AthleteRow]:
    """A row for each folder: those that could not be used, then the athletes as they come."""
    first = len(squad.broken)
    rows = [
        athlete_row(place, member, squad.evidence, anonymous, place=first + place)
        for place, member in enumerate(members, 1)
    ]
    like = [replace(cell, text="unknown", sort="") for cell in rows[0].cells[1:]] if rows else []
    broken = []
    for place, one in enumerate(squad.broken, 1):
        text = f"could not be used: {short(str(one.why), LONGEST_REASON)}"
        why = AthleteCell("look at", text, str(place), True, True)
        broken.append(AthleteRow(None, short(one.folder), "", (why, *like)))
    return [*broken, *rows]


def athlete_row(
    number: int,
    member: Member,
    evidence: SquadEvidence | None,
    anonymous: bool,
    *,
    place: int = 0,
) -> AthleteRow:
    """One athlete, in that place of those to look at; for showing no next race and no link."""
    link = "" if anonymous else f"{quote(os.fsencode(member.key))}/report.html"
    part, own, ends, strength = member.own_cut, "no rule", "", ""
    if part:
        own, ends, strength = range_text(part), _ends(part.low, part.high), part.strength
    sureness = str(STRENGTH_ORDER.index(strength))
    cells = [
        AthleteCell("look at", _attention_words(attention(member)), str(place), True, True),
        _cut_to_use(member, evidence),
        AthleteCell("own cut", own, ends, True),
        AthleteCell("how sure", strength or "unknown", sureness, True, True),
        AthleteCell("results", str(member.results), str(member.results), True),
        *(() if anonymous else (_next_race(member),)),
    ]
    return AthleteRow(number, athlete_name(member), link, tuple(cells))


def _attention_words(look: Attention) -> str:
    """What to look at, the most urgent first; unknown is not none."""
    near = f"race in {number_of(look.race_near_d or 0, 'day')}"
    flags = f"{number_of(look.flags, 'panic flag')} before {count(look.flagged_races, 'race')}"
    words = {
        near: look.race_near_d is not None,
        "journal to put right": look.faults,
        flags: look.flags > 0,
        f"panic unknown before {count(look.unseen_races, 'race')}": look.unseen_races > 0,
        "too few results": look.few_results,
        f"{count(look.unknown, 'measure')} unknown": look.unknown > 0,
    }
    return ", ".join(text for text, holds in words.items() if holds) or "nothing"


def _cut_to_use(member: Member, evidence: SquadEvidence | None) -> AthleteCell:
    """The range to use: with the squad's races, unless they make it no surer."""
    part, text, ends = member.own_cut, "unknown", ""
    if evidence is not None:
        cut = evidence.cuts[member.key]
        whose = "with the squad" if member.results else "the squad's alone"
        text = f"{span(QUANTITIES['volume_cut'], cut.low, cut.high)}, {whose}"
        ends = _ends(cut.low, cut.high)
        if part and member.results and not borrows(evidence, member.key):
            text, ends = f"{range_text(part)}, own", _ends(part.low, part.high)
    return AthleteCell("cut to use", text, ends, True, True)


def _ends(low: float, high: float) -> str:
    """A range as it is sorted: by what is seen first, its lower end, and then by the other."""
    return f"{low + high / 1000:.6f}"


LONGEST_REASON = 300
"""So many letters of why a folder could not be used are shown."""

STRENGTH_ORDER = ("", *STRENGTHS)


def _next_race(member: Member) -> AthleteCell:
    race, last = member.next_race, member.last_day
    recorded = f"recorded up to {day_month_year(last)}" if last else "nothing is recorded"
    if race is None:
        return AthleteCell("next race", f"none in the journal; {recorded}", "")
    days = f"{number_of(race.days_to_go, 'day')} after the last record"
    days += f" ({day_month_year(last)})" if last else ""
    text = f"{day_month_year(race.day)}, {short(race.name)}; {days}"
    if race.target_h is not None:
        text += f"; its week: {QUANTITIES['volume_h'].show(race.target_h)}"
    if race.hard_min is not None:
        text += f", {QUANTITIES['hard_min'].show(race.hard_min)} hard"
    return AthleteCell("next race", text, race.day.isoformat())
