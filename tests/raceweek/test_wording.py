"""Days and shares as they are written."""

from __future__ import annotations

import pytest

from taperback.raceweek.model import DIARY_COLUMNS, no_diary
from taperback.raceweek.wording import day_name, percent_below, span_name


def test_days_before_the_race_have_a_real_minus_sign_and_others_none() -> None:
    assert [day_name(k) for k in (-14, -1, 0, 3)] == ["\u221214", "\u22121", "0", "3"]
    assert span_name(-2, 0) == "days \u22122 to 0"


@pytest.mark.parametrize(
    ("share", "words"), [(0.0, "0%"), (0.29, "29%"), (0.5999, "59%"), (0.6, "60%"), (1.0, "100%")]
)
def test_a_share_is_never_rounded_up(share: float, words: str) -> None:
    """0.29 x 100 is 28.999... in binary."""
    assert percent_below(share) == words


def test_a_diary_of_nothing_has_the_columns_of_any() -> None:
    assert tuple(no_diary().columns) == DIARY_COLUMNS
    assert len(no_diary()) == 0
