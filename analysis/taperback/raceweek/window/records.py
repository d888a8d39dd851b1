"""All that an athlete's files and journal hold, in the order in which races look things up."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import islice

import numpy as np
import pandas as pd

from taperback.importer.model import Imported
from taperback.journal.model import Journal
from taperback.raceweek.legs import Legs
from taperback.raceweek.window.counting import counted

NAN = float("nan")
Night = tuple[float, float, str]
"""Hours slept, quality and file of a night."""
NO_NIGHT: Night = (NAN, NAN, "")


@dataclass(frozen=True)
class Records:
    """What is known of all days; made once, so that a race takes as long among a hundred as alone.

    Attributes:
        legs: every leg in order of start, columns `PLACED_COLUMNS`, `typed_hard_min`, `ordinal`
            (of its local day), `session`, `hours` and `counted`: whether its sport is training.
        unseen: days of which a file could not be read or dated.
        typed, kept: nights that the journal and that files tell, by the day they ended on.
    """

    legs: Legs
    unseen: frozenset[date]
    typed: dict[date, Night]
    kept: dict[date, Night]

    @cached_property
    def _by_day(self) -> tuple[np.ndarray, np.ndarray]:
        """Places of the legs in order of their local day, and the days' ordinals."""
        order = np.argsort(self.legs["ordinal"], kind="stable")
        return order, self.legs["ordinal"][order]

    @cached_property
    def _place(self) -> dict[str, int]:
        return {leg_id: place for place, leg_id in enumerate(self.legs["leg_id"])}

    @cached_property
    def _held(self) -> Counter[date]:
        """How many legs each day has, in order of day."""
        return Counter(sorted(self.legs["local_day"]))

    @cached_property
    def _days(self) -> tuple[date, ...]:
        return tuple(self._held)

    @cached_property
    def _open(self) -> Legs:
        """The legs of unknown length that would count as training."""
        return self.legs.where(~self.legs.known("hours") & self.legs["counted"])

    def legs_between(self, first: date, last: date, own: Iterable[str]) -> Legs:
        """The legs of days from `first` to `last`, and those of these ids, in order of start."""
        order, ordinals = self._by_day
        ends = np.searchsorted(ordinals, [first.toordinal(), last.toordinal() + 1])
        near = {*order[slice(*ends)].tolist(), *(self._place[leg_id] for leg_id in own)}
        return self.legs.at(sorted(near))

    def recorded_around(self, first: date, race_day: date, race_legs: Sequence[str]) -> set[date]:
        """The days with a leg from `first` to the race, and of all others those that bound them.

        They are the nearest on each side, the first and the last. The race's own legs count for
        its own date only.
        """
        own = Counter(self.legs["local_day"][self._place[leg_id]] for leg_id in race_legs)
        gone = {day for day, count in own.items() if count == self._held[day]}
        start, end = bisect_left(self._days, first), bisect_right(self._days, race_day)
        before, after = self._days[:start], self._days[end:]
        sides = (self._days, self._days[::-1], before[::-1], after)
        known = ((day for day in side if day not in gone) for side in sides)
        bounds = {day for side in known for day in islice(side, 1)}
        return bounds | set(self._days[start:end]) - gone | ({race_day} if race_legs else set())

    def open_hours(self, race_legs: Sequence[str]) -> dict[date, str]:
        """Why the hours of a day are not known, for days with a leg of unknown length."""
        words: dict[date, str] = {}
        for leg in self._open:
            if leg.leg_id not in race_legs:
                sport = leg.sport.replace("_", " ")
                told = f"how long the {sport} of {leg.local_day} took is not typed in {leg.file}"
                words.setdefault(leg.local_day, told)
        return words

    def nights_on(self, span: Sequence[date]) -> pd.DataFrame:
        """One row a day of `span`, which ends on the race, as `Window.nights` has them."""
        hours, quality, source, file_h, file = zip(*map(self._night, span), strict=True)
        return pd.DataFrame(
            {
                "day": list(span),
                "days_to_race": [(day - span[-1]).days for day in span],
                "sleep_h": hours,
                "quality": quality,
                "source": pd.Series(source, dtype=object),
                "file_sleep_h": file_h,
                "file": file,
            }
        )

    def _night(self, day: date) -> tuple[float, float, str, float, str]:
        """The night that ended on a day, the journal's word before the files'.

        A typed number that only repeats the file's, rounded, is the file's.
        """
        typed_h, typed_quality, _ = self.typed.get(day, NO_NIGHT)
        file_h, file_quality, file = self.kept.get(day, NO_NIGHT)
        same = abs(typed_h - file_h) < 0.006
        source = (
            "journal" if typed_h == typed_h and not same else "file" if file_h == file_h else ""
        )
        return (
            typed_h if typed_h == typed_h else file_h,
            typed_quality if typed_quality == typed_quality else file_quality,
            source,
            file_h,
            file,
        )


def records_of(imported: Imported, journal: Journal) -> Records:
    """The records of an athlete."""
    frame = imported.legs.sort_values(["start_utc", "leg_id"], ignore_index=True)
    if "typed_hard_min" not in frame:
        frame["typed_hard_min"] = NAN
    legs = Legs.of(frame).with_columns(
        ordinal=np.array([day.toordinal() for day in frame["local_day"]], int),
        session=[digest[:10] for digest in frame["digest"]],
        hours=frame["moving_s"].fillna(frame["elapsed_s"]).to_numpy(float) / 3600,
        counted=counted(frame, journal.athlete.counted).to_numpy(bool),
    )
    periods = journal.athlete.periods
    silent = (d for d in imported.silent_days if not any(p.first <= d <= p.last for p in periods))
    return Records(
        legs,
        imported.unread_days | frozenset(silent),
        _nights(journal.nights, "date"),
        _nights(imported.nights, "day"),
    )


def _nights(table: pd.DataFrame, day: str) -> dict[date, Night]:
    """The nights of a table by its column of days, the first where a day has several."""
    first = table.drop_duplicates(day)
    hours, quality = (first[name].astype(float) for name in ("sleep_h", "quality"))
    files = first["file"].fillna("") if "file" in first else [""] * len(first)
    return dict(zip(first[day], zip(hours, quality, files, strict=True), strict=True))
