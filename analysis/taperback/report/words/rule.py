"""The rule as a tired athlete reads it, and why it is said; never stronger than the numbers."""

from __future__ import annotations

import math

from taperback.common.outcomes import Outcome
from taperback.common.quantities import QUANTITIES
from taperback.common.quantity import MINUS
from taperback.common.wording import count, listing, number_word
from taperback.evidence.model import STRENGTHS, Evidence, FactorEvidence, Rule, RulePart
from taperback.report.words.factors import against_words
from taperback.report.words.wording import interval, sentence, span
from taperback.study.next_week import NextWeek

STRENGTH_MEANS = {
    "published only": "what published studies of other athletes expect; your own races do not "
    "yet say enough to change it",
    "leaning": "published studies, and your own races lean the same way, but so few races can "
    "do that by chance",
    "supported": "published studies, and your own races support it; chance alone would seldom "
    "look like this",
    "strong": "published studies, and your own races support it clearly; chance alone would very "
    "seldom look like this",
}
_HELD_BY = {
    "model": "",
    "published": "The range stops where published studies stop; nobody has shown what lies beyond.",
    "tried": "The range stops at what you have tried; beyond it would be a guess.",
}


def rule_sentence(rule: Rule | None, week: NextWeek) -> str:
    """What to do next time, in one sentence."""
    if rule is None or not rule.parts:
        return "There is no rule to give yet."
    clauses = [clause for part in rule.parts if (clause := part_clause(part, week))]
    if not clauses:
        return "There is no rule to give yet."
    if len(clauses) == 1:
        return sentence(clauses[0])
    return sentence(f"{'; '.join(clauses[:-1])}; and {clauses[-1]}")


def part_clause(part: RulePart, week: NextWeek) -> str:
    """What one part of the rule asks for, as a clause in the imperative."""
    if part.factor == "volume_cut":
        return _cut_clause(part, week)
    if part.factor == "intensity_kept":
        return _intensity_clause(part, week)
    if part.factor == "sleep_change_h":
        return _sleep_clause(part)
    if part.factor == "body_clock_lag_h":
        return _clock_clause(part)
    quantity = QUANTITIES[part.factor]
    return f"hold {quantity.label} at {span(quantity, part.low, part.high)}"


def _cut_clause(part: RulePart, week: NextWeek) -> str:
    less = _less_than_usual(part)
    if week.low_h is None or week.high_h is None or week.baseline_h is None:
        return f"in the last seven days, train {less} than in a usual week"
    hours = span(QUANTITIES["volume_h"], week.low_h, week.high_h)
    usual = QUANTITIES["baseline_weekly_h"].show(week.baseline_h)
    return f"in the last seven days, train {hours}, which is {less} than your usual {usual}"


def _less_than_usual(part: RulePart) -> str:
    cut = QUANTITIES["volume_cut"]
    if part.low >= 0:
        return f"{span(cut, part.low, part.high)} less"
    if part.high <= 0:
        return f"{span(cut, -part.high, -part.low)} more"
    return f"anything from {cut.show(-part.low)} more to {cut.show(part.high)} less"


def no_hard_habit(part: RulePart, week: NextWeek) -> bool:
    """Whether a part asks to keep hard work of which a usual week holds next to none."""
    if part.factor != "intensity_kept" or week.hard_min is None or part.best <= 0:
        return False
    return float(QUANTITIES["hard_min"].number(week.hard_min)) == 0


def _intensity_clause(part: RulePart, week: NextWeek) -> str:
    if no_hard_habit(part, week):
        return ""
    kept = QUANTITIES["intensity_kept"]
    if math.isinf(part.high):
        return f"keep hard work in it, {span(kept, part.low, part.high)} of the usual share"
    return f"keep {span(kept, part.low, part.high)} of the usual share of hard work in it"


def _sleep_clause(part: RulePart) -> str:
    if math.isinf(part.low):
        return ""
    change = QUANTITIES["sleep_change_h"]
    digits = change.number(part.low).lstrip(f"+{MINUS}")
    if float(digits) == 0:
        return "sleep as long as usual or longer"
    if part.low < 0:
        return f"sleep as usual or more, at worst {digits} {change.shown_unit} less"
    return f"sleep at least {digits} {change.shown_unit} more than usual"


def _clock_clause(part: RulePart) -> str:
    if math.isinf(part.high):
        return ""
    lag = QUANTITIES["body_clock_lag_h"]
    if float(lag.number(part.high)) == 0:
        return "if you cross time zones, arrive early enough for your body clock to catch up"
    return (
        "if you cross time zones, arrive early enough to have at most "
        f"{lag.show(part.high)} of the change left on race day"
    )


def reasons(
    rule: Rule | None,
    evidence: Evidence,
    names: dict[str, str],
    *,
    tried: str = "",
    why_none: str = "",
) -> tuple[str, ...]:
    """Why the rule is what it is, one sentence each.

    `names` turns labels into letters; `tried` says what the best and the worst race came after.
    """
    if rule is None or not rule.parts:
        return (sentence(why_none or "the races and files give no rule"),)
    cut = rule.parts[0]
    factor = next((f for f in evidence.factors if f.factor == cut.factor), None)
    told = [
        strength_sentence(rule.strength, outweighed=_outweighs(factor)),
        gain_sentence(cut, evidence.outcome),
        _lost_sentence(rule, evidence.outcome),
        tried,
        against_words(factor, names) if factor else "",
        _other_way(evidence),
        _HELD_BY.get(cut.held_by, ""),
        few_races_sentence(evidence.n),
    ]
    return tuple(text for text in told if text)


def strength_sentence(strength: str, *, outweighed: bool = False) -> str:
    """What the strength of the rule means; `outweighed`: the races turned the studies round."""
    if outweighed and strength != STRENGTHS[0]:
        return "It rests on your own races, which outweigh published studies here."
    return sentence(f"It rests on {STRENGTH_MEANS[strength]}")


def _outweighs(factor: FactorEvidence | None) -> bool:
    """Whether the races and the estimate both point the other way than published studies."""
    if factor is None:
        return False
    return factor.published.mean * factor.direction < 0 and not factor.points_against


def _other_way(evidence: Evidence) -> str:
    """The factors on which the athlete's own races contradict what the rule rests on."""
    labels = [QUANTITIES[f.factor].label for f in evidence.factors if f.points_against]
    if not labels:
        return ""
    return (
        f"On {listing(labels)} your own races point the other way than published studies; there "
        "the rule stays with the studies, and further races may change it."
    )


def gain_sentence(part: RulePart, outcome: Outcome) -> str:
    """What following the rule is expected to be worth, and whether that may be nothing."""
    quantity = outcome.difference
    factor = QUANTITIES[part.factor]
    worth = (
        f"against no change, a {factor.label} of {factor.show(part.best)} is expected to be worth "
        f"{interval(quantity, part.gain)} in the result"
    )
    doubt = ", so it may also be worth nothing" if part.gain.low <= 0 <= part.gain.high else ""
    return sentence(worth + doubt)


def _lost_sentence(rule: Rule, outcome: Outcome) -> str:
    """What the width of the rule may cost: each part alone, and all of them together."""
    quantity = outcome.difference
    each, all_at_once = (
        quantity.show(lost).lstrip("+") for lost in (rule.worthwhile, rule.at_most_lost)
    )
    return (
        f"Anywhere in its range a part is expected to cost at most {each}, which is too little to "
        f"tell; all parts at their worse ends at once would cost {all_at_once}."
    )


def range_text(part: RulePart) -> str:
    """The range of one part as a table shows it."""
    quantity = QUANTITIES[part.factor]
    if part.factor == "sleep_change_h" and math.isinf(part.high):
        digits = quantity.number(part.low)
        if digits != "unknown" and float(digits.lstrip(f"+{MINUS}")) == 0:
            return "as usual or more"
        if part.low < 0:
            return f"at worst {quantity.show(part.low)}"
    return span(quantity, part.low, part.high)


def few_races_sentence(n: int) -> str:
    """How little so many races are."""
    if n == 0:
        return "None of your races has a result that could be compared."
    if n <= 2:
        own = "its" if n == 1 else "their"
        return sentence(f"{count(n, 'race')} with a result can hardly say anything of {own} own")
    if n < 10:
        return sentence(f"{number_word(n)} races are few: the next one may change this")
    return ""
