"""Words and numbers: rounding, plurals, ranges."""

from __future__ import annotations

import doctest

import pytest

from taperback.common.outcomes import RESULT, RPE
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, listing, upper_first
from taperback.evidence.model import Estimate
from taperback.report.words import wording
from taperback.report.words.wording import (
    days_before,
    interval,
    p_text,
    race_key,
    readable,
    sentence,
    short,
    span,
    sport_order,
)

INF = float("inf")


def test_the_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(wording).failed == 0
    assert doctest.testmod(wording).attempted >= 10


@pytest.mark.parametrize(
    ("n", "text"), [(0, "no races"), (1, "one race"), (2, "two races"), (11, "11 races")]
)
def test_counts_have_their_plural(n: int, text: str) -> None:
    assert count(n, "race") == text


@pytest.mark.parametrize(
    ("items", "text"), [([], ""), (["A"], "A"), (["A", "B"], "A and B"), ("ABC", "A, B and C")]
)
def test_lists_read_as_sentences_do(items: list[str], text: str) -> None:
    assert listing(items) == text


@pytest.mark.parametrize(
    ("name", "low", "high", "text"),
    [
        ("volume_cut", 0.404, 0.556, "40 to 56%"),
        ("volume_cut", 0.5, 0.502, "50%"),
        ("volume_cut", -0.1, 0.4, "−10 to 40%"),
        ("intensity_kept", 0.8, INF, "at least 80%"),
        ("body_clock_lag_h", -INF, 1.0, "at most 1.0 h"),
        ("volume_cut", -INF, INF, "any"),
        ("sleep_change_h", -0.25, 0.5, "−0.2 to +0.5 h a night"),
    ],
)
def test_a_range_tells_its_unit_once(name: str, low: float, high: float, text: str) -> None:
    assert span(QUANTITIES[name], low, high) == text


def test_an_effect_always_has_a_sign_and_its_interval() -> None:
    result = interval(RESULT.difference, Estimate(1.849, -0.24, 3.96))
    assert result == "+1.8% (90% interval −0.2 to +4.0%)"
    felt = interval(RPE.difference, Estimate(0.5, -0.5, 1.5))
    assert felt == "+0.5 (90% interval −0.5 to +1.5)"


def test_a_change_that_rounds_to_nothing_has_no_sign() -> None:
    assert RESULT.difference.show(-0.04) == "0.0%"


@pytest.mark.parametrize(
    ("p", "text"),
    [
        (2 / 120, "p = 0.017"),
        (0.2, "p = 0.20"),
        (0.0004, "p < 0.001"),
        (1.0, "p = 1.00"),
        (float("nan"), "p unknown"),
    ],
)
def test_p_values_have_the_digits_they_deserve(p: float, text: str) -> None:
    assert p_text(p) == text


def test_days_are_counted_back_from_the_race() -> None:
    assert days_before(2) == "2 days before"


def test_names_too_long_for_a_heading_are_cut_and_told_so() -> None:
    assert short("x" * 10_000) == "x" * 69 + "…"
    assert short(" a \n b ") == "a b"


def test_races_have_letters_however_many() -> None:
    assert [race_key(n) for n in (0, 4, 25, 26, 701, 702)] == ["A", "E", "Z", "AA", "ZZ", "AAA"]


def test_sports_come_as_the_athlete_lists_them() -> None:
    sports = ["hiking", "running", "cycling", "swimming", "running"]
    assert sport_order(sports) == ["swimming", "cycling", "running", "hiking"]
    assert sport_order(sports, ("running",))[0] == "running"


def test_a_sentence_is_not_stopped_twice() -> None:
    assert sentence("no file") == "No file."
    assert sentence("Why?") == "Why?"
    assert sentence(" ") == ""


def test_a_long_reason_becomes_several_sentences_with_nothing_lost() -> None:
    why = (
        "only 2 of 6 baseline weeks can be used and 3 are needed: 5 of its days are not known (26 "
        "days without a file or a word in the journal; so are 7) and there is no more"
    )
    told = readable(why)
    assert told == (
        "Only 2 of 6 baseline weeks can be used and 3 are needed. 5 of its days are not known (26 "
        "days without a file or a word in the journal; so are 7) and there is no more."
    )
    deep = readable(f"nothing is known (no signal at {'all, ' * 30}(speed: none; heart: none))")
    assert deep.startswith("Nothing is known. No signal at all, all")
    assert readable("no trip; none") == "No trip; none."


def test_a_heading_keeps_the_capitals_of_what_it_names() -> None:
    assert upper_first("race RPE") == "Race RPE"
