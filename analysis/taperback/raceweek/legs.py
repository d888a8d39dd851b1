"""Legs as columns: what every race is measured from, made once for an athlete and sliced by race.

A table of pandas takes a tenth of a millisecond for each part that is taken of it, and a race asks
for hundreds of parts of some sixty legs. Here a part is a list of places in shared columns.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from itertools import compress, pairwise
from typing import Any

import numpy as np
import pandas as pd

Mask = np.ndarray
"""Which of the legs are meant, as booleans of shape (n,)."""


class Leg:
    """One leg, each of its columns an attribute."""

    __slots__ = ("_legs", "_place")

    def __init__(self, legs: Legs, place: int) -> None:
        self._legs = legs
        self._place = place

    def __getattr__(self, name: str) -> Any:
        try:
            value = self._legs[name][self._place]
        except KeyError:
            raise AttributeError(f"a leg has no {name}") from None
        return value.item() if isinstance(value, np.generic) else value


Columns = Mapping[str, np.ndarray]


class Legs:
    """Legs in their order, and each of their columns as an array of shape (n,)."""

    __slots__ = ("_own", "_places", "_shared", "_taken")

    def __init__(
        self, shared: Columns, places: np.ndarray | None = None, own: Columns | None = None
    ) -> None:
        """Legs of columns that they may share with others.

        Args:
            shared: columns of one length.
            places: where the legs lie in these; everywhere by default.
            own: further columns, of these legs alone.
        """
        count = len(next(iter(shared.values())))
        self._shared = shared
        self._places = np.arange(count) if places is None else places
        self._own = own or {}
        self._taken: dict[str, np.ndarray] = {}

    @classmethod
    def of(cls, frame: pd.DataFrame) -> Legs:
        """The rows of a table; words as `str`, moments as `pd.Timestamp`."""
        plain = "biuf"
        return cls(
            {
                str(name): column.to_numpy(None if column.dtype.kind in plain else object)
                for name, column in frame.items()
            }
        )

    def __len__(self) -> int:
        return len(self._places)

    def __iter__(self) -> Iterator[Leg]:
        return (Leg(self, place) for place in range(len(self)))

    def __getitem__(self, name: str) -> np.ndarray:
        """One column, shape (n,)."""
        if name in self._own:
            return self._own[name]
        taken = self._taken.get(name)
        if taken is None:
            taken = self._taken[name] = self._shared[name][self._places]
        return taken

    @property
    def ids(self) -> tuple[str, ...]:
        """The `leg_id` of each."""
        return tuple(self["leg_id"])

    def records(self, names: Sequence[str]) -> list[dict[str, Any]]:
        """Each leg as a dict of these columns."""
        columns = (self[name].tolist() for name in names)
        return [dict(zip(names, values, strict=True)) for values in zip(*columns, strict=True)]

    def where(self, keep: Mask) -> Legs:
        """Those that are meant."""
        return self._part(keep)

    def at(self, places: Sequence[int]) -> Legs:
        """Those at these places."""
        return self._part(np.asarray(places, int))

    def rows(self, first: int, last: int | None = None) -> Legs:
        """Those from one place on, up to another, as a slice of a list has them."""
        return self._part(slice(first, last))

    def _part(self, which: np.ndarray | slice) -> Legs:
        own = {name: values[which] for name, values in self._own.items()}
        return Legs(self._shared, self._places[which], own)

    def between(self, first: float, last: float) -> Legs:
        """Those on days to the race from `first` to `last`, both included."""
        days = self["days_to_race"]
        return self.where((days >= first) & (days <= last))

    def named(self, ids: Iterable[str]) -> Legs:
        """Those of these ids."""
        return self.where(self.among("leg_id", ids))

    def among(self, name: str, values: Iterable[Hashable]) -> Mask:
        """Which have one of these values in a column."""
        held = frozenset(values)
        return np.fromiter((value in held for value in self[name]), bool, len(self))

    def known(self, name: str) -> Mask:
        """Which have a number in a column, and not NaN."""
        known: np.ndarray = ~np.isnan(self[name])
        return known

    def apart(self) -> Legs:
        """The same with columns that are shared with no others."""
        return Legs({name: self[name] for name in (*self._shared, *self._own)})

    def with_shared(self, columns: Columns) -> Legs:
        """The same with more columns, which hold a value for every leg of the shared ones."""
        return Legs({**self._shared, **columns}, self._places, self._own)

    def with_columns(self, **columns: np.ndarray | Sequence[Any]) -> Legs:
        """The same with more columns, each of shape (n,)."""
        more = {name: as_column(values) for name, values in columns.items()}
        return Legs(self._shared, self._places, {**self._own, **more})

    def total(self, name: str) -> float:
        """The sum of a column; what is not known adds nothing."""
        return total(self[name])

    def by(self, name: str) -> Iterator[tuple[Any, Legs]]:
        """Each value of a column, in order, and the legs that have it."""
        values = self[name]
        for value in sorted(set(values.tolist())):
            yield value, self.where(values == value)

    def totals(self, by: str, name: str) -> dict[Any, float]:
        """Each value of a column, in order, and the sum of another column over its legs."""
        return totals(self[by].tolist(), self[name])


def as_column(values: np.ndarray | Sequence[Any]) -> np.ndarray:
    """The values as a column: words and other things as they are."""
    plain = np.asarray(values)
    return plain if plain.dtype.kind in "biufO" else np.array(values, object)


def total(values: np.ndarray) -> float:
    """The sum of numbers; NaN adds nothing."""
    return float(np.where(np.isnan(values), 0.0, values).sum())


def totals(keys: Iterable[Any], values: np.ndarray) -> dict[Any, float]:
    """Each key, in order, and the sum of its values; NaN adds nothing.

    Bit for bit what grouping in pandas gives: where all are known and the keys come in order, each
    stretch is summed by itself; else with compensation (Kahan 1965, Commun ACM 8:40).

    >>> totals(["b", "a", "b"], np.array([0.5, np.nan, 0.25]))
    {'a': 0.0, 'b': 0.75}
    """
    held, known = list(keys), ~np.isnan(values)
    if held and known.all() and all(one <= other for one, other in pairwise(held)):
        starts = [place for place, key in enumerate(held) if not place or key != held[place - 1]]
        sums = np.add.reduceat(values, starts).tolist()
        return dict(zip((held[place] for place in starts), sums, strict=True))
    found, lost = dict.fromkeys(sorted(set(held)), 0.0), dict.fromkeys(held, 0.0)
    for key, value in compress(zip(held, values.tolist(), strict=True), known):
        more = value - lost[key]
        after = found[key] + more
        lost[key] = after - found[key] - more
        found[key] = after
    return found


def median(values: Iterable[float]) -> float:
    """The median; NaN where there is no value."""
    held = list(values)
    return float(np.median(held)) if held else float("nan")
