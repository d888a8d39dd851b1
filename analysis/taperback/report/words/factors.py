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
from taperback.report.words.findings import count_races
from taperback.report.words.wording import interval, is_nothing, p_text, races_named, sentence, span

_PER = {
    "volume_cut": "for each further {step} of volume cut",
    "intensity_kept": "for each further {step} of the usual hard share kept",
    "sleep_change_h": "for {step} more sleep",
    "body_clock_lag_h": "for each further {step} of body clock lag",
}


def strength_word(strength: str, outcome: Outcome) -> str:
    """How strongly something is said, where nothing is published "published only" being wrong."""
    if strength == STRENGTHS[0] and not outcome.published:
        return "not shown"
    return strength


def effect_text(estimate: Estimate, outcome: Outcome) -> str:
    """An effect with its 90% interval as the table of effects has it: "+0.5% (−0.5 to +1.4%)"."""
    low_high = span(outcome.difference, estimate.low, estimate.high)
    return f"{outcome.difference.show(estimate.mean)} ({low_high})"


def more_words(factor: FactorEvidence) -> str:
    """What the effect compares with one step less, such as "10 points more, from 10 to 50%"."""
    return f"{_size(factor.factor, factor.effect_unit)} more{_rising(factor.factor, ', from')}"


def chance_texts(factor: FactorEvidence) -> tuple[str, str]:
    """How likely more of it helps, by studies alone and with the races."""
    return chance_text(factor.published_better), chance_text(factor.more_is_better)


def chance_text(chance: float) -> str:
    """A probability as percent; never certainty, since no race can give it.

    >>> chance_text(0.64), chance_text(0.996), chance_text(0.004)
    ('64%', 'over 99%', 'under 1%')
    """
    if chance > 0.99:
        return "over 99%"
    return "under 1%" if chance < 0.01 else QUANTITIES["probability"].show(chance)


def step_words(factor: FactorEvidence) -> str:
    """What the effect is per, such as "for each further 10 points of volume cut"."""
    return step_of(factor.factor, factor.effect_unit)


def step_of(factor: str, effect_unit: float) -> str:
    """What an effect of that factor is per, in words."""
    return _PER[factor].format(step=_size(factor, effect_unit))


def _size(factor: str, effect_unit: float) -> str:
    quantity = QUANTITIES[factor]
    unit = "points" if quantity.shown_unit == "%" else quantity.shown_unit
    return f"{effect_unit * quantity.scale:g} {unit}"


def effect_step(factor: str, effect_unit: float) -> str:
    """What a modelled effect is per; that of the volume cut is of the curve's rising part."""
    return step_of(factor, effect_unit) + _rising(factor, " between", "and")


def _rising(factor: str, between: str, to: str = "to") -> str:
    """Over which cuts the modelled effect of the volume cut is taken; nothing of other factors."""
    if factor != "volume_cut":
        return ""
    cut = QUANTITIES[factor]
    return f"{between} {cut.number(RISE[0])} {to} {cut.show(RISE[1])}"


def exact_sentences(
    factor: FactorEvidence, outcome: Outcome, names: dict[str, str]
) -> tuple[str, ...]:
    """The classical answers in words a coach can check; a refused method is said elsewhere."""
    said = []
    if isinstance(factor.ranked, Ranked):
        ranked = factor.ranked
        rho, races = QUANTITIES["rank_correlation"], count_races(ranked.n, factor.races)
        exact = ranked.how == "enumeration"
        how = "every order of the races" if exact else "orders drawn at random"
        said.append(
            f"Rank correlation (Spearman) {rho.show(ranked.estimate)} over {races}, "
            f"{p_text(ranked.p_value)} from {how}."
        )
    if isinstance(factor.slope, Slope):
        change = outcome.difference.show(_per_step(factor, factor.slope.estimate))
        p = p_text(factor.slope.p_value)
        said.append(f"Median slope (Theil–Sen) {change} {step_words(factor)}, {p}.")
        said.append(_without_sentence(factor, factor.slope, outcome))
    if isinstance(factor.classical, Classical):
        said.append(_line_sentence(factor, factor.classical, outcome, names))
    if not math.isnan(factor.p_holm):
        of_curve = factor.curve is not None and outcome.published
        what = (
            "Rank correlation with the height of the published curve"
            if of_curve
            else "That rank correlation"
        )
        corrected = "corrected for asking about several factors at once (Holm)"
        said.append(f"{what}, {corrected}: {p_text(factor.p_holm)}.")
    if factor.labels and not math.isnan(factor.moved_sd):
        moved = QUANTITIES["moved_sd"].show(factor.moved_sd)
        what = "the published estimate" if outcome.published else "the estimate from no effect"
        said.append(f"Your races moved {what} by {moved} of its standard deviations before them.")
    return tuple(said)


def _per_step(factor: FactorEvidence, slope: float) -> float:
    return slope * factor.effect_unit


def _without_sentence(factor: FactorEvidence, slope: Slope, outcome: Outcome) -> str:
    quantity = outcome.difference
    low, high = _per_step(factor, slope.low), _per_step(factor, slope.high)
    between = span(quantity, low, high)
    runs = "runs from" if " to " in between else "stays at"
    text = f"Leaving out one race at a time, that slope {runs} {between}"
    clear = not any(is_nothing(quantity, end) for end in (low, high))
    if clear and low < 0 < high:
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
        f"{p_text(line.p_value)}; race {carried} has most weight in it."
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


def weight_words(factor: FactorEvidence, names: dict[str, str]) -> str:
    """Which race has most weight, and which way it pulls the relation; empty where none has."""
    if not factor.carried_by or isinstance(factor.slope, Refusal):
        return ""
    key = names.get(factor.carried_by, factor.carried_by)
    without = dict(factor.slope.without)
    if factor.carried_by not in without:
        return f"Race {key} (ringed) alone sets the line: the others are all alike."
    pull = _per_step(factor, factor.slope.estimate - without[factor.carried_by])
    way = "up" if pull > 0 else "down"
    return f"Race {key} (ringed) has most weight: it pulls the line {way} to the right."
