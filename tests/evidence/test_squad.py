"""A squad's races say more together, and an athlete with few borrows from them."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pandas as pd
import pytest
from scipy import stats

import taperback.evidence.squad as squad_room
from evidence.beliefs import certain
from taperback.common.published import PUBLISHED
from taperback.evidence import mixed
from taperback.evidence.additive import (
    KNOTS,
    design_rows,
    extra_variance,
    hat_weights,
    posterior,
)
from taperback.evidence.effects import effect_of
from taperback.evidence.mixed import Mixed, fit_mixed, mixed_model
from taperback.evidence.model import Estimate, Races, Refusal
from taperback.evidence.priors import FACTORS, result_prior
from taperback.evidence.squad import assess_squad, compare, scattered, split

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
    assert shared[0, 0] == shared[-1, -1] == 0.0, "level and trend are the athlete's own"


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
    assert newcomer.pulled > sleep.athletes["athlete 0"].pulled


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
    squad["athlete 1"][0][2, 2] = np.nan
    shared, own = split(PRIOR)
    noises, weights = np.array([1.0, 2.5]), np.array([0.3, 0.7])
    fixed = replace(PRIOR, noise=noises, noise_weight=weights)
    parts = {name: squad_room._Part(fixed, own, *races) for name, races in squad.items()}
    centre = squad_room._centre(fixed, shared, parts)
    rows = {name: part.rows for name, part in parts.items()}
    stacked = np.vstack(list(rows.values()))
    extra = np.concatenate([extra_variance(PRIOR, x) for x, _ in squad.values()])
    y = np.concatenate([outcome for _, outcome in squad.values()])
    likelihood = []
    for at, noise in enumerate(noises):
        total = stacked @ shared @ stacked.T + np.diag(noise**2 + extra)
        for k, row in enumerate(rows.values()):
            total[4 * k : 4 * k + 4, 4 * k : 4 * k + 4] += row @ own @ row.T
        told = np.linalg.solve(total, y - stacked @ PRIOR.mean())
        mean = PRIOR.mean() + shared @ stacked.T @ told
        left = shared - shared @ stacked.T @ np.linalg.solve(total, stacked @ shared)
        assert centre.means[at] == pytest.approx(mean, abs=1e-7)
        assert centre.covariances[at] == pytest.approx(left, abs=1e-7)
        likelihood.append(stats.multivariate_normal(stacked @ PRIOR.mean(), total).pdf(y))
        for k, name in enumerate(squad):
            one = squad_room._personal(parts[name], centre, own)
            cross = shared @ stacked.T
            cross[:, 4 * k : 4 * k + 4] += own @ rows[name].T
            assert one.means[at] == pytest.approx(PRIOR.mean() + cross @ told, abs=1e-7)
            left = shared + own - cross @ np.linalg.solve(total, cross.T)
            assert one.covariances[at] == pytest.approx(left, abs=1e-7)
            assert one.weight is centre.weight
    weight = weights * likelihood
    assert centre.weight == pytest.approx(weight / weight.sum())
    assert centre.noise is noises


def test_a_race_with_a_missing_value_is_filled_as_for_one_athlete() -> None:
    x = np.array([[0.4, 1.0, np.nan, 0.0], [0.4, 1.0, 0.5, 0.0]])
    part = squad_room._Part(PRIOR, split(PRIOR)[1], x, np.array([1.0, 2.0]))
    assert part.rows == pytest.approx(
        posterior_rows(np.array([[0.4, 1, 0.5, 0], [0.4, 1, 0.5, 0]]))
    )
    assert part.extra == pytest.approx(extra_variance(PRIOR, x))


def test_the_answer_says_how_much_it_rests_on() -> None:
    squad = squad_of(2, n=4) | {"new": (np.empty((0, 4)), np.empty(0))}
    evidence = assess_squad(squad, mixed=False)
    assert (evidence.athletes, evidence.races, dict(evidence.mixed)) == (3, 8, {})
    assert tuple(factor.factor for factor in evidence.factors) == FACTORS
    assert list(evidence.factors[0].athletes) == list(squad)
    assert evidence.noise.low < evidence.noise.mean < evidence.noise.high
    of = np.array([squad_room.effect_of(place) for place in range(4)])
    alone = posterior(PRIOR, *squad["athlete 0"]).estimates(of)
    assert [factor.athletes["athlete 0"].alone for factor in evidence.factors] == alone


def test_half_of_the_doubt_is_the_squads() -> None:
    shared, own = split(PRIOR)
    whole = PRIOR.covariance()
    assert shared[1:-1, 1:-1] == pytest.approx(0.5 * whole[1:-1, 1:-1])
    assert own[0, 0] == whole[0, 0]


@pytest.mark.parametrize(
    ("alone", "together", "borrowed"), [(4.0, 1.0, 0.75), (4.0, 4.0, 0.0), (1.0, 4.0, -3.0)]
)
def test_what_was_borrowed_is_the_share_of_the_variance_that_went(
    alone: float, together: float, borrowed: float
) -> None:
    of = np.eye(46)[[44]]
    sides = [
        certain(effects=(0, 0, k), covariance=v * np.eye(46))
        for k, v in ((1, alone), (2, together))
    ]
    left, own = 0.3 * np.eye(46), 1.2 * np.eye(46)
    (told,) = squad_room._borrowed(*sides, left, own, of)
    assert told.pulled == pytest.approx(0.25)
    assert told.borrowed == pytest.approx(borrowed)
    assert (told.alone.mean, told.together.mean) == pytest.approx((1.0, 2.0))
    assert isinstance(told.together, Estimate)


def posterior_rows(x: np.ndarray) -> np.ndarray:
    rows = np.ones((len(x), 1 + len(KNOTS) + 3 + 1))
    rows[:, 1 : 1 + len(KNOTS)] = hat_weights(x[:, 0])
    rows[:, 1 + len(KNOTS) : -1] = x[:, 1:] - PRIOR.neutral[1:]
    rows[:, -1] = np.arange(len(x)) - (len(x) - 1) / 2
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
    assert refusal == Refusal(
        "at least 5 athletes with 3 races each that differ",
        "3 such athletes",
        "the additive model, which starts from published values, is given alone",
        "variances between athletes would be guesses",
        "more athletes, or more races of each",
    )
    one = mixed_model(squad_of(1), 0)
    assert isinstance(one, Refusal)
    assert one.had == "1 such athlete"


def test_five_athletes_with_three_races_each_are_the_fewest() -> None:
    enough = squad_of(5, n=3)
    assert isinstance(mixed_model(enough, 2), Mixed)
    x, y = enough["athlete 4"]
    short = enough | {"athlete 4": (x[:2], y[:2])}
    assert mixed_model(short, 2).had == "4 such athletes"  # type: ignore[union-attr]
    hole = x.copy()
    hole[0, 2] = np.nan
    assert mixed_model(enough | {"athlete 4": (hole, y)}, 2).had == "4 such athletes"  # type: ignore[union-attr]
    assert isinstance(mixed_model(short | {"sixth": enough["athlete 4"]}, 2), Mixed)


def test_a_factor_of_two_values_is_no_line_over_a_squad() -> None:
    squad = squad_of(6, n=4)
    for x, _ in squad.values():
        x[:, 3] = [0.0, 0.0, 2.0, 2.0]
    assert isinstance(mixed_model(squad, 3), Refusal)
    squad["athlete 0"][0][0, 3] = 1.0
    assert isinstance(mixed_model(squad, 3), Mixed)


def test_the_mixed_model_of_the_cut_is_over_the_height_of_the_published_curve() -> None:
    frame = mixed._long(squad_of(1, n=3), 0)
    x, y = squad_of(1, n=3)["athlete 0"]
    assert list(frame.columns) == ["athlete", "x", "y"]
    assert frame["x"].tolist() == pytest.approx(np.interp(x[:, 0], KNOTS, PRIOR.curve_mean))
    assert frame["y"].tolist() == y.tolist()
    assert set(frame["athlete"]) == {"athlete 0"}
    assert mixed._long(squad_of(1, n=3), 2)["x"].tolist() == x[:, 2].tolist()


def test_where_slopes_do_not_differ_only_the_level_is_random() -> None:
    """Athletes of one slope and levels 10 apart; by least squares within athletes it is 2."""
    names = np.repeat([f"athlete {k}" for k in range(8)], 6)
    x = np.tile(np.linspace(-1, 1, 6), 8)
    level = np.repeat(10.0 * np.arange(8), 6)
    wobble = np.tile([0.3, -0.3, 0.3, -0.3, 0.3, -0.3], 8)
    fit = fit_mixed(pd.DataFrame({"athlete": names, "x": x, "y": level + 2 * x + wobble}))
    assert fit.words == ("random level only, since the slopes of the athletes do not tell apart")
    assert np.isnan(fit.slope_variance)
    assert fit.level_variance == pytest.approx(600.0, rel=0.01), "of 0, 10 .. 70"
    within = np.polyfit(x, 2 * x + wobble, 1)[0]
    assert fit.slope == pytest.approx(within, abs=1e-3)
    assert (fit.athletes, fit.races, fit.converged) == (8, 48, True)


def test_slopes_that_differ_are_random_too() -> None:
    rng = np.random.default_rng(6)
    names = np.repeat([f"athlete {k}" for k in range(10)], 8)
    x = np.tile(np.linspace(-1, 1, 8), 10)
    slopes, levels = np.repeat(3.0 * np.arange(10), 8), np.repeat(rng.normal(0, 5, 10), 8)
    y = levels + slopes * x + rng.normal(0, 0.5, 80)
    fit = fit_mixed(pd.DataFrame({"athlete": names, "x": x, "y": y}))
    assert fit.words == "random level and slope"
    assert fit.slope == pytest.approx(13.5, abs=0.5)
    assert fit.slope_variance == pytest.approx(82.5, rel=0.1), "of 0, 3 .. 27"
    assert fit.residual_variance == pytest.approx(0.25, rel=0.5)


def test_with_no_race_the_range_is_the_published_one_for_all() -> None:
    nobody = assess_squad({"a": (np.empty((0, 4)), np.empty(0))}, mixed=False)
    assert nobody.cuts["a"] == nobody.cut
    span = PUBLISHED.taper.published_range
    cut = nobody.cut
    assert span.low <= cut.low < cut.best < cut.high <= span.high


def test_a_range_with_the_squad_stays_inside_what_is_published_or_was_tried() -> None:
    squad = squad_of(8) | {"bold": (np.array([[0.8, 1.0, 0.0, 0.0]]), np.array([1.0]))}
    cuts = assess_squad(squad, mixed=False).cuts
    assert all(0.0 <= cut.low <= cut.best <= cut.high <= 0.8 for cut in cuts.values())
    assert all(cut.high <= 0.7 for name, cut in cuts.items() if name != "bold")


def test_the_mixed_model_and_ours_are_compared_in_one_unit() -> None:
    evidence = assess_squad(squad_of(12, n=8, sleep=2.0))
    sleep = compare(evidence)["sleep_change_h"]
    mixed = evidence.mixed["sleep_change_h"]
    assert isinstance(mixed, Mixed)
    assert sleep.mixed == pytest.approx(mixed.slope), "the effect unit of sleep is one hour"
    assert sleep.ours == evidence.factors[2].shared.mean
    assert sleep.apart_se == pytest.approx(abs(sleep.ours - sleep.mixed) / mixed.slope_se)
    cut = compare(evidence)["volume_cut"]
    assert cut.mixed == pytest.approx(
        evidence.mixed["volume_cut"].slope * evidence.factors[0].published.mean
    )
    assert compare(assess_squad(squad_of(2))) == {}, "two athletes make no mixed model"


def test_athletes_with_few_races_are_pulled_by_the_amount_that_is_stated() -> None:
    """Over many athletes, the estimates keep 1 - pulled of the true differences (regression)."""
    rng = np.random.default_rng(11)
    _, own = split(PRIOR)
    true, squad = {}, {}
    for place in range(300):
        n = 3 if place % 2 else 12
        difference = rng.multivariate_normal(np.zeros(len(own)), own, method="eigh")
        x = np.column_stack(
            [rng.uniform(0.1, 0.6, n), rng.normal(1, 0.2, n), rng.normal(0, 0.8, n), np.zeros(n)]
        )
        y = design_rows(PRIOR, x) @ (PRIOR.mean() + difference)
        squad[str(place)] = (x, y + rng.normal(0, 1.5, n))
        true[str(place)] = difference
    factors = assess_squad(squad, mixed=False).factors
    for few, place in product((True, False), range(3)):
        names = [name for name in squad if (len(squad[name][1]) == 3) == few]
        one = factors[place]
        differences = np.array([true[name] @ effect_of(place) for name in names])
        told = np.array([one.athletes[name].together.mean for name in names]) - one.shared.mean
        kept = float(differences @ told / (differences @ differences))
        error = np.sqrt(np.mean((told - kept * differences) ** 2) / (differences @ differences))
        stated = 1 - float(np.mean([one.athletes[name].pulled for name in names]))
        assert kept == pytest.approx(stated, abs=3 * error), (few, one.factor)
        assert error < 0.06
        assert few == (stated < 0.35) or place == 1, "hard work differs too little to tell"


def test_without_a_race_an_athlete_is_pulled_all_the_way() -> None:
    squad = squad_of(4) | {"newcomer": (np.empty((0, 4)), np.empty(0))}
    for factor in assess_squad(squad, mixed=False).factors:
        assert factor.athletes["newcomer"].pulled == pytest.approx(1.0)
        assert all(0 < factor.athletes[f"athlete {place}"].pulled <= 1 for place in range(4))


def test_a_mixed_model_that_cannot_be_solved_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Races that lie exactly on a line make its equations singular, on some machines."""

    def singular(frame: object) -> Mixed:
        raise np.linalg.LinAlgError("Singular matrix")

    monkeypatch.setattr(mixed, "fit_mixed", singular)
    told = mixed_model(squad_of(6), 2)
    assert isinstance(told, Refusal)
    assert told.had == "36 races that lie on them"


def test_an_athlete_whose_races_scatter_far_more_is_named() -> None:
    rng = np.random.default_rng(11)
    steady = {f"athlete {place}": athlete(rng, 6, noise=1.0) for place in range(3)}
    assert scattered(assess_squad(steady, mixed=False)) == ()
    wild = steady | {"wild": athlete(rng, 20, noise=8.0)}
    found = assess_squad(wild, mixed=False)
    assert scattered(found) == ("wild",)
    cut = found.factors[0].athletes["athlete 0"]
    assert cut.borrowed < 0, "the squad made the athlete less sure, and that is told as it is"
