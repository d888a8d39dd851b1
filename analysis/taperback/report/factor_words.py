"""What one factor's evidence says in sentences, hedged exactly as far as the numbers demand."""

from __future__ import annotations

import math

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
from taperback.quantities import QUANTITIES
from taperback.report.wording import (
    count,
    interval,
    is_nothing,
    outcome_quantity,
    p_text,
    races_named,
    sentence,
    span,
)
from taperback.resources import shared_toml

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


_CHANCE_SELDOM = "more clearly than chance alone would often give"


def finding(factor: FactorEvidence, outcome: str) -> str:
    """What the athlete's own races say about the factor, in a sentence or two."""
    if factor.points_against:
        return _against_studies(factor, outcome)
    if factor.strength == "published only":
        return _too_little(factor, is_published(outcome))
    went = _what_went(factor, outcome)
    claim = {
        "leaning": f"In your races {went.replace(' went with ', ' tended to go with ')}; that can "
        "still be chance.",
        "supported": f"Your races support it: {went}, {_CHANCE_SELDOM}.",
        "strong": f"Your races support it clearly: {went}, as chance alone would very seldom give.",
    }
    return claim[factor.strength] + _time_words(factor, outcome)


def _what_went(factor: FactorEvidence, outcome: str) -> str:
    """What of the factor went with what of the outcome, as the athlete's own races stand."""
    good = _OUTCOME.get(outcome, _EFFORT)[0]
    more, less = MORE_OF.get(factor.factor, (f"more {factor.factor}", f"less {factor.factor}"))
    own = factor.ranked.estimate if isinstance(factor.ranked, Ranked) else 0.0
    if own * factor.direction > 0:
        return f"{more if own > 0 else less} went with {good}"
    # the races rank by the height of the published curve, and not by the size of the cut
    expected = "most" if factor.direction > 0 else "least"
    return f"the cuts that published studies expect {expected} of went with {good}"


def _against_studies(factor: FactorEvidence, outcome: str) -> str:
    """Races that lean the other way than the estimate, which keeps the studies' direction."""
    told = f"Your races point the other way: {_what_went(factor, outcome)}"
    if factor.p_holm <= shared_toml("limits.toml")["strength"]["supported_p"]:
        told += f", {_CHANCE_SELDOM}"
    else:
        told += "; that can still be chance"
    carried = (
        "published studies still outweigh them in the estimate, which your races drew to their side"
        if is_published(outcome)
        else "with the other factors taken into account the estimate does not follow them"
    )
    return f"{told}. {carried[0].upper()}{carried[1:]}.{_time_words(factor, outcome)}"


def _time_words(factor: FactorEvidence, outcome: str) -> str:
    """What else would look the same where everything went one way from race to race."""
    if not factor.with_time:
        return ""
    label = QUANTITIES[factor.factor].label
    what = "results" if is_published(outcome) else "how hard races felt"
    return (
        f" Both {label} and {what} went one way from race to race, so that fitness, age or "
        "anything else that changed with time would look the same."
    )


def is_published(outcome: str) -> bool:
    """Whether studies tell what to expect; of how hard a race feels none does."""
    return outcome in _OUTCOME


def strength_word(strength: str, outcome: str) -> str:
    """How strongly something is said, where nothing is published "published only" being wrong."""
    if strength == STRENGTHS[0] and not is_published(outcome):
        return "not shown"
    return strength


def _too_little(factor: FactorEvidence, published: bool) -> str:
    n = len(factor.labels)
    studies = "only published studies speak" if published else "nothing is known of it"
    if n == 0:
        return f"None of your races can be used here, so {studies}."
    if len(set(factor.exposure.tolist())) == 1 and n > 1:
        same = QUANTITIES[factor.factor].show(float(factor.exposure[0]))
        return (
            f"Your {count(n, 'race')} all had {same}, so they cannot say what a difference does; "
            f"{studies}."
        )
    few = (
        "One race says nothing of its own"
        if n == 1
        else f"Your {count(n, 'race')} say too little on their own"
    )
    if not published:
        return f"{few}, and no published study tells what to expect."
    moved = "" if n == 1 else f", {_how_far_moved(factor)}"
    return f"{few}; what is shown is what published studies expect{moved}."


def _how_far_moved(factor: FactorEvidence) -> str:
    """How far the races moved the published estimate, in words."""
    noticed = shared_toml("limits.toml")["strength"]["leaning_bits"]
    return "hardly moved" if factor.moved_bits < noticed else "moved a little by your races"


def effect_sentences(factor: FactorEvidence, outcome: str) -> tuple[str, ...]:
    """The published and the personal effect with their intervals, and the odds."""
    quantity = outcome_quantity(outcome)
    start = (
        "Published studies alone expect"
        if is_published(outcome)
        else "Nothing is published about it, so the estimate starts around nought:"
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
    return _PER.get(factor, "for each further {step}").format(step=f"{size} {unit}")


def effect_step(factor: str, effect_unit: float) -> str:
    """What a modelled effect is per; that of the volume cut is told of the curve's rising part."""
    step = step_of(factor, effect_unit)
    if factor != "volume_cut":
        return step
    cut = QUANTITIES[factor]
    return f"{step} between {cut.number(RISE[0])} and {cut.show(RISE[1])}"


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
    if factor.factor == "volume_cut":
        cut = QUANTITIES[factor.factor]
        more += f", {cut.show(RISE[1])} rather than {cut.show(RISE[0])},"
    published = is_published(outcome)
    effect = "helps the result" if published else "makes a race feel easier"
    both = "Both together put" if published else "That puts"
    return f"{both} the chance that {more} {effect} at {odds}, as far as the model fits."


def _moved(factor: FactorEvidence, outcome: str) -> str:
    if not factor.labels or math.isnan(factor.moved_bits):
        return ""
    bits = QUANTITIES["moved_bits"].show(factor.moved_bits)
    start = "the published estimate" if is_published(outcome) else "the estimate from nought"
    return f"Your races moved {start} by {bits} (0 would be not at all)."


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
        told.append(f"{_holm(factor, outcome)}: {p_text(factor.p_holm)}.")
    if moved := _moved(factor, outcome):
        told.append(moved)
    return tuple(told)


def _holm(factor: FactorEvidence, outcome: str) -> str:
    corrected = "corrected for asking about several factors at once (Holm)"
    if factor.curve is None or not is_published(outcome):
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
    told = not any(is_nothing(quantity, end) for end in (low, high))
    if told and low < 0 < high:
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
    return sentence(f"{races_named(keys)} {verb} against it")
