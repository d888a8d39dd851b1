"""Each factor over a squad: published, shared, and every athlete's own, as words and as a chart."""

from __future__ import annotations

from dataclasses import dataclass, replace

from taperback.common.wording import count
from taperback.evidence.effects import EFFECT_UNITS
from taperback.evidence.mixed import Mixed
from taperback.evidence.model import Refusal
from taperback.evidence.squad import Compared, SquadEvidence, SquadFactor, compare
from taperback.report.words.cells import label_of
from taperback.report.words.factors import effect_step
from taperback.report.words.findings import MORE_OF
from taperback.report.words.wording import interval, sentence
from taperback.squad.model import OUTCOME

DIFFERENCE = replace(OUTCOME.difference, decimals=2)
"""Effects per small step of a factor are small, so they take a digit more than results do."""


@dataclass(frozen=True)
class EffectRow:
    """One athlete's effect: number in the page's tables, name, and how far it is pulled."""

    number: int
    name: str
    alone: str
    together: str
    pulled: str


@dataclass(frozen=True)
class SquadFactorView:
    """One factor, finished.

    Attributes:
        factor, label: its name and what it is called.
        lead: what the squad's races say. mixed: what the mixed model says beside it.
        unit: what every effect is per. rows: the athletes, in the order of the page.
        summary: what the chart shows, for those who cannot see it.
    """

    factor: str
    label: str
    lead: str
    mixed: str
    unit: str
    rows: tuple[EffectRow, ...]
    summary: str

    @property
    def place(self) -> str:
        """Where the chart stands."""
        return f"chart-{self.factor}"


def squad_factors(evidence: SquadEvidence, names: dict[str, str]) -> tuple[SquadFactorView, ...]:
    """Every primary factor, in order; `names` are the athletes by key, in the page's order."""
    beside = compare(evidence)
    return tuple(
        SquadFactorView(
            factor=factor.factor,
            label=label_of(factor.factor),
            lead=_lead(factor),
            mixed=_mixed(factor, evidence.mixed.get(factor.factor), beside.get(factor.factor)),
            unit=effect_step(factor.factor, EFFECT_UNITS[factor.factor]),
            rows=tuple(
                EffectRow(
                    number,
                    name,
                    interval(DIFFERENCE, factor.athletes[key].alone),
                    interval(DIFFERENCE, factor.athletes[key].together),
                    f"{100 * factor.athletes[key].pulled:.0f}%",
                )
                for number, (key, name) in enumerate(names.items(), 1)
            ),
            summary=(
                f"Chart: the effect of {label_of(factor.factor)} on the result, as published, over "
                f"the squad, and for {count(len(names), 'athlete')}, each with its 90% interval. "
                "The table below it holds the same numbers."
            ),
        )
        for factor in evidence.factors
    )


def _lead(factor: SquadFactor) -> str:
    per = effect_step(factor.factor, EFFECT_UNITS[factor.factor])
    shared = factor.shared
    more, less = MORE_OF[factor.factor]
    if shared.low > 0 or shared.high < 0:
        which = more if shared.mean > 0 else less
        words = f"Published studies and the squad's races together speak for {which}"
    else:
        words = "Published studies and the squad's races together leave it open whether it helps"
    return (
        f"{words}: {interval(DIFFERENCE, shared)} {per}. Published studies alone expect "
        f"{interval(DIFFERENCE, factor.published)}."
    )


def _mixed(factor: SquadFactor, mixed: Mixed | Refusal | None, beside: Compared | None) -> str:
    """What a mixed model says, whether it agrees, and why not where it does not."""
    if mixed is None:
        return ""
    if isinstance(mixed, Refusal):
        return (
            f"No mixed model was fitted: it needs {mixed.needed}, the squad has {mixed.had}; "
            f"{mixed.done}."
        )
    if beside is None:
        return sentence(f"A mixed model was tried: {mixed.words}")
    per = effect_step(factor.factor, EFFECT_UNITS[factor.factor])
    words = (
        f"A mixed model of this factor alone ({mixed.words}; "
        f"{count(mixed.athletes, 'athlete')}, {count(mixed.races, 'race')}) gives "
        f"{DIFFERENCE.show(beside.mixed)} {per}, standard error {beside.mixed_se:.2f}"
    )
    if beside.apart_se <= 1:
        return f"{words}; it agrees within its standard error."
    return (
        f"{words}; that is {beside.apart_se:.1f} standard errors from the squad's estimate. It "
        "takes one factor at a time, so what came together with this factor counts for it, and it "
        "starts from no published value."
    )
