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
from taperback.raceweek.window.window import Night

NAN = float("nan")
SAME_H = 0.006
"""Two numbers of hours that lie closer are one, of which one was rounded to the hundredth."""


@dataclass(frozen=True)
class Records:
    """What is known of all days; made once, so that a race takes as long among a hundred as alone.

    Attributes:
        legs: every leg in order of start, columns `PLACED_COLUMNS`, `typed_hard_min`, `ordinal`
            (of its local day), `session`, `hours` and `counted`: whether its sport is training.
        unseen: days of which a file could not be read or dated.
        typed, kept: hours slept as the journal and as files tell, by the day that a night ended on.
    """

    legs: Legs
    unseen: frozenset[date]
    typed: dict[date, float]
    kept: dict[date, float]

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
        for leg in self.legs.where(~self.legs.known("hours") & self.legs["counted"]):
            if leg.leg_id not in race_legs:
                sport = leg.sport.replace("_", " ")
                reason = f"how long the {sport} of {leg.local_day} took is not typed in {leg.file}"
                words.setdefault(leg.local_day, reason)
        return words

    def nights_on(self, span: Sequence[date]) -> tuple[Night, ...]:
        """The night that ended on each day of `span`, which ends on the race.

        The journal's word comes before the files'; a typed number that only repeats the file's,
        rounded, is the file's.
        """
        nights = []
        for day in span:
            typed_h, file_h = self.typed.get(day, NAN), self.kept.get(day, NAN)
            source = "journal" if typed_h == typed_h else "file" if file_h == file_h else ""
            source = "file" if abs(typed_h - file_h) < SAME_H else source
            hours = typed_h if typed_h == typed_h else file_h
            nights.append(Night(day, (day - span[-1]).days, hours, source, file_h))
        return tuple(nights)


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
        _slept(journal.nights, "date"),
        _slept(imported.nights, "day"),
    )


def _slept(nights: pd.DataFrame, day: str) -> dict[date, float]:
    """Hours by the column of days; the first where a day has several nights."""
    first = nights.drop_duplicates(day)
    return dict(zip(first[day], first["sleep_h"].astype(float), strict=True))
