"""What one factor's evidence says in sentences, hedged exactly as far as the numbers demand."""

from __future__ import annotations

import math

from taperback.common.outcomes import Outcome
from taperback.common.quantities import QUANTITIES
from taperback.evidence.effects import RISE
from taperback.evidence.model import (
    STRENGTHS,
    Classical,
    Estimate,
    FactorEvidence,
    Ranked,
    Refusal,
    Slope,
)
from taperback.report.words.findings import MORE_OF, count_races
from taperback.report.words.wording import interval, is_nothing, p_text, races_named, sentence, span

_PER = {
    "volume_cut": "for each further {step} of volume cut",
    "intensity_kept": "for each further {step} of the usual hard share kept",
    "sleep_change_h": "for each further {step} of sleep",
    "body_clock_lag_h": "for each further {step} of body clock lag",
}


def strength_word(strength: str, outcome: Outcome) -> str:
    """How strongly something is said, where nothing is published "published only" being wrong."""
    if strength == STRENGTHS[0] and not outcome.published:
        return "not shown"
    return strength


def effect_sentences(factor: FactorEvidence, outcome: Outcome) -> tuple[str, ...]:
    """The published and the personal effect with their intervals, and the odds."""
    quantity = outcome.difference
    start = (
        "Published studies alone expect"
        if outcome.published
        else "Nothing is published about it, so the estimate starts at no effect:"
    )
    told = [
        f"{start} {interval(quantity, factor.published)} "
        f"{effect_step(factor.factor, factor.effect_unit)}.",
        f"With {_your_races(factor)} it becomes {interval(quantity, factor.personal)}"
        f"{_may_be_nothing(factor.personal)}.",
        _odds(factor, outcome),
    ]
    return tuple(text for text in told if text)


def step_words(factor: FactorEvidence) -> str:
    """What the effect is per, such as "for each further 10 points of volume cut"."""
    return step_of(factor.factor, factor.effect_unit)


def step_of(factor: str, effect_unit: float) -> str:
    """What an effect of that factor is per, in words."""
    quantity = QUANTITIES[factor]
    size = f"{effect_unit * quantity.scale:g}"
    unit = "points" if quantity.shown_unit == "%" else quantity.shown_unit
    return _PER[factor].format(step=f"{size} {unit}")


def effect_step(factor: str, effect_unit: float) -> str:
    """What a modelled effect is per; that of the volume cut is told of the curve's rising part."""
    step = step_of(factor, effect_unit)
    if factor != "volume_cut":
        return step
    cut = QUANTITIES[factor]
    return f"{step} between {cut.number(RISE[0])} and {cut.show(RISE[1])}"


def _your_races(factor: FactorEvidence) -> str:
    n = len(factor.labels)
    return f"your {count_races(n, factor.races)}" if n else "no race of yours to add"


def _may_be_nothing(estimate: Estimate) -> str:
    return ", so it may have no effect" if estimate.low <= 0 <= estimate.high else ""


def _odds(factor: FactorEvidence, outcome: Outcome) -> str:
    if math.isnan(factor.more_is_better):
        return ""
    more, _ = MORE_OF[factor.factor]
    odds = QUANTITIES["probability"].show(factor.more_is_better)
    if factor.factor == "volume_cut":
        cut = QUANTITIES[factor.factor]
        more += f", {cut.show(RISE[1])} rather than {cut.show(RISE[0])},"
    published = outcome.published
    effect = "helps the result" if published else "makes a race feel easier"
    both = "Together they put" if published else "That puts"
    return f"{both} the chance that {more} {effect} at {odds}, as far as the model fits."


def _moved(factor: FactorEvidence, outcome: Outcome) -> str:
    if not factor.labels or math.isnan(factor.moved_sd):
        return ""
    moved = QUANTITIES["moved_sd"].show(factor.moved_sd)
    start = "the published estimate" if outcome.published else "the estimate from no effect"
    return f"Your races moved {start} by {moved} of its standard deviations before them."


def exact_sentences(
    factor: FactorEvidence, outcome: Outcome, names: dict[str, str]
) -> tuple[str, ...]:
    """The classical answers in words a coach can check; a refused method is told elsewhere."""
    told = []
    if isinstance(factor.ranked, Ranked):
        told.append(_rank_sentence(factor.ranked, factor.races))
    if isinstance(factor.slope, Slope):
        told.append(_slope_sentence(factor, factor.slope, outcome))
        told.append(_without_sentence(factor, factor.slope, outcome))
    if isinstance(factor.classical, Classical):
        told.append(_line_sentence(factor, factor.classical, outcome, names))
    if not math.isnan(factor.p_holm):
        told.append(f"{_holm(factor, outcome)}: {p_text(factor.p_holm)}.")
    if moved := _moved(factor, outcome):
        told.append(moved)
    return tuple(told)


def _holm(factor: FactorEvidence, outcome: Outcome) -> str:
    corrected = "corrected for asking about several factors at once (Holm)"
    if factor.curve is None or not outcome.published:
        return f"That rank correlation, {corrected}"
    return f"Rank correlation with the height of the published curve, {corrected}"


def _rank_sentence(ranked: Ranked, races: int) -> str:
    rho = QUANTITIES["rank_correlation"].show(ranked.estimate)
    how = "every order of the races" if ranked.how == "enumeration" else "orders drawn at random"
    return (
        f"Rank correlation (Spearman) {rho} over {count_races(ranked.n, races)}, "
        f"{p_text(ranked.p_value)} from {how}."
    )


def _per_step(factor: FactorEvidence, slope: float) -> float:
    return slope * factor.effect_unit


def _slope_sentence(factor: FactorEvidence, slope: Slope, outcome: Outcome) -> str:
    quantity = outcome.difference
    change = quantity.show(_per_step(factor, slope.estimate))
    return f"Median slope (Theil–Sen) {change} {step_words(factor)}, {p_text(slope.p_value)}."


def _without_sentence(factor: FactorEvidence, slope: Slope, outcome: Outcome) -> str:
    quantity = outcome.difference
    low, high = _per_step(factor, slope.low), _per_step(factor, slope.high)
    text = f"Leaving out one race at a time, that slope runs from {span(quantity, low, high)}"
    told = not any(is_nothing(quantity, end) for end in (low, high))
    if told and low < 0 < high:
        text += ": a single race decides its direction"
    return sentence(text)


def _line_sentence(
    factor: FactorEvidence, line: Classical, outcome: Outcome, names: dict[str, str]
) -> str:
    quantity = outcome.difference
    unit = factor.effect_unit
    estimate = Estimate(line.estimate * unit, line.low * unit, line.high * unit)
    carried = names.get(line.carried_by, line.carried_by)
    return (
        f"Least squares {interval(quantity, estimate)} {step_words(factor)}, "
        f"{p_text(line.p_value)}; race {carried} carries most of it."
    )


def refusals(factor: FactorEvidence) -> tuple[tuple[str, Refusal], ...]:
    """The methods that were not applied to this factor, with their names."""
    methods = (
        ("Spearman's rank correlation", factor.ranked),
        ("Theil–Sen slope", factor.slope),
        ("Least squares", factor.classical),
    )
    return tuple((name, answer) for name, answer in methods if isinstance(answer, Refusal))


def against_words(factor: FactorEvidence, names: dict[str, str]) -> str:
    """Which races speak against the finding, or nothing."""
    keys = [names.get(label, label) for label in factor.against]
    if not keys:
        return ""
    verb = "speaks" if len(keys) == 1 else "speak"
    return sentence(f"{races_named(keys)} {verb} against it")
