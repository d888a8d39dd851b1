"""Published values, refused where source or status is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from taperback.common.errors import TaperbackError
from taperback.common.resources import shared_toml

STATUSES = ("confirmed", "from memory", "common practice", "derived")


@dataclass(frozen=True)
class Published:
    """One published value.

    Attributes:
        name: `group.name` in `published.toml`.
        numbers: every number or list of numbers of the entry, by name.
        unit, source, status: as the entry says; status is one of `STATUSES`.
    """

    name: str
    numbers: Mapping[str, float | tuple[float, ...]]
    unit: str
    source: str
    status: str

    def __getitem__(self, key: str) -> float:
        value = self.numbers[key]
        if isinstance(value, tuple):
            raise KeyError(f"{self.name}.{key} is a list")
        return value

    def array(self, key: str) -> np.ndarray:
        """A list of the entry; float64, shape (k,)."""
        return np.atleast_1d(np.asarray(self.numbers[key], float))


def published(name: str, values: Mapping | None = None) -> Published:
    """The published value of that name, `group.name`.

    Args:
        name: where it stands in `published.toml`.
        values: the tables to look in; by default the shared file.

    Raises:
        TaperbackError: there is no such entry, or it has no unit, source or known status.
    """
    tables = shared_toml("published.toml") if values is None else values
    group, _, key = name.partition(".")
    entry = tables.get(group, {}).get(key)
    if entry is None:
        raise TaperbackError(f"{name} is not in published.toml")
    for needed in ("unit", "source", "status"):
        if not str(entry.get(needed, "")).strip():
            raise TaperbackError(f"{name} in published.toml has no {needed}, so it is not used")
    if entry["status"] not in STATUSES:
        raise TaperbackError(f"{name} in published.toml has the unknown status {entry['status']!r}")
    numbers = {
        key: tuple(map(float, value)) if isinstance(value, list) else float(value)
        for key, value in entry.items()
        if not isinstance(value, str)
    }
    return Published(name, numbers, entry["unit"], entry["source"], entry["status"])
