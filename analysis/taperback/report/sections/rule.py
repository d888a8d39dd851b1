"""The first screen: the rule in a sentence, how sure it is, and why."""

from __future__ import annotations

from dataclasses import dataclass

from taperback.common.outcomes import RESULT
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, number_word
from taperback.evidence.model import Evidence
from taperback.report.sections.glance import cuts_compared
from taperback.report.words.cells import RaceRef, label_of, point_keys
from taperback.report.words.rule import (
    HOW_SURE,
    range_text,
    reasons,
    rule_sentence,
    trust,
    worth_text,
)
from taperback.report.words.wording import sentence, span
from taperback.study.review import Study


@dataclass(frozen=True)
class RulePartRow:
    """One part of the rule: what it is about, its aim, its strength, what it is worth."""

    label: str
    range: str
    strength: str
    worth: str


@dataclass(frozen=True)
class RuleView:
    """The first screen: the sentence, why, and each part with its own strength."""

    sentence: str
    reasons: tuple[str, ...]
    trust: tuple[str, ...]
    parts: tuple[RulePartRow, ...]
    sensitivity: str
    how_sure: str = HOW_SURE


_FROM_RESULTS = (
    "The rule and its reasons come from race results. The rest of this page compares how hard the "
    "races felt, from which no rule is made."
)


_OF_SQUAD = (
    "This range rests on your own races and published studies. Your coach's squad page says which "
    "range to use for you: mostly the one with the squad's races, which is surer."
)


def rule_view(study: Study, refs: dict[str, RaceRef], *, of_squad: bool = False) -> RuleView:
    """The rule always comes from results: how hard a race felt makes no rule."""
    rule = study.result.rule
    keys = point_keys(study.result, refs)
    parts = rule.parts if rule else ()
    factors = {factor.factor: factor for factor in study.result.factors}
    return RuleView(
        sentence=rule_sentence(rule, study.next_week),
        reasons=(
            *_rests_on(study.result, sum(not week.race.get("leave_out") for week in study.weeks)),
            *reasons(
                rule,
                study.result,
                keys,
                tried=cuts_compared(study.weeks, study.result, refs),
                why_none=study.next_week.reason,
            ),
            *((_FROM_RESULTS,) if study.outcome != RESULT else ()),
            *((_OF_SQUAD,) if of_squad and parts else ()),
        ),
        trust=trust(rule, study.result),
        parts=tuple(
            RulePartRow(
                label_of(part.factor),
                range_text(part),
                part.strength,
                worth_text(part, factors[part.factor], study.result.outcome),
            )
            for part in parts
        ),
        sensitivity=_sensitivity(study.result),
    )


def _rests_on(evidence: Evidence, races: int) -> tuple[str, ...]:
    """On how many of all races the cut rests, where that is not all of them."""
    factor = next((f for f in evidence.factors if f.factor == "volume_cut"), None)
    used = factor.races if factor else 0
    if evidence.rule is None or not evidence.rule.parts or used == races:
        return ()
    if races == 1:
        return ("Your race does not tell both how it went and how much was cut before it.",)
    of_all = f"{number_word(used) if used else 'none'} of your {count(races, 'race')}"
    tells = "tells both how it" if used == 1 else "tell both how they"
    them = "it" if used == 1 else "them"
    return (sentence(f"{of_all} {tells} went and how much was cut before {them}"),)


def _sensitivity(evidence: Evidence) -> str:
    """How the range moves with the assumption that turns published effects into percent."""
    rule = evidence.rule
    if rule is None or not rule.parts or len(rule.sensitivity) < 2:
        return ""
    cut = QUANTITIES[rule.parts[0].factor]
    percent = QUANTITIES["result_pct"]
    ranges = "; ".join(
        f"{span(cut, low, high)} if it is {percent.number(assumed).lstrip('+')}%"
        for assumed, low, high, _ in rule.sensitivity
    )
    return sentence(
        "Published effects are in units of the spread between athletes. How many percent one unit "
        f"is, is an assumption, and the range moves with it: {ranges}"
    )
