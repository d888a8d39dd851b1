"""Training load against worked examples from outside the project."""

from __future__ import annotations

import numpy as np
import pytest

from build import DAY0, journal, leg
from raceweek.efforts import measured_by
from raceweek.test_thresholds import NOTHING, beats, the_one
from taperback.raceweek.effort.dose import (
    five_zone_load,
    monotony,
    session_rpe_load,
    strain,
    three_zone_load,
    trimp,
)
from taperback.raceweek.factors.load import load

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
    measure = "strain of a week of daily loads with mean 790 and SD 897"
    outside(measure, 7 * 790 * 790 / 897, strain(daily) or 0, 1e-6, formula, "recomputed", "AU")


def test_ten_minutes_in_each_zone(outside) -> None:
    seconds = np.zeros(201)
    seconds[[110, 130, 150, 170, 190]] = 600
    source = "Edwards 1993: minutes in 50-60 .. 90-100% of highest heart rate count 1 to 5"
    measure = "load of ten minutes in each of five zones"
    outside(measure, 150, five_zone_load(seconds, 200), 1e-9, source, "from memory", "AU")
    zones = three_zone_load(np.array([600.0, 600.0, 600.0]))
    source = "Lucia et al. 2003, Med Sci Sports Exerc 35:872-878: zones count 1, 2, 3"
    measure = "load of ten minutes in each of three zones"
    outside(measure, 60, zones, 1e-9, source, "from memory", "AU")


def test_the_acute_chronic_ratio_is_coupled(outside) -> None:
    # Three weeks that cost nothing and then anything make the largest ratio there is.
    easy = [leg(k, session_rpe=5.0 if k < -28 else 0.0) for k in range(-56, -7)]
    week = [leg(k, session_rpe=9.0) for k in (-7, -4, -2)]
    got = measured_by(load, [*easy, *week], journal())["acute_chronic_ratio"]
    source = "Impellizzeri et al. 2020 and colleagues: the last week is in both, so 4 is the bound"
    measure = "acute to chronic load after three weeks of no load"
    outside(measure, 4, got.value, 1e-9, source, "recomputed")
    assert "no guide to risk" in got.basis


def test_thresholds_as_shares_of_peak_heart_rate(outside) -> None:
    legs = [leg(k, heart_rate_seconds=beats(190)) for k in range(-56, -1, 2)]
    step = the_one(legs, NOTHING, "running").on(DAY0)
    source = "Esteve-Lanao and colleagues, 1,411 runners: {}% of peak heart rate"
    for name, ours, share, spread in (
        ("first", step.first, 85.1, 4.6),
        ("second", step.second, 93.5, 2.5),
    ):
        measure = f"{name} threshold of a runner who peaks at 190 bpm"
        told = source.format(f"{share} +/- {spread}")
        outside(measure, 1.9 * share, ours, 0.01, told, "published", "bpm")
