"""The legs of a table one by one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd


def each_leg(legs: pd.DataFrame) -> Iterator[Any]:
    """Every leg with its columns as attributes.

    For a table of many columns pandas first makes a class of as many fields, which takes
    milliseconds; a race without files asks dozens of times for no leg at all.
    """
    return legs.itertuples() if len(legs) else iter(())
