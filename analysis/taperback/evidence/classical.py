"""A straight line by ordinary least squares, where there are races enough for one.

References:
    MacKinnon and White 1985, J Econom 29:305-325, doi 10.1016/0304-4076(85)90158-7 (HC3).
    Belsley, Kuh and Welsch 1980, Regression Diagnostics (DFBETAS).
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from typing import Any

import numpy as np

from taperback.common.files.left_out import loaded
from taperback.evidence.model import INTERVAL, Classical, Refusal

FEWEST = 5
"""Two numbers are fitted; with fewer than three races left over the standard error is noise."""


def line(x: np.ndarray, y: np.ndarray, labels: Sequence[str]) -> Classical | Refusal:
    """The least-squares line of y over x, both of shape (n,), with HC3 errors and influence."""
    refusal = why_not(x, y)
    if refusal:
        return refusal
    least_squares = loaded(_least_squares)
    design = np.column_stack([np.ones(len(x)), np.asarray(x, float)])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        plain = least_squares(np.asarray(y, float), design).fit()
        fitted = plain.get_robustcov_results("HC3", use_t=True)
        low, high = fitted.conf_int(1 - INTERVAL)[1]
        dfbetas = np.nan_to_num(plain.get_influence().dfbetas[:, 1])
    most = int(np.argmax(np.abs(dfbetas)))
    return Classical(
        n=len(x),
        estimate=float(fitted.params[1]),
        intercept=float(fitted.params[0]),
        standard_error=float(fitted.bse[1]),
        low=float(low),
        high=float(high),
        p_value=float(fitted.pvalues[1]),
        carried_by=labels[most],
    )


def _least_squares() -> Any:
    from statsmodels.regression.linear_model import OLS

    return OLS


def why_not(x: np.ndarray, y: np.ndarray) -> Refusal | None:
    """Why a fitted line would mislead, or None."""
    done = "the rank statistics and the published estimate are given"
    if len(x) < FEWEST:
        return Refusal(
            f"at least {FEWEST} races with a known value",
            f"{len(x)} race{'' if len(x) == 1 else 's'}",
            done,
            "its interval would be far too narrow or absurdly wide",
            "more races with a known value",
        )
    if np.ptp(y) == 0:
        return Refusal(
            "races that came out differently",
            "all races came out alike",
            done,
            "a line without any scatter would look certain",
            "another race",
        )
    values, counts = np.unique(x, return_counts=True)
    if len(values) < 2:
        alike = "one value in all races"
    elif len(values) == 2 and 1 in counts:
        alike = "one value in all races but one, so that one race alone would set the line"
    else:
        return None
    return Refusal(
        "race weeks that differ, no single one of which sets the line",
        alike,
        done,
        "the one race's luck would be read as an effect",
        "another race week that differs",
    )
