"""Training load against worked examples from outside the project."""

from __future__ import annotations

import numpy as np
import pytest

from taperback.raceweek.dose import monotony, session_rpe_load, strain, trimp

AREA = "measures"


@pytest.mark.parametrize(("sex", "expected"), [("male", 100.44), ("female", 113.52)])
def test_trimp_of_an_hour_at_150(outside, sex: str, expected: float) -> None:
    source = "Banister 1991, constants as printed in an open-access paper of 2021"
    if sex == "female":
        source = "Banister 1991, constants from memory, printed inconsistently"
    status = "recomputed" if sex == "male" else "from memory"
    measure = f"TRIMP of 60 min at 150 bpm, rest 60, highest 190, {sex}"
    outside(measure, expected, trimp(60, 150, 60, 190, sex), 0.005, source, status, "AU")


def test_session_rpe_of_an_hour_felt_as_5(outside) -> None:
    source = "Foster et al. 2001, J Strength Cond Res 15:109-115: minutes x CR-10"
    load = session_rpe_load(60, 5)
    outside("session-RPE load of 60 min felt as 5", 300, load, 0, source, "published", "AU")


def test_monotony_of_a_worked_line(outside) -> None:
    # Any seven days with that mean and sample SD must give it.
    shape = np.array([-1.0, -1, -1, -1, 1, 1, 2])
    daily = 790 + 897 * (shape - shape.mean()) / np.std(shape, ddof=1)
    source = "a worked line in a military-health paper after Foster 1998"
    measure = "monotony of daily loads with mean 790 and SD 897"
    outside(measure, 0.88, monotony(daily) or 0, 0.005, source, "published")
    formula = "Foster 1998, Med Sci Sports Exerc 30:1164-1168: weekly load x monotony"
    measure = "strain of the same week"
    outside(measure, 7 * 790 * 790 / 897, strain(daily) or 0, 1e-6, formula, "recomputed", "AU")
