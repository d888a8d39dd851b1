"""The points that are tested: a race each, or the races of one week together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from taperback.evidence.exact import SAME_DECIMALS
from taperback.evidence.priors import FACTORS


@dataclass(frozen=True)
class Points:
    """What the evidence is asked about, in the order of time.

    Attributes:
        races: the races of each point by name, the first of which names the point.
        exposures: what was done before each, shape (n, 4), columns as `FACTORS`, NaN where missing.
        values: how each came out; shape (n,).
        order: place of each in time; shape (n,).
    """

    races: tuple[tuple[str, ...], ...]
    exposures: np.ndarray
    values: np.ndarray
    order: np.ndarray

    @property
    def labels(self) -> tuple[str, ...]:
        """The name of each point."""
        return tuple(races[0] for races in self.races)


def points_of(
    exposures: pd.DataFrame, values: pd.Series, weeks: Sequence[int] | None = None
) -> Points:
    """The points that these races make.

    Races of one week have one exposure between them: counting each would make the same week look
    like so many proofs. They are one point, with the exposures of the first race and the mean of
    the outcomes that are known.

    Args:
        exposures: one row a race in the order of time, indexed by name, with the columns of
            `FACTORS`; NaN is missing.
        values: the outcome of the same races; NaN where there is none.
        weeks: number of the week that each race belongs to, rising; by default each has its own.
    """
    x = exposures[list(FACTORS)].to_numpy(float).reshape(-1, len(FACTORS)).round(SAME_DECIMALS)
    y = values.to_numpy(float).round(SAME_DECIMALS)
    names = [str(name) for name in exposures.index]
    week = np.asarray(range(len(names)) if weeks is None else weeks, int)
    known = np.isfinite(y)
    kept = np.unique(week[known])
    first = [int(np.flatnonzero(week == one)[0]) for one in kept]
    held = [np.flatnonzero((week == one) & known) for one in kept]
    return Points(
        races=tuple(tuple(names[place] for place in places) for places in held),
        exposures=x[first],
        values=np.array([y[places].mean() for places in held]).round(SAME_DECIMALS),
        order=np.arange(float(len(kept))),
    )
