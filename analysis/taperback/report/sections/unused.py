"""What could not be used and why: races, measures, methods, files and rows of the journal."""

from __future__ import annotations

from dataclasses import dataclass

from taperback.common.notices import Level, Notice
from taperback.common.wording import count, listing
from taperback.evidence.model import Evidence, Refusal
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import RaceRef, label_of, missing_races, point_keys
from taperback.report.words.factors import refusals
from taperback.report.words.wording import races_named, sentence, short, stopped

LONGEST_REMARK = 400
SHOWN_AT_ONCE = 12
"""More remarks of one kind than this are folded away."""


@dataclass(frozen=True)
class RefusedMethod:
    """A method that was not applied to some factors, in the five parts that a reader needs."""

    method: str
    factors: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class RemarkGroup:
    """Remarks of one weight; `folded` when there are too many to show at once."""

    title: str
    remarks: tuple[str, ...]
    folded: bool


@dataclass(frozen=True)
class Unused:
    """Everything left out, each with its reason; `nothing` says that there is nothing."""

    races: tuple[tuple[str, str], ...]
    factors: tuple[tuple[str, str, str], ...]
    unknown: tuple[tuple[str, str, str], ...]
    methods: tuple[RefusedMethod, ...]
    remarks: tuple[RemarkGroup, ...]
    nothing: str


def unused(
    evidence: Evidence,
    notices: tuple[Notice, ...],
    refs: dict[str, RaceRef],
    weeks: tuple[RaceWeek, ...] = (),
) -> Unused:
    """Races without the outcome, factors without a race, refused methods, and remarks."""
    names = {race_id: f"{ref.key}, {ref.name}, {ref.date}" for race_id, ref in refs.items()}
    keys = point_keys(evidence, refs)
    out = {label for label, _ in evidence.left_out}
    races = tuple(
        (names.get(label, short(label)), sentence(why)) for label, why in evidence.left_out
    )
    factors = tuple(
        (label_of(factor.factor), keys.get(label, short(label)), why)
        for factor in evidence.factors
        for label, why in missing_races(factor, weeks)
        if label not in out
    )
    methods = _methods(evidence)
    unknown = _unknown(weeks, {race_id: ref.key for race_id, ref in refs.items()})
    groups = _groups(notices)
    empty = not (races or factors or unknown or methods or groups)
    return Unused(
        races, factors, unknown, methods, groups, "Everything could be used." if empty else ""
    )


def _unknown(weeks: tuple[RaceWeek, ...], keys: dict[str, str]) -> tuple[tuple[str, str, str], ...]:
    """(measure, races, why) of everything unknown, the same words once with their races."""
    found: dict[tuple[str, str], list[str]] = {}
    for week in weeks:
        for name, measured in week.measures.items():
            if not measured.known:
                found.setdefault((name, measured.reason), []).append(keys[week.race_id])
    return tuple(
        (label_of(name), races_named(races), sentence(why)) for (name, why), races in found.items()
    )


def _methods(evidence: Evidence) -> tuple[RefusedMethod, ...]:
    """The refusals, those with the same words once."""
    found: dict[tuple[str, Refusal], list[str]] = {}
    for factor in evidence.factors:
        for method, refusal in refusals(factor):
            found.setdefault((method, refusal), []).append(label_of(factor.factor))
    return tuple(
        RefusedMethod(
            method,
            listing(factors),
            (
                ("It needs", stopped(refusal.needed)),
                ("There was", stopped(refusal.had)),
                ("Instead", stopped(refusal.done)),
                ("It would have erred", stopped(refusal.direction)),
                ("What would help", stopped(refusal.remedy)),
            ),
        )
        for (method, refusal), factors in found.items()
    )


def _groups(notices: tuple[Notice, ...]) -> tuple[RemarkGroup, ...]:
    titles = (
        (Level.FAULT, "Please put right in your journal"),
        (Level.UNUSED, "Left out"),
        (Level.NOTE, "Used, with a remark"),
    )
    groups = []
    for level, title in titles:
        texts = tuple(_remark(notice) for notice in notices if notice.level is level)
        if texts:
            folded = len(texts) > SHOWN_AT_ONCE
            head = f"{title}: {count(len(texts), 'remark')}" if folded else title
            groups.append(RemarkGroup(head, texts, folded))
    return tuple(groups)


def _remark(notice: Notice) -> str:
    """The remark in full, save a file name or cell of endless length."""
    return short(str(notice), LONGEST_REMARK)
