"""What a squad's answer is read for: the surest factor, who borrows, who scatters, both models."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from evidence.test_squad import athlete
from taperback.evidence.effects import EFFECT_UNITS
from taperback.evidence.mixed import Mixed
from taperback.evidence.model import Estimate
from taperback.evidence.priors import FACTORS
from taperback.evidence.squad import (
    SquadEvidence,
    assess_squad,
    borrows,
    compare,
    scattered,
    surest,
)

NOBODY = assess_squad({}, mixed=False)


def believed(*shared: tuple[float, float, float]) -> SquadEvidence:
    """A squad of which these effects (mean, low, high) are believed, in the order of factors."""
    made = zip(NOBODY.factors, shared, strict=True)
    return replace(NOBODY, factors=tuple(replace(one, shared=Estimate(*of)) for one, of in made))


@pytest.mark.parametrize(
    ("shared", "expected"),
    [
        # means of 1.5, 2, 2 and 1 widths of their intervals
        ([(0.6, 0.4, 0.8), (0.4, 0.3, 0.5), (-4.0, -5.0, -3.0), (0.2, 0.1, 0.3)], FACTORS[1]),
        ([(0.6, 0.4, 0.8), (0.2, -0.1, 0.5), (-4.1, -5.0, -3.0), (0.2, 0.1, 0.3)], FACTORS[2]),
        ([(0.6, -0.4, 0.8), (0.2, -0.1, 0.5), (-0.4, -0.9, -0.1), (9.0, -0.1, 9.1)], FACTORS[2]),
        ([(0.6, 0.0, 0.8), (-0.2, -0.4, 0.0), (0.1, -0.3, 0.5), (0.1, -0.3, 0.5)], None),
    ],
)
def test_surest_is_what_lies_furthest_from_none_for_its_interval(
    shared: list[tuple[float, float, float]], expected: str | None
) -> None:
    found = surest(believed(*shared))
    assert (found.factor if found else None) == expected


def test_an_athlete_borrows_where_the_squad_makes_the_cut_surer() -> None:
    rng = np.random.default_rng(11)
    steady = {f"athlete {place}": athlete(rng, 6, noise=1.0) for place in range(3)}
    wild = assess_squad(steady | {"wild": athlete(rng, 20, noise=8.0)}, mixed=False)
    assert not borrows(wild, "athlete 0")
    assert borrows(wild, "wild")
    cut = wild.factors[0]
    same = replace(cut.athletes["wild"], borrowed=0.0)
    level = replace(cut, athletes={"wild": same})
    assert not borrows(replace(wild, factors=(level, *wild.factors[1:])), "wild")


def test_scattered_is_beyond_the_median_of_all() -> None:
    noises = {
        "a": (1.0, 0.5, 2.0),
        "b": (2.0, 1.0, 3.0),
        "c": (5.0, 2.0, 9.0),
        "d": (6.0, 2.1, 9.0),
    }
    found = replace(NOBODY, own_noise={key: Estimate(*of) for key, of in noises.items()})
    # the median of 1, 2, 5 and 6 is 3.5
    assert scattered(found) == ()
    lower = replace(found, own_noise={**found.own_noise, "c": Estimate(2.0, 1.0, 9.0)})
    # of 1, 2, 2 and 6 it is 2
    assert scattered(lower) == ("d",)


def test_two_models_are_compared_per_unit_and_only_where_the_fit_has_an_error() -> None:
    """Ten points of intensity are the unit: a slope of 3 per 1.0 is 0.3 a unit."""
    fit = Mixed(6, 36, 1.0, 3.0, 0.5, 1.0, float("nan"), 2.0, True, "random level only")
    squad = believed((1.0, 0.5, 1.5), (0.5, 0.1, 0.9), (0.2, -0.1, 0.5), (-0.1, -0.3, 0.1))
    hard, unit = FACTORS[1], EFFECT_UNITS[FACTORS[1]]
    found = compare(replace(squad, mixed={hard: fit}))[hard]
    assert (found.ours, found.mixed, found.mixed_se) == pytest.approx((0.5, 3 * unit, 0.5 * unit))
    assert found.apart_se == pytest.approx(abs(0.5 - 3 * unit) / (0.5 * unit))
    cut = compare(replace(squad, mixed={FACTORS[0]: fit}))[FACTORS[0]]
    published = squad.factors[0].published.mean
    assert cut.mixed == pytest.approx(3 * published)
    assert cut.mixed_se == pytest.approx(0.5 * abs(published))
    for broken in (replace(fit, converged=False), replace(fit, slope_se=0.0)):
        assert compare(replace(squad, mixed={hard: broken})) == {}
    small = compare(replace(squad, mixed={hard: replace(fit, slope_se=0.01)}))
    assert small[hard].mixed_se == pytest.approx(0.01 * unit)
