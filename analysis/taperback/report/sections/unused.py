"""What could not be used and why: races, measures, methods, files and rows of the journal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from taperback.common.notices import Level, Notice
from taperback.common.wording import listing, number_word, upper_first
from taperback.evidence.model import Evidence
from taperback.journal.model import DEFAULT_FILES
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import RaceRef, label_of
from taperback.report.words.factors import refusals
from taperback.report.words.gaps import to_do
from taperback.report.words.weave import Said, weave
from taperback.report.words.wording import races_named, readable, sentence, short
from taperback.study.missing import ASKED, Gap, gaps

LONGEST_REMARK = 400
SHOWN_AT_ONCE = 12
"""More remarks of one kind than this are folded away, and so are those on what was used."""


@dataclass(frozen=True)
class Missing:
    """What evidence would rest on and is unknown for one reason: which measures of which races,
    why, and the one thing to do; the last is empty where nothing would help."""

    measures: str
    races: str
    reason: str
    to_do: str


@dataclass(frozen=True)
class RemarkGroup:
    """Remarks of one weight; `folded` when there are too many to show at once."""

    title: str
    remarks: tuple[str, ...]
    folded: bool


@dataclass(frozen=True)
class Unused:
    """Everything left out, each with its reason; `nothing` says that there is nothing.

    `described` says that measures which are only described are unknown, too, and where that stands;
    `methods` has a sentence for each reason why some were not applied.
    """

    missing: tuple[Missing, ...]
    described: str
    methods: tuple[str, ...]
    remarks: tuple[RemarkGroup, ...]
    nothing: str


def unused(
    evidence: Evidence,
    notices: tuple[Notice, ...],
    refs: Mapping[str, RaceRef],
    weeks: tuple[RaceWeek, ...] = (),
    files: Mapping[str, str] = DEFAULT_FILES,
) -> Unused:
    """What is unknown by reason, refused methods, and remarks; `files` as `gaps` has it."""
    missing = tuple(_missing(gaps(weeks, files), refs))
    others = {
        name
        for week in weeks
        for name, measured in week.measures.items()
        if not measured.known and name not in ASKED
    }
    described = (
        f"{number_word(len(others)).capitalize()} of the measures that are only described "
        f"{'is' if len(others) == 1 else 'are'} unknown for some race, too; the notes below "
        "Everything measured say why."
        if others
        else ""
    )
    methods = tuple(_methods(evidence))
    groups = _groups(notices)
    empty = not (missing or described or methods or groups)
    return Unused(missing, described, methods, groups, "Everything could be used." if empty else "")


def _missing(unknown: tuple[Gap, ...], refs: Mapping[str, RaceRef]) -> Iterator[Missing]:
    """The gaps by reason; reasons that differ in a number are one."""
    by_reason: dict[str, list[Gap]] = {}
    for gap in unknown:
        by_reason.setdefault(gap.reason, []).append(gap)
    by_measures: dict[tuple[str, ...], list[list[Gap]]] = {}
    for of_reason in by_reason.values():
        labels = tuple(dict.fromkeys(gap.label for gap in of_reason))
        by_measures.setdefault(labels, []).append(of_reason)
    for labels, reasons in by_measures.items():
        what = {gap.race_id: to_do(gap) for of_reason in reasons for gap in of_reason}
        for said in weave(
            Said(tuple(dict.fromkeys(gap.race_id for gap in of_reason)), of_reason[0].reason)
            for of_reason in reasons
        ):
            remedies = [what[race] for race in said.races if what[race]]
            # one thing to do: for the last race, which the rule leans on most
            others = " So for the other races." if len(set(remedies)) > 1 else ""
            yield Missing(
                upper_first(listing(labels)),
                races_named([refs[race].key for race in said.races]),
                readable(said.text),
                remedies[-1] + others if remedies else "",
            )


def _methods(evidence: Evidence) -> Iterator[str]:
    """Which methods were not applied to which factors, a sentence for each reason."""
    refused: dict[tuple[str, str, str], list[str]] = {}
    for factor in evidence.factors:
        for method, refusal in refusals(factor):
            of_reason = refused.setdefault((method, refusal.needed, refusal.had), [])
            of_reason.append(label_of(factor.factor))
    alike: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for (method, needed, had), labels in refused.items():
        alike.setdefault((needed, had, tuple(labels)), []).append(method)
    for (needed, had, of), methods in alike.items():
        yield sentence(
            f"{listing(methods)} could not be applied to {listing(of)}. Needs {needed}; you "
            f"have {had}"
        )


def _groups(notices: tuple[Notice, ...]) -> tuple[RemarkGroup, ...]:
    titles = (
        (Level.FAULT, "Please put right in your journal"),
        (Level.UNUSED, "Left out"),
        (Level.NOTE, "Used, with a remark"),
    )
    groups = []
    for level, title in titles:
        # in full, save a file name or cell of endless length
        texts = tuple(short(str(one), LONGEST_REMARK) for one in notices if one.level is level)
        if texts:
            folded = len(texts) > SHOWN_AT_ONCE or level is Level.NOTE
            head = f"{title}: {number_word(len(texts))}" if folded else title
            groups.append(RemarkGroup(head, texts, folded))
    return tuple(groups)
