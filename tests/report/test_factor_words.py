"""What is said of one factor: hedged as far as the numbers demand, and no further."""

from __future__ import annotations

from dataclasses import replace

import pytest

from report.studies import REFUSED, factor, line, race_id, with_races
from taperback.common.outcomes import RESULT, RPE
from taperback.evidence.model import Estimate, Slope
from taperback.report.words.factors import (
    against_words,
    chance_texts,
    effect_text,
    exact_sentences,
    more_words,
    refusals,
    step_words,
    strength_word,
    weight_words,
)
from taperback.report.words.findings import finding

KEYS = {race_id(place): "ABCDE"[place] for place in range(5)}
NAN = float("nan")


def test_nothing_is_said_to_be_published_of_how_hard_a_race_feels() -> None:
    made = with_races(4)
    told = (
        finding(made, RPE),
        strength_word(made.strength, RPE),
        *exact_sentences(factor("volume_cut", "published only"), RPE, KEYS),
    )
    assert told[0] == (
        "Your four races do not show it, and no published study says what to expect; the "
        "estimate, which starts at no effect, moved somewhat."
    )
    assert not [text for text in told if "ublished studies" in text or "published only" in text]
    assert not [text for text in told if "published curve" in text or "published est" in text]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("volume_cut", "for each further 10 points of volume cut"),
        ("intensity_kept", "for each further 10 points of the usual hard share kept"),
        ("sleep_change_h", "for 1 h a night more sleep"),
        ("body_clock_lag_h", "for each further 1 h of body clock lag"),
    ],
)
def test_an_effect_says_what_it_is_per(name: str, words: str) -> None:
    assert step_words(factor(name, "leaning")) == words


@pytest.mark.parametrize(
    ("estimate", "told"),
    [
        (Estimate(0.46, -0.52, 1.41), "+0.5% (−0.5 to +1.4%)"),
        (Estimate(-0.3, -0.6, -0.1), "−0.3% (−0.6 to −0.1%)"),
        (Estimate(0.01, -0.02, 0.04), "0.0% (0.0%)"),
    ],
)
def test_an_effect_is_told_with_its_interval(estimate: Estimate, told: str) -> None:
    assert effect_text(estimate, RESULT) == told


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("volume_cut", "10 points more, from 10 to 50%"),
        ("intensity_kept", "10 points more"),
        ("sleep_change_h", "1 h a night more"),
        ("body_clock_lag_h", "1 h more"),
    ],
)
def test_an_effect_says_what_it_compares(name: str, told: str) -> None:
    assert more_words(factor(name, "leaning")) == told


def test_how_likely_more_of_it_helps_is_told_before_and_after() -> None:
    made = factor("sleep_change_h", "leaning", published_better=0.712, more_is_better=0.995)
    assert chance_texts(made) == ("71%", "over 99%")


def test_the_exact_answers_are_told_with_how_many_orders_and_which_race() -> None:
    told = exact_sentences(factor("sleep_change_h", "leaning", classical=line()), RESULT, KEYS)
    assert told == (
        "Rank correlation (Spearman) +0.80 over four races, p = 0.33 from every order of the "
        "races.",
        "Median slope (Theil–Sen) +6.5% for 1 h a night more sleep, p = 0.083.",
        "Leaving out one race at a time, that slope runs from +5.0 to +8.0%.",
        "Least squares +2.1% (90% interval +0.1 to +4.1%) for 1 h a night more sleep, "
        "p = 0.090; race D has most weight in it.",
        "That rank correlation, corrected for asking about several factors at once (Holm): p = "
        "0.33.",
        "Your races moved the published estimate by +0.31 of its standard deviations before them.",
    )


def test_a_slope_that_one_race_turns_round_says_so() -> None:
    turning = Slope(4, 1.0, 0.0, 0.3, "enumeration", 24, (("x", -1.0), ("y", 2.0)), -1.0, 2.0)
    told = exact_sentences(factor("sleep_change_h", "leaning", slope=turning), RESULT, KEYS)
    assert any(text.endswith("a single race decides its direction.") for text in told)


def test_a_slope_that_ends_at_zero_turns_round_nothing() -> None:
    turning = Slope(4, 1.0, 0.0, 0.3, "enumeration", 24, (("x", -1.0), ("y", 0.02)), -1.0, 0.02)
    told = exact_sentences(factor("sleep_change_h", "leaning", slope=turning), RESULT, KEYS)
    assert "Leaving out one race at a time, that slope runs from −1.0 to 0.0%." in told


def test_refused_methods_are_named() -> None:
    made = factor("volume_cut", "leaning", ranked=REFUSED)
    assert [name for name, _ in refusals(made)] == ["Spearman's rank correlation", "Least squares"]


def test_races_against_it_are_counted_in_the_verb() -> None:
    assert against_words(factor("volume_cut", "leaning"), KEYS) == ""
    one = factor("volume_cut", "leaning", against=(race_id(3),))
    assert against_words(one, KEYS) == "Race D speaks against it."
    two = factor("volume_cut", "leaning", against=(race_id(0), race_id(3)))
    assert against_words(two, KEYS) == "Races A and D speak against it."


def test_a_factor_with_a_curve_is_tested_on_the_curves_height() -> None:
    told = exact_sentences(factor("volume_cut", "leaning"), RESULT, KEYS)
    assert told[-2] == (
        "Rank correlation with the height of the published curve, corrected for asking about "
        "several factors at once (Holm): p = 0.33."
    )


def test_the_race_with_most_weight_is_named_with_the_way_it_pulls() -> None:
    made = factor("sleep_change_h", "leaning", carried_by=race_id(0))
    without = (*((race_id(place), 6.0) for place in range(1, 4)), (race_id(0), 5.0))
    up = replace(made, slope=replace(made.slope, estimate=6.5, without=without))
    assert weight_words(up, KEYS) == (
        "Race A (ringed) has most weight: it pulls the line up to the right."
    )
    down = replace(made, slope=replace(made.slope, estimate=4.0, without=without))
    assert "down to the right" in weight_words(down, KEYS)
    alone = replace(made, slope=replace(made.slope, without=without[:3]))
    assert weight_words(alone, KEYS) == (
        "Race A (ringed) alone sets the line: the others are all alike."
    )
    assert weight_words(replace(made, slope=REFUSED), KEYS) == ""
    assert weight_words(replace(made, carried_by=""), KEYS) == ""


def test_a_slope_that_no_race_moves_stays_where_it_is() -> None:
    still = Slope(4, 1.0, 0.0, 0.3, "enumeration", 24, (("x", 1.0), ("y", 1.0)), 1.0, 1.0)
    told = exact_sentences(factor("sleep_change_h", "leaning", slope=still), RESULT, KEYS)
    assert "Leaving out one race at a time, that slope stays at +1.0%." in told
