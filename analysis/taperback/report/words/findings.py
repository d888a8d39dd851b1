"""What an athlete's own races say of a factor, in a sentence or two; never more than they do."""

from __future__ import annotations

from collections.abc import Sequence

from taperback.common.limits import LIMITS
from taperback.common.outcomes import Outcome
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, listing
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
    """What the athlete's own races say about the factor, in a sentence or two.

    Empty where they add nothing, which `adds_nothing` says of all such factors at once.
    """
    if factor.strength == "published only" and not factor.points_against:
        return (_too_little(factor, outcome) + _time_words(factor, outcome)).strip()
    went = _what_went(factor, outcome)
    clear = factor.p_holm <= LIMITS.strength.supported_p
    chance = f", {_CHANCE_SELDOM}" if clear else "; that can still be chance"
    if factor.points_against:
        carried = (
            f"Published studies still outweigh them in the estimate, which they "
            f"{moved_words(factor)}"
            if outcome.published
            else "With the other factors taken into account the estimate does not follow them"
        )
        said = f"Your races point the other way: {went}{chance}. {carried}."
        return said + _time_words(factor, outcome)
    if clear:
        chance += "; the course or the weather can do that, too"
    claim = {
        "leaning": f"In your races {went.replace(' went with ', ' tended to go with ')}{chance}.",
        "supported": f"Your races support it: {went}, {_CHANCE_SELDOM}.",
        "strong": f"Your races support it clearly: {went}, as chance alone would very seldom give.",
    }
    return claim[factor.strength]


def _what_went(factor: FactorEvidence, outcome: Outcome) -> str:
    """What of the factor went with what of the outcome, as the athlete's own races stand."""
    more, less = MORE_OF[factor.factor]
    own = factor.ranked.estimate if isinstance(factor.ranked, Ranked) else 0.0
    if own * factor.direction > 0 or factor.curve is None:
        return f"{more if own > 0 else less} went with {outcome.more}"
    # the races rank by the height of the published curve, and not by the size of the cut
    best = QUANTITIES[factor.factor].show(float(factor.curve.at[factor.curve.published.argmax()]))
    if factor.direction > 0:
        return f"cuts near {best}, as published studies expect, went with {outcome.more}"
    return f"cuts far from {best}, which published studies advise, went with {outcome.more}"


def _time_words(factor: FactorEvidence, outcome: Outcome) -> str:
    """What else would look the same where everything went one way from race to race."""
    if not factor.with_time:
        return ""
    label = QUANTITIES[factor.factor].label
    what = "results" if outcome.published else "how hard races felt"
    return (
        f" Both {label} and {what} went one way from race to race; fitness, age or anything else "
        "that changed with time would look the same, so nothing more is said."
    )


def _too_little(factor: FactorEvidence, outcome: Outcome) -> str:
    n, far = len(factor.labels), far_moved(factor.moved_sd)
    races = count_races(n, factor.races)
    if n > 1 and len(set(factor.exposure.tolist())) == 1:
        same = QUANTITIES[factor.factor].show(float(factor.exposure[0]))
        known = "only published studies speak" if outcome.published else "nothing is known of it"
        return f"Your {races} all had {same}, so they cannot say what a difference does; {known}."
    if n == 0 or far == HARDLY:
        return ""
    shown = f"Your {races} {'does' if n == 1 else 'do'} not show it"
    if not outcome.published:
        return (
            f"{shown}, and no published study says what to expect; the estimate, which starts at "
            f"no effect, moved {far}."
        )
    by = "by itself, yet it" if n == 1 else "by themselves, yet they"
    return f"{shown} {by} {moved_words(factor, 'what published studies expect')}."


def adds_nothing(factors: Sequence[FactorEvidence], outcome: Outcome) -> str:
    """The factors to which the races add nothing; empty where there is none."""
    silent = [QUANTITIES[f.factor].label for f in factors if not finding(f, outcome)]
    if not silent:
        return ""
    known = (
        "only published studies speak there"
        if outcome.published
        else "no published study says what to expect"
    )
    return f"On {listing(silent)} your own races say too little yet; {known}."


HARDLY = "hardly"


def far_moved(moved_sd: float) -> str:
    """How far an estimate moved, given in SDs of what was believed before.

    >>> far_moved(-0.1), far_moved(0.3), far_moved(-1.0)
    ('hardly', 'somewhat', 'a good deal')
    """
    size = abs(moved_sd)
    if size < LIMITS.strength.hardly_sd:
        return HARDLY
    return "somewhat" if size < LIMITS.strength.somewhat_sd else "a good deal"


def moved_words(factor: FactorEvidence, what: str = "") -> str:
    """How far, and which way, the races moved `what`, such as "moved it somewhat, ..."."""
    far, before, after = far_moved(factor.moved_sd), factor.published.mean, factor.personal.mean
    if far == HARDLY:
        return " ".join(["hardly moved", what]).strip()
    if before * after < 0:
        way = "past zero to the other way"
    else:
        way = "towards no effect" if abs(after) < abs(before) else "further the same way"
    return " ".join(["moved", *what.split(), f"{far}, {way}"])


def count_races(points: int, races: int) -> str:
    """How many races there are, and how many race weeks where some share one.

    >>> count_races(5, 5), count_races(5, 15)
    ('five races', 'five race weeks (15 races)')
    """
    if points == races:
        return count(points, "race")
    return f"{count(points, 'race week')} ({count(races, 'race')})"


def counted(points: Sequence[Sequence[str]]) -> str:
    """How many races these points hold, as `count_races` says it; nothing where there is none."""
    return count_races(len(points), sum(map(len, points))) if points else ""
