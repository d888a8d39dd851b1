"""The rule as a tired athlete reads it, and why it is said; never stronger than the numbers."""

from __future__ import annotations

import math

from taperback.common.limits import LIMITS
from taperback.common.outcomes import Outcome
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import listing, number_word
from taperback.evidence.model import STRENGTHS, Evidence, FactorEvidence, Rule, RulePart
from taperback.report.words.factors import against_words, chance_text, effect_text
from taperback.report.words.findings import HARDLY, counted
from taperback.report.words.wording import is_nothing, sentence, span
from taperback.study.next_week import NextWeek

STRENGTH_MEANS = {
    "published only": "published studies of other athletes; your own races do not show it by "
    "themselves",
    "leaning": "published studies, and your own races lean the same way; chance, the course or the "
    "weather can do that, too",
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
    """What to do next time, in one sentence of at most 35 words."""
    parts = {part.factor: part for part in rule.parts} if rule else {}
    if "volume_cut" not in parts:
        return "There is no rule to give yet."
    percent, part = QUANTITIES["volume_cut"], parts["volume_cut"]
    if part.low >= 0:
        less = f"{span(percent, part.low, part.high)} less than usual"
    elif part.high <= 0:
        less = f"{span(percent, -part.high, -part.low)} more than usual"
    else:
        less = f"from {percent.show(-part.low)} more to {percent.show(part.high)} less"
    if week.low_h is not None and week.high_h is not None:
        less = f"{span(QUANTITIES['volume_h'], week.low_h, week.high_h)} ({less})"
    hard = _hard_words(parts.get("intensity_kept"), week)
    cut = f"in the last seven days, train {less}" + (f", {hard}" if hard else "")
    sleep, clock = parts.get("sleep_change_h"), parts.get("body_clock_lag_h")
    early = "across time zones, arrive early" if clock and not math.isinf(clock.high) else ""
    return sentence("; ".join(words for words in (cut, _sleep_words(sleep), early) if words))


def _hard_words(part: RulePart | None, week: NextWeek) -> str:
    if part is None or no_hard_habit(part, week):
        return ""
    if not math.isinf(part.high):
        kept = span(QUANTITIES["intensity_kept"], part.low, part.high)
        return f"{kept} of the usual share hard"
    if week.hard_min is None:
        return "some of it hard"
    return f"about {QUANTITIES['hard_min'].show(week.hard_min)} of it hard"


def _sleep_words(part: RulePart | None) -> str:
    """The aim, and never a shortfall that seems allowed because little is known."""
    if part is None or math.isinf(part.low):
        return ""
    more = QUANTITIES["volume_h"].show(max(part.low, 0.0))
    if float(more.split()[0]) == 0:
        return "sleep as much as usual or more"
    return f"sleep at least {more} a night more"


def part_clause(part: RulePart) -> str:
    """What a part about sleep or the body clock asks for, in the imperative; may be empty."""
    if part.factor == "sleep_change_h":
        return _sleep_words(part)
    if math.isinf(part.high):
        return ""
    lag = QUANTITIES["body_clock_lag_h"]
    if float(lag.number(part.high)) == 0:
        return "if you cross time zones, arrive early enough for your body clock to catch up"
    return (
        "if you cross time zones, arrive early enough for your body clock to be within "
        f"{lag.show(part.high)} of local time"
    )


def no_hard_habit(part: RulePart, week: NextWeek) -> bool:
    """Whether a part asks to keep hard work of which a usual week holds next to none."""
    if part.factor != "intensity_kept" or week.hard_min is None or part.best <= 0:
        return False
    return float(QUANTITIES["hard_min"].number(week.hard_min)) == 0


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
    outweighed = (
        factor is not None
        and factor.published.mean * factor.direction < 0
        and not factor.points_against
    )
    against = [QUANTITIES[f.factor].label for f in evidence.factors if f.points_against]
    other_way = (
        f"On {listing(against)} your own races point the other way than published studies. There "
        "the rule stays with the studies; further races may change it."
    )
    said = [
        strength_sentence(cut.strength, outweighed=outweighed),
        gain_sentence(cut, evidence.outcome, with_time=bool(factor and factor.with_time)),
        tried,
        against_words(factor, names) if factor else "",
        other_way if against else "",
        few_races_sentence(evidence.points),
    ]
    return tuple(text for text in said if text)


def trust(rule: Rule | None, evidence: Evidence) -> tuple[str, ...]:
    """How far the range of the cut can be trusted: what moved it, what it may miss and cost."""
    if rule is None or not rule.parts:
        return ()
    each, all_at_once, varies = (
        evidence.outcome.difference.show(size).lstrip("+")
        for size in (rule.worthwhile, rule.at_most_lost, evidence.noise_personal.mean)
    )
    many = len(rule.parts) > 1
    lost = (
        f"Staying inside {'a' if many else 'the'} range costs at most {each} of your time, little "
        f"beside the {varies} by which races like yours vary anyway."
    )
    if many:
        lost += f" At the bad end of all {number_word(len(rule.parts))} it would be {all_at_once}."
    said = (
        not_knowing_sentence(rule, evidence.outcome),
        lost,
        moved_sentence(rule, counted(evidence.points)),
        stays_sentence(rule, evidence.outcome),
        _HELD_BY.get(rule.parts[0].held_by, ""),
    )
    return tuple(text for text in said if text)


def strength_sentence(strength: str, *, outweighed: bool = False) -> str:
    """What the size of the cut rests on; `outweighed`: the races turned the studies round."""
    if outweighed and strength != STRENGTHS[0]:
        return "The cut rests on your own races, which outweigh published studies here."
    return sentence(f"The cut rests on {STRENGTH_MEANS[strength]}")


def moved_sentence(rule: Rule, races: str) -> str:
    """How far the athlete's races moved the range, which way, and what it is without them.

    `races` says how many there are, or nothing where there are none.
    """
    if not races:
        return ""
    cut, before = rule.parts[0], rule.before
    low, high = cut.low - before.low, cut.high - before.high
    size = max(abs(low), abs(high), abs(cut.best - before.best))
    without = span(QUANTITIES[cut.factor], before.low, before.high)
    them = "it" if races.startswith("one ") else "them"
    if size < _SAME:
        return sentence(f"your {races} left the range where it is without {them}")
    if max(abs(low), abs(high)) < _SAME:
        best, was = (QUANTITIES[cut.factor].show(value) for value in (cut.best, before.best))
        return sentence(
            f"your {races} left its ends and moved its best {_far(size)}, to {best}: without "
            f"{them} it is {was}"
        )
    if _far(size) == HARDLY:
        return sentence(f"your {races} hardly moved the range: without {them} it is {without}")
    if min(low, high) >= -_SAME and max(low, high) > _SAME:
        way = ", to larger cuts"
    elif max(low, high) <= _SAME and min(low, high) < -_SAME:
        way = ", to smaller cuts"
    elif low > 0 > high:
        way = ", closer together"
    else:
        way = ", wider apart"
    return sentence(
        f"your {races} moved the range {_far(size)}{way}: without {them} it is {without}"
    )


_SAME = 1e-6


def _far(size: float) -> str:
    """How far the range moved, in words."""
    if size <= LIMITS.strength.hardly_cut + _SAME:
        return HARDLY
    return "somewhat" if size <= LIMITS.strength.somewhat_cut + _SAME else "a good deal"


def gain_sentence(part: RulePart, outcome: Outcome, *, with_time: bool = False) -> str:
    """What following the rule is expected to be worth, and whether that may be nothing."""
    quantity, factor = outcome.difference, QUANTITIES[part.factor]
    likely = span(quantity, part.gain.low, part.gain.high)
    less = f"training {factor.show(part.best)} less"
    if factor.number(part.best) == factor.number(0.5):
        less = "halving your training"
    faster = "neither faster nor slower"
    if not is_nothing(quantity, part.gain.mean):
        size = quantity.show(abs(part.gain.mean)).lstrip("+")
        faster = f"{size} {'faster' if part.gain.mean > 0 else 'slower'}"
    doubt = ", so it may have no effect" if part.gain.low <= 0 <= part.gain.high else ""
    worth = (
        f"compared with not cutting, {less} is expected to make you "
        f"{faster} (90% interval {likely}{doubt})"
    )
    time = (
        ". Your cuts and results both went one way from race to race: growing fitter would look "
        "the same, so your races count for little in it"
        if with_time
        else ""
    )
    return sentence(worth + time)


def stays_sentence(rule: Rule, outcome: Outcome) -> str:
    """Why the rule names the cut that studies found best where another promises a little more."""
    if is_nothing(outcome.difference, rule.passed_up):
        return ""
    cut = QUANTITIES[rule.parts[0].factor].show(rule.parts[0].best)
    more = outcome.difference.show(rule.passed_up).lstrip("+")
    return (
        f"Another cut in the range is expected to gain {more} more than {cut}, which studies found "
        "best; that is too little to leave it for."
    )


def not_knowing_sentence(rule: Rule, outcome: Outcome) -> str:
    """How likely the athlete's own best lies in the range, and what not knowing it costs."""
    chance = chance_text(rule.best_inside)
    about = chance if " " in chance else f"about {chance}"
    costs = outcome.difference.show(rule.not_knowing).lstrip("+")
    return (
        f"The chance that your own best cut lies in this range is {about}. Not knowing "
        f"where it lies costs about {costs} of your time on average."
    )


def range_text(part: RulePart) -> str:
    """The aim of one part as a table shows it."""
    if part.factor == "sleep_change_h" and not math.isinf(part.low):
        return _sleep_words(part).removeprefix("sleep ")
    return span(QUANTITIES[part.factor], part.low, part.high)


def worth_text(part: RulePart, factor: FactorEvidence, outcome: Outcome) -> str:
    """What keeping to a part is expected to be worth, and so what falling short costs."""
    if part.factor == "volume_cut":
        return f"{effect_text(part.gain, outcome)} against no cut"
    return f"{effect_text(factor.personal, outcome)} {_EACH[part.factor]}"


_EACH = {
    "intensity_kept": "for each 10 points kept",
    "sleep_change_h": "for each hour a night",
    "body_clock_lag_h": "for each hour behind",
}

HOW_SURE = (
    "How sure, weakest first: published only (studies of other athletes), leaning (your races "
    "agree; chance can do that, too), supported (chance seldom would), strong (chance hardly ever "
    "would)."
)
"""The words for a part's strength, in one line."""


def few_races_sentence(points: tuple[tuple[str, ...], ...]) -> str:
    """How little so many races are."""
    n = len(points)
    if n == 0:
        return "None of your races has a result that could be compared."
    races = counted(points)
    if n <= 2:
        own = "its" if n == 1 else "their"
        return sentence(f"{races} with a result can hardly say anything of {own} own")
    return sentence(f"{races} are few: the next one may change this") if n < 10 else ""
