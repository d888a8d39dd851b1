"""The rule in a sentence, and why: never stronger than the numbers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from report.studies import evidence, race_id, rule, study
from taperback.common.outcomes import RESULT
from taperback.evidence.model import STRENGTHS, Estimate, Rule, RulePart
from taperback.report.words.rule import (
    STRENGTH_MEANS,
    few_races_sentence,
    gain_sentence,
    part_clause,
    range_text,
    reasons,
    rule_sentence,
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
        "In the last seven days, train 4.4 to 6.1 h, which is 42 to 58% less than your usual "
        "10.5 h; keep hard work in it, at least 80% of the usual share; sleep as long as usual or "
        "longer; and if you cross time zones, arrive early enough to have at most 1.0 h of the "
        "change left on race day."
    )


def test_without_a_usual_week_the_rule_is_in_percent_only() -> None:
    only_cut = replace(rule(), parts=rule().parts[:1])
    assert rule_sentence(only_cut, NO_WEEK) == (
        "In the last seven days, train 42 to 58% less than in a usual week."
    )


@pytest.mark.parametrize("nothing", [None, replace(rule(), parts=())])
def test_no_rule_is_said_plainly(nothing: Rule | None) -> None:
    assert rule_sentence(nothing, NO_WEEK) == "There is no rule to give yet."
    told = reasons(nothing, evidence(), {}, why_none="no usual week is known for any race")
    assert told == ("No usual week is known for any race.",)


@pytest.mark.parametrize(
    ("asked", "clause"),
    [
        (part("volume_cut", -0.1, 0.4), "train anything from 10% more to 40% less than"),
        (part("volume_cut", -0.3, -0.1), "train 10 to 30% more than"),
        (part("volume_cut", 0.5, 0.502), "train 50% less than"),
        (part("intensity_kept", 0.8, 1.1), "keep 80 to 110% of the usual share of hard work"),
        (part("sleep_change_h", 0.5, INF), "sleep at least 0.5 h a night more than usual"),
        (part("sleep_change_h", -0.5, INF), "sleep as usual or more, at worst 0.5 h a night less"),
        (part("sleep_change_h", -0.04, INF), "sleep as long as usual or longer"),
        (part("body_clock_lag_h", -INF, 0.0), "for your body clock to catch up"),
        (part("travel_h", 0.0, 5.0), "hold travel time at 0.0 to 5.0 h"),
    ],
)
def test_each_part_is_asked_for_in_plain_words(asked: RulePart, clause: str) -> None:
    assert clause in part_clause(asked, NO_WEEK)


@pytest.mark.parametrize(
    "asked", [part("sleep_change_h", -INF, 1.0), part("body_clock_lag_h", 0, INF)]
)
def test_a_part_that_asks_for_nothing_is_not_told(asked: RulePart) -> None:
    assert part_clause(asked, NO_WEEK) == ""


@pytest.mark.parametrize(("minutes", "asked"), [(None, 1), (12.0, 1), (0.4, 0), (0.0, 0)])
def test_hard_work_is_kept_only_where_a_usual_week_holds_some(
    minutes: float | None, asked: int
) -> None:
    week = replace(study().next_week, hard_min=minutes)
    assert rule_sentence(rule(), week).count("keep hard work in it") == asked


def test_a_gain_that_may_be_nothing_says_so() -> None:
    sure = gain_sentence(part("volume_cut", 0.5, 0.6), RESULT)
    assert sure == (
        "Against no change, a volume cut of 50% is expected to be worth +1.8% (90% interval +0.2 "
        "to +3.9%) in the result."
    )
    doubtful = part("volume_cut", 0.5, 0.6, gain=Estimate(1.0, -0.1, 2.1))
    assert gain_sentence(doubtful, RESULT).endswith(", so it may also be worth nothing.")


def test_every_strength_has_its_own_words_and_only_the_weakest_disclaims_the_races() -> None:
    assert set(STRENGTH_MEANS) == set(STRENGTHS)
    assert "not yet say enough" in STRENGTH_MEANS["published only"]
    assert "by chance" in STRENGTH_MEANS["leaning"]
    assert not any("prove" in words for words in STRENGTH_MEANS.values())


def test_reasons_name_what_speaks_against_and_where_the_range_ends() -> None:
    told = reasons(rule(), evidence(), {race_id(3): "D"})
    assert told[0].startswith("It rests on published studies, and your own races lean")
    assert "Race D speaks against it." in told
    assert any(text.startswith("The range stops where published studies stop") for text in told)
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
    assert few_races_sentence(n) == text


def test_the_table_of_parts_says_as_usual_for_nothing_more() -> None:
    assert range_text(part("sleep_change_h", 0.0, INF)) == "as usual or more"
    assert range_text(part("sleep_change_h", 0.5, INF)) == "at least +0.5 h a night"
    assert range_text(part("sleep_change_h", -0.5, INF)) == "at worst −0.5 h a night"
    assert range_text(part("volume_cut", 0.42, 0.58)) == "42 to 58%"
