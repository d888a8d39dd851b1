"""The athletes of a squad as a table that sorts: rule, strength, what comes next, flags."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from urllib.parse import quote

from taperback.common.dates import day_month_year
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, number_of
from taperback.evidence.model import STRENGTHS
from taperback.evidence.squad import SquadEvidence
from taperback.report.words.rule import range_text
from taperback.report.words.wording import short, span
from taperback.squad.model import Broken, Member


@dataclass(frozen=True)
class AthleteCell:
    """One cell of the athletes' table: text, and what a column is sorted by."""

    label: str
    text: str
    sort: str
    is_number: bool = False


@dataclass(frozen=True)
class AthleteRow:
    """One athlete in the table; `link` leads to the own page, empty where there is none."""

    number: int
    name: str
    link: str
    cells: tuple[AthleteCell, ...]


def athlete_row(
    number: int, member: Member, evidence: SquadEvidence | None, anonymous: bool
) -> AthleteRow:
    """One athlete in the table; for showing without the next race and without a link."""
    link = "" if anonymous else f"{quote(os.fsencode(member.key))}/report.html"
    cells = [
        AthleteCell("results", str(member.results), str(member.results), True),
        _own_cut(member),
        _strength(member),
        _squad_cut(member, evidence),
    ]
    if not anonymous:
        cells.append(_next_race(member))
    return AthleteRow(
        number,
        short(member.name) or "An athlete",
        link,
        (*cells, _flag_cell(member), _unknown_cell(member)),
    )


def _own_cut(member: Member) -> AthleteCell:
    part = member.rule.parts[0] if member.rule and member.rule.parts else None
    text = range_text(part) if part else "no rule"
    return AthleteCell("own cut", text, f"{part.best:.4f}" if part else "", True)


def broken_row(number: int, broken: Broken, like: AthleteRow | None) -> AthleteRow:
    """A folder that could not be used, and why; in the columns of another row."""
    cells = [replace(cell, text="unknown", sort="") for cell in like.cells] if like else []
    why = AthleteCell("unknown", f"could not be used: {short(str(broken.why))}", "")
    return AthleteRow(number, short(broken.folder), "", (*cells[:-1], why))


STRENGTH_ORDER = ("", *STRENGTHS)


def _strength(member: Member) -> AthleteCell:
    strength = member.rule.parts[0].strength if member.rule and member.rule.parts else ""
    return AthleteCell("how sure", strength or "unknown", str(STRENGTH_ORDER.index(strength)))


def _squad_cut(member: Member, evidence: SquadEvidence | None) -> AthleteCell:
    if evidence is None:
        return AthleteCell("cut with the squad", "unknown", "", True)
    cut = evidence.cuts[member.key]
    text = span(QUANTITIES["volume_cut"], cut.low, cut.high)
    if not member.results:
        text = f"{text} (the squad's)"
    return AthleteCell("cut with the squad", text, f"{cut.best:.4f}", True)


def _next_race(member: Member) -> AthleteCell:
    race, last = member.next_race, member.last_day
    recorded = f"; recorded up to {day_month_year(last)}" if last else "; nothing is recorded"
    if race is None:
        return AthleteCell("next race", f"none in the journal{recorded}", "")
    days = f"{number_of(race.days_to_go, 'day')} after that"
    text = f"{short(race.name)}, {day_month_year(race.day)}{recorded}, {days}"
    if race.target_h is not None:
        text += f"; its week: {QUANTITIES['volume_h'].show(race.target_h)}"
    if race.hard_min is not None:
        text += f", {QUANTITIES['hard_min'].show(race.hard_min)} hard"
    return AthleteCell("next race", text, race.day.isoformat())


def _flag_cell(member: Member) -> AthleteCell:
    flagged = [race for race in member.races if race.flags]
    flags = sum(len(race.flags) for race in flagged)
    unknown = sum(not race.looked_at for race in member.races)
    text = f"{flags} before {count(len(flagged), 'race')}" if flags else "none"
    if unknown:
        weeks = count(unknown, "race week")
        text = f"{text}; {weeks} not known" if flags or unknown < len(member.races) else "unknown"
    return AthleteCell("panic flags", text, str(flags))


def _unknown_cell(member: Member) -> AthleteCell:
    text = count(len(member.gaps), "measure") if member.gaps else "nothing"
    if member.has_faults:
        text += "; journal to put right"
    return AthleteCell("unknown", text, str(len(member.gaps)))
