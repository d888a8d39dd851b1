"""A word of strength follows from the races, at the limits exactly as stated."""

from __future__ import annotations

from dataclasses import replace

import pytest

from taperback.common.limits import Strength
from taperback.evidence.strength import Signs, leaning_p, points_against, strength

LIMITS = Strength(
    supported_p=0.10,
    supported_sure=0.95,
    strong_p=0.02,
    strong_sure=0.99,
    leaning_sure=0.80,
    leaning_bits=0.05,
    leaning_from=(4, 7, 12),
    leaning_p=(0.40, 0.20, 0.13),
    with_time_p=0.10,
    hardly_sd=0.2,
    somewhat_sd=0.6,
    hardly_cut=0.05,
    somewhat_cut=0.15,
)
NAN = float("nan")


def signs(better: float, bits: float, p_holm: float, direction: float = 1.0) -> Signs:
    """Signs whose races made the estimate surer of where it points."""
    return Signs(0.5, better, bits, p_holm, direction, 5)


@pytest.mark.parametrize(
    ("better", "moved_bits", "p_holm", "word"),
    [
        (0.99, 0.0, 0.02, "strong"),
        (0.98, 0.0, 0.02, "supported"),
        (0.99, 0.0, 0.021, "supported"),
        (0.95, 0.0, 0.10, "supported"),
        (0.95, 0.0, 0.11, "published only"),
        (0.95, 0.05, 0.11, "leaning"),
        (0.94, 0.05, 0.10, "leaning"),
        (0.80, 0.05, 0.40, "leaning"),
        (0.80, 0.05, 0.41, "published only"),
        (0.80, 0.04, 0.40, "published only"),
        (0.79, 9.0, 0.001, "published only"),
        (0.60, 9.0, 0.001, "published only"),
    ],
)
def test_a_word_needs_all_of_its_limits(
    better: float, moved_bits: float, p_holm: float, word: str
) -> None:
    assert strength(signs(better, moved_bits, p_holm), LIMITS) == word
    less_is_better = signs(1 - better, moved_bits, p_holm, -1.0)
    assert strength(less_is_better, replace(LIMITS, strong_sure=0.99 - 1e-12)) == word


def test_races_that_make_the_estimate_less_sure_do_not_lean_its_way() -> None:
    """A prior that was surer than the answer carries the answer, and not the races."""
    assert strength(Signs(0.90, 0.85, 1.0, 0.4, 1.0, 5), LIMITS) == "published only"
    assert strength(Signs(0.80, 0.85, 1.0, 0.4, 1.0, 5), LIMITS) == "leaning"
    assert strength(Signs(0.10, 0.15, 1.0, 0.4, -1.0, 5), LIMITS) == "published only"


def test_what_went_along_with_time_earns_no_word() -> None:
    told = Signs(0.5, 0.999, 9.0, 0.004, 1.0, 8)
    assert strength(told, LIMITS) == "strong"
    assert strength(replace(told, with_time=True), LIMITS) == "published only"


@pytest.mark.parametrize(
    ("n", "p"), [(1, 0.40), (4, 0.40), (6, 0.40), (7, 0.20), (11, 0.20), (12, 0.13), (40, 0.13)]
)
def test_with_more_races_leaning_takes_a_smaller_p(n: int, p: float) -> None:
    told = replace(signs(0.9, 1.0, p), n=n)
    assert leaning_p(n, LIMITS) == p
    assert strength(told, LIMITS) == "leaning"
    assert strength(replace(told, p_holm=p + 0.01), LIMITS) == "published only"
    assert points_against(replace(told, direction=-1.0), LIMITS)
    assert not points_against(replace(told, direction=-1.0, p_holm=p + 0.01), LIMITS)


@pytest.mark.parametrize(
    ("better", "p_holm", "direction"),
    [
        (0.999, 0.001, -1.0),
        (0.001, 0.001, 1.0),
        (0.999, 0.001, 0.0),
        (0.5, 0.001, 1.0),
        (0.999, 0.001, NAN),
        (0.999, NAN, 1.0),
        (0.999, NAN, NAN),
    ],
)
def test_races_that_point_the_other_way_or_cannot_tell_leave_the_published_value(
    better: float, p_holm: float, direction: float
) -> None:
    assert strength(signs(better, 9.0, p_holm, direction), LIMITS) == "published only"


@pytest.mark.parametrize(
    ("better", "p", "direction", "against"),
    [
        (0.9, 0.40, -1.0, True),
        (0.1, 0.40, 1.0, True),
        (0.9, 0.41, -1.0, False),
        (0.9, 0.01, 1.0, False),
        (0.9, 0.01, 0.0, False),
        (0.9, NAN, NAN, False),
    ],
)
def test_races_that_lean_as_far_the_other_way_point_against_it(
    better: float, p: float, direction: float, against: bool
) -> None:
    assert points_against(signs(better, 1.0, p, direction), LIMITS) is against
