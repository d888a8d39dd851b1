"""Training load against worked examples from outside the project."""

from __future__ import annotations

import numpy as np
import pytest

from taperback.raceweek.dose import monotony, session_rpe_load, strain, trimp


@pytest.mark.parametrize(("sex", "expected"), [("male", 100.44), ("female", 113.52)])
def test_trimp_of_an_hour_at_150(sex: str, expected: float) -> None:
    # Banister 1991, resting 60 and highest 190 bpm: computed from the printed formula; the
    # constants for men are confirmed, those for women from memory.
    assert trimp(60, 150, 60, 190, sex) == pytest.approx(expected, abs=0.005)


def test_session_rpe_of_an_hour_felt_as_5() -> None:
    # Foster et al. 2001: load = minutes x CR-10 (confirmed).
    assert session_rpe_load(60, 5) == 300


def test_monotony_of_a_worked_line() -> None:
    # A worked line in a military-health paper after Foster 1998: mean 790, SD 897, monotony 0.88
    # (confirmed). Any seven days with that mean and sample SD must give it.
    shape = np.array([-1.0, -1, -1, -1, 1, 1, 2])
    daily = 790 + 897 * (shape - shape.mean()) / np.std(shape, ddof=1)
    assert round(monotony(daily) or 0, 2) == 0.88
    assert strain(daily) == pytest.approx(7 * 790 * 790 / 897)
