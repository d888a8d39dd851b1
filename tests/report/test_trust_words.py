"""How far the range of the cut can be trusted: what moved it, what it may miss and cost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from report.studies import evidence, rule
from taperback.common.outcomes import RESULT
from taperback.evidence.model import Estimate, RulePart
from taperback.report.sections.rule import _rests_on
from taperback.report.words.rule import (
    moved_sentence,
    not_knowing_sentence,
    stays_sentence,
    trust,
)

GAIN = Estimate(1.84, 0.2, 3.9)


def cut(low: float, high: float, best: float) -> RulePart:
    """A range of cuts."""
    return RulePart("volume_cut", low, high, best, GAIN, "leaning", "model")


@pytest.mark.parametrize(
    ("low", "high", "best", "said"),
    [
        (0.35, 0.65, 0.5, "Your five races left the range where it is without them."),
        (
            0.35,
            0.60,
            0.5,
            "Your five races hardly moved the range: without them it is 35 to 65%.",
        ),
        (
            0.30,
            0.55,
            0.45,
            "Your five races moved the range somewhat, to smaller cuts: without them it is 35 to "
            "65%.",
        ),
        (
            0.45,
            0.80,
            0.6,
            "Your five races moved the range somewhat, to larger cuts: without them it is 35 to "
            "65%.",
        ),
        (
            0.05,
            0.30,
            0.2,
            "Your five races moved the range a good deal, to smaller cuts: without them it is 35 "
            "to 65%.",
        ),
        (
            0.45,
            0.55,
            0.5,
            "Your five races moved the range somewhat, closer together: without them it is 35 to "
            "65%.",
        ),
        (
            0.15,
            0.70,
            0.5,
            "Your five races moved the range a good deal, wider apart: without them it is 35 to "
            "65%.",
        ),
        (
            0.35,
            0.65,
            0.4,
            "Your five races left its ends and moved its best somewhat, to 40%: without them it is "
            "50%.",
        ),
    ],
)
def test_how_far_races_moved_the_range_is_told_with_the_range_without_them(
    low: float, high: float, best: float, said: str
) -> None:
    moved = replace(rule(), parts=(cut(low, high, best), *rule().parts[1:]))
    assert moved_sentence(moved, "five races") == said
    assert moved_sentence(moved, "") == ""
    assert moved_sentence(moved, "one race") == said.replace("five races", "one race").replace(
        "without them", "without it"
    )


@pytest.mark.parametrize(
    ("passed_up", "said"),
    [
        (0.0, ""),
        (0.04, ""),
        (
            0.44,
            "Another cut in the range is expected to gain 0.4% more than 50%, which studies found "
            "best; that is too little to leave it for.",
        ),
    ],
)
def test_a_cut_that_promises_a_little_more_is_told(passed_up: float, said: str) -> None:
    kept = replace(rule(), parts=(cut(0.3, 0.6, 0.5), *rule().parts[1:]))
    assert stays_sentence(replace(kept, passed_up=passed_up), RESULT) == said


def test_what_is_all_but_sure_is_not_told_as_certain() -> None:
    told = not_knowing_sentence(replace(rule(), best_inside=0.998), RESULT)
    assert told.startswith("The chance that your own best cut lies in this range is over 99%.")


def test_what_is_not_known_is_told_with_what_it_costs() -> None:
    assert not_knowing_sentence(rule(), RESULT) == (
        "The chance that your own best cut lies in this range is about 64%. Not knowing where it "
        "lies costs about 0.5% of your time on average."
    )


@pytest.mark.parametrize(
    ("parts", "numbers", "said"),
    [
        (
            1,
            (0.9, 1.7),
            "Staying inside the range costs at most 0.9% of your time, little beside the 1.6% by "
            "which races like yours vary anyway.",
        ),
        (
            2,
            (0.5, 0.8),
            "Staying inside a range costs at most 0.5% of your time, little beside the 1.6% by "
            "which races like yours vary anyway. At the bad end of all two it would be 0.8%.",
        ),
        (
            4,
            (0.9, 1.7),
            "Staying inside a range costs at most 0.9% of your time, little beside the 1.6% by "
            "which races like yours vary anyway. At the bad end of all four it would be 1.7%.",
        ),
    ],
)
def test_what_the_width_of_the_ranges_may_cost(
    parts: int, numbers: tuple[float, float], said: str
) -> None:
    made = replace(rule(), worthwhile=numbers[0], at_most_lost=numbers[1])
    made = replace(made, parts=made.parts[:parts])
    assert said in trust(made, evidence())


def test_how_far_to_trust_the_range_is_said_with_where_it_ends() -> None:
    told = trust(rule(), evidence())
    assert told[0].startswith("The chance that your own best cut lies in this range is about 64%.")
    assert told[1].startswith("Staying inside a range costs at most 0.9% of your time")
    assert told[2].startswith("Your four races moved the range somewhat")
    assert told[3].startswith("The range stops where published studies stop")
    assert trust(None, evidence()) == ()


@pytest.mark.parametrize(
    ("used", "races", "said"),
    [
        (0, 1, "Your race does not tell both how it went and how much was cut before it."),
        (
            0,
            3,
            "None of your three races tell both how they went and how much was cut before them.",
        ),
        (1, 3, "One of your three races tells both how it went and how much was cut before it."),
        (2, 3, "Two of your three races tell both how they went and how much was cut before them."),
    ],
)
def test_on_how_many_races_the_cut_rests_is_said_in_good_grammar(
    used: int, races: int, said: str
) -> None:
    told = evidence()
    factors = tuple(replace(one, races=used) for one in told.factors)
    assert _rests_on(replace(told, factors=factors), races) == (said,)
