"""What one factor's evidence says in sentences, hedged exactly as far as the numbers demand."""

from __future__ import annotations

import math

from taperback.evidence.model import (
    Classical,
    Estimate,
    FactorEvidence,
    Ranked,
    Refusal,
    Slope,
)
from taperback.quantities import QUANTITIES
from taperback.report.wording import (
    count,
    interval,
    listing,
    outcome_quantity,
    p_text,
    sentence,
    span,
)

MORE_OF = {
    "volume_cut": ("a larger cut in volume", "a smaller cut in volume"),
    "intensity_kept": ("more of the usual hard work", "less of the usual hard work"),
    "sleep_change_h": ("longer sleep than usual", "shorter sleep than usual"),
    "body_clock_lag_h": ("a body clock further behind", "a body clock closer to local time"),
}
"""What more, and less, of a factor is in words."""
_PER = {
    "volume_cut": "for each further {step} of volume cut",
    "intensity_kept": "for each further {step} of the usual hard share kept",
    "sleep_change_h": "for each further {step} of sleep",
    "body_clock_lag_h": "for each further {step} of body clock lag",
}
_OUTCOME = {"result_pct": ("better results", "worse results")}
_EFFORT = ("races that felt harder", "races that felt easier")


def finding(factor: FactorEvidence, outcome: str) -> str:
    """What the athlete's own races say about the factor, in one sentence."""
    if factor.strength == "published only":
        return _too_little(factor)
    more, less = MORE_OF.get(factor.factor, (f"more {factor.factor}", f"less {factor.factor}"))
    which = more if factor.personal.mean >= 0 else less
    good = _OUTCOME.get(outcome, _EFFORT)[0]
    claim = {
        "leaning": f"In your races {which} tended to go with {good}; that can still be chance.",
        "supported": f"Your races support it: {which} went with {good}, more clearly than chance "
        "alone would often give.",
        "strong": f"Your races support it clearly: {which} went with {good}, as chance alone would "
        "very seldom give.",
    }
    return claim[factor.strength]


def _too_little(factor: FactorEvidence) -> str:
    n = len(factor.labels)
    if n == 0:
        return "None of your races can be used here, so only published studies speak."
    if n == 1:
        return "One race says nothing of its own; what is shown is what published studies expect."
    if len(set(factor.exposure.tolist())) == 1:
        same = QUANTITIES[factor.factor].show(float(factor.exposure[0]))
        return (
            f"Your {count(n, 'race')} all had {same}, so they cannot say what a difference does; "
            "only published studies speak."
        )
    return (
        f"Your {count(n, 'race')} say too little on their own; what is shown is what published "
        "studies expect, hardly moved."
    )


def effect_sentences(factor: FactorEvidence, outcome: str) -> tuple[str, ...]:
    """The published and the personal effect with their intervals, and the odds."""
    quantity = outcome_quantity(outcome)
    per = step_words(factor)
    told = [
        f"Published studies alone expect {interval(quantity, factor.published)} {per}.",
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
    return _PER.get(factor, "for each further {step}").format(step=f"{size} {unit}")


def _your_races(factor: FactorEvidence) -> str:
    n = len(factor.labels)
    return f"your {count(n, 'race')}" if n else "no race of yours to add"


def _may_be_nothing(estimate: Estimate) -> str:
    return ", so nothing at all is possible, too" if estimate.low <= 0 <= estimate.high else ""


def _odds(factor: FactorEvidence, outcome: str) -> str:
    if math.isnan(factor.more_is_better):
        return ""
    more, _ = MORE_OF.get(factor.factor, (f"more {factor.factor}", ""))
    odds = QUANTITIES["probability"].show(factor.more_is_better)
    effect = "helps the result" if outcome in _OUTCOME else "makes a race feel easier"
    return f"Both together put the chance that {more} {effect} at {odds}."


def _moved(factor: FactorEvidence) -> str:
    if not factor.labels or math.isnan(factor.moved_bits):
        return ""
    bits = QUANTITIES["moved_bits"].show(factor.moved_bits)
    return f"Your races moved the published estimate by {bits} (0 would be not at all)."


def exact_sentences(factor: FactorEvidence, outcome: str, names: dict[str, str]) -> tuple[str, ...]:
    """The classical answers in words a coach can check; a refused method is told elsewhere."""
    told = []
    if isinstance(factor.ranked, Ranked):
        told.append(_rank_sentence(factor.ranked))
    if isinstance(factor.slope, Slope):
        told.append(_slope_sentence(factor, factor.slope, outcome))
        told.append(_without_sentence(factor, factor.slope, outcome))
    if isinstance(factor.classical, Classical):
        told.append(_line_sentence(factor, factor.classical, outcome, names))
    if not math.isnan(factor.p_holm):
        told.append(f"{_holm(factor)}: {p_text(factor.p_holm)}.")
    if moved := _moved(factor):
        told.append(moved)
    return tuple(told)


def _holm(factor: FactorEvidence) -> str:
    corrected = "corrected for asking about several factors at once (Holm)"
    if factor.curve is None:
        return f"That rank correlation, {corrected}"
    return f"Rank correlation with the height of the published curve, {corrected}"


def _rank_sentence(ranked: Ranked) -> str:
    rho = QUANTITIES["rank_correlation"].show(ranked.estimate)
    how = "every order of the races" if ranked.how == "enumeration" else "orders drawn at random"
    return (
        f"Rank correlation (Spearman) {rho} over {count(ranked.n, 'race')}, "
        f"{p_text(ranked.p_value)} from {how}."
    )


def _per_step(factor: FactorEvidence, slope: float) -> float:
    return slope * factor.effect_unit


def _slope_sentence(factor: FactorEvidence, slope: Slope, outcome: str) -> str:
    quantity = outcome_quantity(outcome)
    change = quantity.show(_per_step(factor, slope.estimate))
    return f"Median slope (Theil–Sen) {change} {step_words(factor)}, {p_text(slope.p_value)}."


def _without_sentence(factor: FactorEvidence, slope: Slope, outcome: str) -> str:
    quantity = outcome_quantity(outcome)
    low, high = _per_step(factor, slope.low), _per_step(factor, slope.high)
    text = f"Leaving out one race at a time, that slope runs from {span(quantity, low, high)}"
    if slope.low < 0 < slope.high:
        text += ": a single race decides its direction"
    return sentence(text)


def _line_sentence(
    factor: FactorEvidence, line: Classical, outcome: str, names: dict[str, str]
) -> str:
    quantity = outcome_quantity(outcome)
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
        ("Kendall's rank correlation", factor.kendall),
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
    return f"{'Race' if len(keys) == 1 else 'Races'} {listing(keys)} {verb} against it."
