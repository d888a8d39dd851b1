"""A word of strength follows from the races, at the limits exactly as stated."""

from __future__ import annotations

import pytest

from taperback.evidence.strength import Signs, strength

LIMITS = {
    "strong_p": 0.02,
    "strong_sure": 0.99,
    "supported_p": 0.10,
    "supported_sure": 0.95,
    "leaning_sure": 0.80,
    "leaning_bits": 0.05,
}
NAN = float("nan")


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
        (0.80, 0.05, 1.0, "leaning"),
        (0.80, 0.04, 1.0, "published only"),
        (0.79, 9.0, 0.001, "published only"),
        (0.60, 9.0, 0.001, "published only"),
    ],
)
def test_a_word_needs_both_of_its_limits(
    better: float, moved_bits: float, p_holm: float, word: str
) -> None:
    assert strength(Signs(better, moved_bits, p_holm, 1.0), LIMITS) == word
    less_is_better = Signs(1 - better, moved_bits, p_holm, -1.0)
    assert strength(less_is_better, LIMITS | {"strong_sure": 0.99 - 1e-12}) == word


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
    assert strength(Signs(better, 9.0, p_holm, direction), LIMITS) == "published only"
