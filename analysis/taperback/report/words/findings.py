"""What an athlete's own races say of a factor, in a sentence or two; never more than they do."""

from __future__ import annotations

from taperback.common.limits import LIMITS
from taperback.common.outcomes import Outcome
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count
from taperback.evidence.model import FactorEvidence, Ranked

MORE_OF = {
    "volume_cut": ("a larger cut in volume", "a smaller cut in volume"),
    "intensity_kept": ("more of the usual hard work", "less of the usual hard work"),
    "sleep_change_h": ("longer sleep than usual", "shorter sleep than usual"),
    "body_clock_lag_h": ("a body clock further behind", "a body clock closer to local time"),
}
"""What more, and less, of a factor is in words."""
_CHANCE_SELDOM = "more clearly than chance alone would often give"


def finding(factor: FactorEvidence, outcome: Outcome) -> str:
    """What the athlete's own races say about the factor, in a sentence or two."""
    if factor.points_against:
        return _against_studies(factor, outcome)
    if factor.strength == "published only":
        return _too_little(factor, outcome.published)
    went = _what_went(factor, outcome)
    claim = {
        "leaning": f"In your races {went.replace(' went with ', ' tended to go with ')}; that can "
        "still be chance.",
        "supported": f"Your races support it: {went}, {_CHANCE_SELDOM}.",
        "strong": f"Your races support it clearly: {went}, as chance alone would very seldom give.",
    }
    return claim[factor.strength] + _time_words(factor, outcome)


def _what_went(factor: FactorEvidence, outcome: Outcome) -> str:
    """What of the factor went with what of the outcome, as the athlete's own races stand."""
    more, less = MORE_OF[factor.factor]
    own = factor.ranked.estimate if isinstance(factor.ranked, Ranked) else 0.0
    if own * factor.direction > 0:
        return f"{more if own > 0 else less} went with {outcome.more}"
    # the races rank by the height of the published curve, and not by the size of the cut
    expected = "most" if factor.direction > 0 else "least"
    return f"the cuts that published studies expect {expected} of went with {outcome.more}"


def _against_studies(factor: FactorEvidence, outcome: Outcome) -> str:
    """Races that lean the other way than the estimate, which keeps the studies' direction."""
    told = f"Your races point the other way: {_what_went(factor, outcome)}"
    if factor.p_holm <= LIMITS.strength.supported_p:
        told += f", {_CHANCE_SELDOM}"
    else:
        told += "; that can still be chance"
    carried = (
        "published studies still outweigh them in the estimate, which your races drew to their side"
        if outcome.published
        else "with the other factors taken into account the estimate does not follow them"
    )
    return f"{told}. {carried[0].upper()}{carried[1:]}.{_time_words(factor, outcome)}"


def _time_words(factor: FactorEvidence, outcome: Outcome) -> str:
    """What else would look the same where everything went one way from race to race."""
    if not factor.with_time:
        return ""
    label = QUANTITIES[factor.factor].label
    what = "results" if outcome.published else "how hard races felt"
    return (
        f" Both {label} and {what} went one way from race to race, so that fitness, age or "
        "anything else that changed with time would look the same."
    )


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
    noticed = LIMITS.strength.leaning_bits
    return "hardly moved" if factor.moved_bits < noticed else "moved a little by your races"
