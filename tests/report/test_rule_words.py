"""The rule in a sentence, and why: never stronger than the numbers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from report.studies import evidence, factor, race_id, rule, study
from taperback.common.outcomes import RESULT
from taperback.evidence.model import STRENGTHS, Estimate, Rule, RulePart
from taperback.report.words.rule import (
    HOW_SURE,
    STRENGTH_MEANS,
    few_races_sentence,
    gain_sentence,
    part_clause,
    range_text,
    reasons,
    rule_sentence,
    strength_sentence,
    worth_text,
)
from taperback.study.next_week import NextWeek

INF = float("inf")
GAIN = Estimate(1.84, 0.2, 3.9)
NO_WEEK = NextWeek(None, "", None, None, None, "", (), (), None, "no usual week is known")


def part(factor: str, low: float, high: float, **changes: object) -> RulePart:
    """A part of a rule with that range."""
    return replace(RulePart(factor, low, high, low, GAIN, "leaning", "model"), **changes)


def test_the_rule_is_one_sentence_in_hours_and_percent() -> None:
    made = study()
    assert rule_sentence(made.result.rule, made.next_week) == (
        "In the last seven days, train 4.4 to 6.1 h (42 to 58% less than usual), about 26 min of "
        "it hard; sleep as much as usual or more; across time zones, arrive early."
    )


def test_without_a_usual_week_the_rule_is_in_percent_only() -> None:
    only_cut = replace(rule(), parts=rule().parts[:1])
    assert rule_sentence(only_cut, NO_WEEK) == (
        "In the last seven days, train 42 to 58% less than usual."
    )


@pytest.mark.parametrize("nothing", [None, replace(rule(), parts=())])
def test_no_rule_is_said_plainly(nothing: Rule | None) -> None:
    assert rule_sentence(nothing, NO_WEEK) == "There is no rule to give yet."
    told = reasons(nothing, evidence(), {}, why_none="no usual week is known for any race")
    assert told == ("No usual week is known for any race.",)


def of(*parts: RulePart) -> Rule:
    """A rule of these parts, the cut before them."""
    return replace(rule(), parts=(part("volume_cut", 0.4, 0.6), *parts))


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (part("volume_cut", -0.1, 0.4), "train from 10% more to 40% less"),
        (part("volume_cut", -0.3, -0.1), "train 10 to 30% more than usual"),
        (part("volume_cut", 0.5, 0.502), "train 50% less than usual"),
    ],
)
def test_the_cut_is_asked_for_in_plain_words(asked: RulePart, words: str) -> None:
    told = rule_sentence(replace(rule(), parts=(asked,)), NO_WEEK)
    assert told == f"In the last seven days, {words}."


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (part("intensity_kept", 0.8, 1.1), ", 80 to 110% of the usual share hard."),
        (part("intensity_kept", 0.8, INF), ", some of it hard."),
        (part("sleep_change_h", 0.5, INF), "; sleep at least 0.5 h a night more."),
        (part("sleep_change_h", -0.5, INF), "; sleep as much as usual or more."),
        (part("sleep_change_h", -0.04, INF), "; sleep as much as usual or more."),
        (part("body_clock_lag_h", -INF, 0.0), "; across time zones, arrive early."),
        (part("sleep_change_h", -INF, 1.0), "less than usual."),
        (part("body_clock_lag_h", 0, INF), "less than usual."),
    ],
)
def test_each_part_is_asked_for_in_plain_words(asked: RulePart, words: str) -> None:
    assert rule_sentence(of(asked), NO_WEEK).endswith(words)


def test_next_time_has_the_parts_in_full() -> None:
    assert part_clause(part("body_clock_lag_h", -INF, 0.0)).endswith(
        "for your body clock to catch up"
    )
    assert part_clause(part("body_clock_lag_h", -INF, 3.0)).endswith(
        "for your body clock to be within 3.0 h of local time"
    )


@pytest.mark.parametrize("cut", [(0.42, 0.58), (-0.123, 0.456), (-0.4, -0.1)])
def test_the_rule_has_at_most_35_words(cut: tuple[float, float]) -> None:
    week = replace(study().next_week, low_h=10.1, high_h=12.9, hard_min=104.0)
    for sleep in (-1.0, 0.6):
        parts = (part("volume_cut", *cut), part("intensity_kept", 0.8, INF))
        others = (part("sleep_change_h", sleep, INF), part("body_clock_lag_h", -INF, 2.0))
        told = rule_sentence(replace(rule(), parts=(*parts, *others)), week)
        assert len(told.split()) <= 35, told


@pytest.mark.parametrize(
    "asked", [part("sleep_change_h", -INF, 1.0), part("body_clock_lag_h", 0, INF)]
)
def test_a_part_that_asks_for_nothing_is_not_told(asked: RulePart) -> None:
    assert part_clause(asked) == ""


@pytest.mark.parametrize(("minutes", "asked"), [(None, 1), (12.0, 1), (0.4, 0), (0.0, 0)])
def test_hard_work_is_kept_only_where_a_usual_week_holds_some(
    minutes: float | None, asked: int
) -> None:
    week = replace(study().next_week, hard_min=minutes)
    told = rule_sentence(rule(), week)
    assert told.count("of it hard") == asked


@pytest.mark.parametrize(
    ("best", "gain", "with_time", "said"),
    [
        (
            0.5,
            (2.4, 0.2, 4.4),
            False,
            "Compared with not cutting, halving your training is expected to make you 2.4% faster "
            "(90% interval +0.2 to +4.4%).",
        ),
        (
            0.45,
            (1.0, -0.1, 2.1),
            False,
            "Compared with not cutting, training 45% less is expected to make you 1.0% faster "
            "(90% interval −0.1 to +2.1%, so it may have no effect).",
        ),
        (
            0.3,
            (0.04, -2.0, 2.1),
            False,
            "Compared with not cutting, training 30% less is expected to make you neither faster "
            "nor slower (90% interval −2.0 to +2.1%, so it may have no effect).",
        ),
        (
            0.2,
            (-0.3, -2.0, 1.4),
            False,
            "Compared with not cutting, training 20% less is expected to make you 0.3% slower "
            "(90% interval −2.0 to +1.4%, so it may have no effect).",
        ),
        (
            0.5,
            (2.4, 0.2, 4.4),
            True,
            "Compared with not cutting, halving your training is expected to make you 2.4% faster "
            "(90% interval +0.2 to +4.4%). Your cuts and results both went one way from race to "
            "race: growing fitter would look the same, so your races count for little in it.",
        ),
    ],
)
def test_a_gain_is_told_as_it_is(
    best: float, gain: tuple[float, float, float], with_time: bool, said: str
) -> None:
    made = part("volume_cut", 0.2, 0.6, best=best, gain=Estimate(*gain))
    assert gain_sentence(made, RESULT, with_time=with_time) == said


@pytest.mark.parametrize(
    ("against", "said"),
    [
        ((), ""),
        (
            (2,),
            "On sleep change your own races point the other way than published studies. There the "
            "rule stays with the studies; further races may change it.",
        ),
        (
            (1, 3),
            "On intensity kept and body clock behind your own races point the other way than "
            "published studies. There the rule stays with the studies; further races may change "
            "it.",
        ),
    ],
)
def test_races_against_the_studies_are_named_by_factor(against: tuple[int, ...], said: str) -> None:
    made = evidence()
    factors = tuple(
        replace(one, points_against=place in against) for place, one in enumerate(made.factors)
    )
    told = reasons(rule(), replace(made, factors=factors), {})
    assert [text for text in told if text.startswith("On ")] == [said] * bool(said)


def test_every_strength_has_its_own_words_and_only_the_weakest_disclaims_the_races() -> None:
    assert set(STRENGTH_MEANS) == set(STRENGTHS)
    assert [strength_sentence(word) for word in STRENGTHS] == [
        "The cut rests on published studies of other athletes; your own races do not show it by "
        "themselves.",
        "The cut rests on published studies, and your own races lean the same way; chance, the "
        "course or the weather can do that, too.",
        "The cut rests on published studies, and your own races support it; chance alone would "
        "seldom look like this.",
        "The cut rests on published studies, and your own races support it clearly; chance alone "
        "would very seldom look like this.",
    ]
    assert strength_sentence("supported", outweighed=True) == (
        "The cut rests on your own races, which outweigh published studies here."
    )
    assert not any("prove" in words for words in STRENGTH_MEANS.values())


def test_reasons_name_what_speaks_against_and_where_the_range_ends() -> None:
    told = reasons(rule(), evidence(), {race_id(3): "D"})
    assert told[0].startswith("The cut rests on published studies, and your own races lean")
    assert "Race D speaks against it." in told
    assert told[-1] == "Four races are few: the next one may change this."


@pytest.mark.parametrize(
    ("n", "text"),
    [
        (0, "None of your races has a result that could be compared."),
        (1, "One race with a result can hardly say anything of its own."),
        (2, "Two races with a result can hardly say anything of their own."),
        (5, "Five races are few: the next one may change this."),
        (12, ""),
    ],
)
def test_few_races_are_said_to_be_few(n: int, text: str) -> None:
    assert few_races_sentence(tuple((str(race),) for race in range(n))) == text


def test_races_of_one_week_are_counted_as_one() -> None:
    meets = tuple((f"{meet}", f"{meet}-2", f"{meet}-3") for meet in range(5))
    told = few_races_sentence(meets)
    assert told == "Five race weeks (15 races) are few: the next one may change this."


def test_the_table_of_parts_names_aims() -> None:
    assert range_text(part("sleep_change_h", 0.0, INF)) == "as much as usual or more"
    assert range_text(part("sleep_change_h", 0.5, INF)) == "at least 0.5 h a night more"
    assert range_text(part("sleep_change_h", -INF, INF)) == "any"
    assert range_text(part("volume_cut", 0.42, 0.58)) == "42 to 58%"


def test_what_is_not_known_makes_no_short_night_seem_allowed() -> None:
    """A wider range only means that less is known."""
    aims = {range_text(part("sleep_change_h", low, INF)) for low in (0.0, -0.2, -0.6, -3.0)}
    assert aims == {"as much as usual or more"}


def test_the_table_says_what_falling_short_costs() -> None:
    sleep = factor("sleep_change_h", "leaning", personal=Estimate(0.9, -0.3, 2.2))
    assert worth_text(part("sleep_change_h", -0.6, INF), sleep, RESULT) == (
        "+0.9% (−0.3 to +2.2%) for each hour a night"
    )
    assert worth_text(part("volume_cut", 0.4, 0.6), factor("volume_cut", "leaning"), RESULT) == (
        "+1.8% (+0.2 to +3.9%) against no cut"
    )


def test_every_strength_is_explained_in_one_line() -> None:
    assert all(f"{word} (" in HOW_SURE for word in STRENGTHS)
    assert len(HOW_SURE.split()) <= 40
