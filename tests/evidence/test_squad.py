"""A squad's races say more together, and an athlete with few borrows from them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import taperback.evidence.squad as squad_room
from taperback.evidence.additive import KNOTS, hat_weights
from taperback.evidence.model import Refusal
from taperback.evidence.priors import FACTORS, result_prior
from taperback.evidence.squad import Mixed, Races, assess_squad, split

PRIOR = result_prior()


def athlete(rng: np.random.Generator, n: int, sleep: float = 0.9, noise: float = 1.5) -> Races:
    """Races of one athlete with the published curve and this effect of sleep."""
    x = np.column_stack(
        [rng.uniform(0.05, 0.7, n), rng.normal(1, 0.2, n), rng.normal(0, 0.8, n), np.zeros(n)]
    )
    y = hat_weights(x[:, 0]) @ PRIOR.curve_mean + sleep * x[:, 2]
    return x, y + rng.normal(0, 3) + rng.normal(0, noise, n)


def squad_of(count: int, n: int = 6, **changes: float) -> dict[str, Races]:
    rng = np.random.default_rng(7)
    return {f"athlete {place}": athlete(rng, n, **changes) for place in range(count)}


def test_one_athlete_alone_is_the_athletes_own_answer() -> None:
    squad = squad_of(1)
    evidence = assess_squad(squad, mixed=False)
    for factor in evidence.factors:
        one = factor.athletes["athlete 0"]
        assert one.together.mean == pytest.approx(one.alone.mean, abs=1e-6)
        assert one.borrowed == pytest.approx(0.0, abs=1e-6)


def test_the_parts_add_up_to_the_whole_prior() -> None:
    shared, own = split(PRIOR)
    assert shared + own == pytest.approx(PRIOR.covariance())
    assert shared[0, 0] == 0.0, "the level is the athlete's own"


def test_an_effect_that_all_share_is_found_by_the_squad() -> None:
    sleep = assess_squad(squad_of(12, sleep=2.0), mixed=False).factors[2]
    assert sleep.shared.low <= 2.0 <= sleep.shared.high
    assert sleep.shared.mean > sleep.published.mean
    assert sleep.shared.high - sleep.shared.low < sleep.published.high - sleep.published.low


def test_an_athlete_with_three_races_is_pulled_to_the_squad_and_it_is_said_how_much() -> None:
    rng = np.random.default_rng(3)
    squad = squad_of(11, n=12, sleep=2.0) | {"newcomer": athlete(rng, 3, sleep=2.0)}
    sleep = assess_squad(squad, mixed=False).factors[2]
    newcomer = sleep.athletes["newcomer"]
    assert abs(newcomer.together.mean - sleep.shared.mean) < abs(
        newcomer.alone.mean - sleep.shared.mean
    )
    assert 0.1 < newcomer.borrowed < 1.0
    assert newcomer.borrowed > sleep.athletes["athlete 0"].borrowed


def test_an_athlete_without_a_race_gets_the_squads_estimate() -> None:
    empty: Races = (np.empty((0, len(FACTORS))), np.empty(0))
    squad = squad_of(8, sleep=2.0) | {"new": empty}
    for factor in assess_squad(squad, mixed=False).factors:
        assert factor.athletes["new"].together.mean == pytest.approx(factor.shared.mean)


def test_no_athlete_at_all_leaves_the_published_values() -> None:
    evidence = assess_squad({}, mixed=False)
    for factor in evidence.factors:
        assert factor.shared.mean == pytest.approx(factor.published.mean)


def test_it_agrees_with_one_big_model_of_all_parameters() -> None:
    """The same numbers from the joint Gaussian of squad and athletes, written out in full."""
    squad = squad_of(3, n=4)
    shared, own = split(PRIOR)
    noise = 2.0
    rows = {name: posterior_rows(x) for name, (x, _) in squad.items()}
    stacked = np.vstack(list(rows.values()))
    block = np.zeros((12, 12))
    for place, row in enumerate(rows.values()):
        block[4 * place : 4 * place + 4, 4 * place : 4 * place + 4] = row @ own @ row.T
    total = stacked @ shared @ stacked.T + block + noise**2 * np.eye(12)
    y = np.concatenate([outcome for _, outcome in squad.values()])
    mean = PRIOR.mean() + shared @ stacked.T @ np.linalg.solve(total, y - stacked @ PRIOR.mean())
    fixed = replace(PRIOR, noise=np.array([noise]), noise_weight=np.array([1.0]))
    parts = {name: squad_room._Part(fixed, own, *races) for name, races in squad.items()}
    centre = squad_room._centre(fixed, shared, parts)
    assert centre.means[0] == pytest.approx(mean, abs=1e-8)


def posterior_rows(x: np.ndarray) -> np.ndarray:
    rows = np.ones((len(x), 1 + len(KNOTS) + 3))
    rows[:, 1 : 1 + len(KNOTS)] = hat_weights(x[:, 0])
    rows[:, 1 + len(KNOTS) :] = x[:, 1:] - PRIOR.neutral[1:]
    return rows


def test_the_mixed_model_agrees_within_its_error_or_is_refused() -> None:
    evidence = assess_squad(squad_of(12, n=8, sleep=2.0))
    sleep = evidence.mixed["sleep_change_h"]
    assert isinstance(sleep, Mixed)
    assert abs(sleep.slope - 2.0) < 3 * sleep.slope_se
    lag = evidence.mixed["body_clock_lag_h"]
    assert isinstance(lag, Refusal), "nobody travelled"


def test_few_athletes_get_no_mixed_model() -> None:
    refusal = assess_squad(squad_of(3)).mixed["volume_cut"]
    assert isinstance(refusal, Refusal)
    assert refusal.had == "3 such athletes"
