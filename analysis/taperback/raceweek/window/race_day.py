"""Which legs are the race itself: warm-up and race apart, races past midnight, two on one day."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import inf, log
from typing import Any

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.journal.columns import NOT_STARTED
from taperback.journal.expected import kilometres
from taperback.raceweek.legs import Legs


def race_ids(dates: Iterable[date]) -> list[str]:
    """A stable name for each race: its date, with `-2`, `-3` where a date holds several.

    >>> race_ids([date(2030, 5, 1), date(2030, 5, 1)])
    ['2030-05-01', '2030-05-01-2']
    """
    seen: Counter[date] = Counter()
    ids = []
    for day in dates:
        seen[day] += 1
        ids.append(day.isoformat() + (f"-{seen[day]}" if seen[day] > 1 else ""))
    return ids


_COLUMNS = (
    "leg_id",
    "digest",
    "legs_in_file",
    "sport",
    "start_utc",
    "local_start",
    "local_day",
    "elapsed_s",
    "moving_s",
    "distance_m",
)
_FAR = 9
"""How near a leg is that cannot start a race of that date."""


def find_race_legs(legs: Legs, races: pd.DataFrame) -> dict[str, tuple[str, ...]]:
    """The ids of the legs that are each race, in order of start; none where no file fits.

    The legs of the race's sports that together come closest to its finish time and distance are
    taken: one leg, or several that follow each other within minutes, so that a race in two files
    is one and a warm-up before it is none. Where neither is typed, a multisport file with the
    race's sports comes first; else the longest leg of each sport of the race; else, where the
    sports are not known, the longest session of the day. A race that did not start has none.

    Args:
        legs: all there are, in order of start; columns `PLACED_COLUMNS`.
        races: `RACE_COLUMNS` and `race_id`.
    """
    found: dict[str, tuple[str, ...]] = {}
    for day, of_day in races.groupby("date"):
        pool = _near(legs, day)
        wanted = [_Wanted.of(row) for row in of_day.to_dict("records")]
        fits = _best_fits(pool, [race for race in wanted if race.measurable])
        taken = {leg_id for legs_of in fits.values() for leg_id in legs_of}
        left = [leg for leg in pool if leg["leg_id"] not in taken]
        found |= dict.fromkeys((race.race_id for race in wanted), ())
        found |= fits | _in_order_of_start(left, [race for race in wanted if race.unmeasured])
    return found


Leg = dict[str, Any]
"""One leg by column, with `nearness` to the race's date: 0 is best."""


@dataclass(frozen=True)
class _Wanted:
    """What the journal says of a race's legs; NaN where a number is not typed."""

    race_id: str
    sports: tuple[str, ...]
    finish_time_s: float
    distance_m: float
    starts: bool

    @classmethod
    def of(cls, row: dict[str, Any]) -> _Wanted:
        """The race of a row of the journal."""
        whole = row["status"] == "finished" and len(row["sports"]) < 2
        return cls(
            race_id=row["race_id"],
            sports=tuple(row["sports"]),
            finish_time_s=float(row["finish_time_s"]),
            distance_m=1000 * kilometres(row["distance"]) if whole else float("nan"),
            starts=row["status"] not in NOT_STARTED,
        )

    @property
    def measurable(self) -> bool:
        """Whether legs can be held against a time or a distance."""
        return self.starts and (self.finish_time_s > 0 or self.distance_m > 0)

    @property
    def unmeasured(self) -> bool:
        """Whether it took place and neither its time nor its distance is typed."""
        return self.starts and not self.measurable

    def misfit(self, legs: Sequence[Leg]) -> float:
        """How far the legs are from the race, as a sum of log ratios; infinite: another race.

        A time is met by any between moving and elapsed time. Legs of another distance by more
        than `not_the_race_ratio` are not the race, unless their time says that they are.
        """
        long_s = (_end(legs[-1]) - legs[0]["start_utc"]).total_seconds()
        moving_s = min(long_s, sum(_or(leg["moving_s"], leg["elapsed_s"]) for leg in legs))
        metres = sum(_or(leg["distance_m"], 0.0) for leg in legs)
        nearest_s = min(max(self.finish_time_s, moving_s), long_s)
        of_time = _apart(nearest_s, self.finish_time_s)
        of_distance = _apart(metres, self.distance_m)
        most = log(LIMITS.race_day.not_the_race_ratio)
        if of_distance > most and (of_time > most or self.finish_time_s != self.finish_time_s):
            return inf
        return of_time + of_distance


def _apart(one: float, other: float) -> float:
    """The log ratio of two numbers, without its sign; 0 where one of them is not known."""
    return abs(log(one / other)) if one > 0 and other > 0 else 0.0


def _or(value: float, other: float) -> float:
    """The value, or the other one where it is not known."""
    return value if value == value else other


def _end(leg: Leg) -> pd.Timestamp:
    return leg["start_utc"] + pd.Timedelta(seconds=_or(leg["elapsed_s"], 0.0))


def _ids(legs: Iterable[Leg]) -> tuple[str, ...]:
    return tuple(leg["leg_id"] for leg in sorted(legs, key=lambda leg: leg["start_utc"]))


def _near(legs: Legs, day: date) -> list[Leg]:
    """Legs around a race of that date, in order of start, with their `nearness`.

    0: starts on the day; 1: starts the evening before and ends on the day; 2: starts soon after
    the midnight that follows; `_FAR`: can only follow a leg of the race.
    """
    midnight = pd.Timestamp(day)
    first = midnight.tz_localize("UTC") - pd.Timedelta(days=2)
    since, until = (
        bisect_left(legs["start_utc"], moment) for moment in (first, first + pd.Timedelta(days=6))
    )
    hours = LIMITS.race_day.past_midnight_h
    pool: list[Leg] = legs.rows(since, until).records(_COLUMNS)
    for leg in pool:
        ends = leg["local_start"] + pd.Timedelta(seconds=_or(leg["elapsed_s"], 0.0))
        late = leg["local_start"] - midnight - pd.Timedelta(days=1)
        leg["nearness"] = _FAR
        if leg["local_day"] == day:
            leg["nearness"] = 0
        elif leg["local_day"] == day - timedelta(days=1) and ends > midnight:
            leg["nearness"] = 1
        elif pd.Timedelta(0) <= late < pd.Timedelta(hours=hours):
            leg["nearness"] = 2
    return pool


def _best_fits(pool: list[Leg], races: list[_Wanted]) -> dict[str, tuple[str, ...]]:
    """The legs of each race that fit it best, the closest fits first; no leg serves twice."""
    fits = [
        (misfit, legs[0]["nearness"], place, legs)
        for place, race in enumerate(races)
        for legs in _candidates(pool, race.sports)
        if (misfit := race.misfit(legs)) < inf
    ]
    best: dict[str, tuple[str, ...]] = {}
    taken: set[str] = set()
    for _, _, place, legs in sorted(fits, key=lambda fit: fit[:3]):
        ids = _ids(legs)
        if races[place].race_id not in best and not taken & set(ids):
            best[races[place].race_id] = ids
            taken |= set(ids)
    return best


def _candidates(pool: list[Leg], sports: tuple[str, ...]) -> Iterator[list[Leg]]:
    """Every set of legs that could be a race of those sports (of any, where none is named)."""
    if len(sports) != 1:
        yield from _multisport_files(pool, sports)
    if len(sports) > 1:
        apart = _by_length([leg for leg in pool if leg["legs_in_file"] == 1], sports)
        yield from [apart] if apart else []
        return
    for sport in sports or sorted({leg["sport"] for leg in pool} - {"transition"}):
        alike = [leg for leg in pool if leg["sport"] == sport]
        for first, leg in enumerate(alike):
            if leg["nearness"] < _FAR:
                yield from _chains(alike[first:])


def _chains(legs: list[Leg]) -> Iterator[list[Leg]]:
    """The first leg; the first and the second; and so on, while each follows within minutes."""
    gap = pd.Timedelta(minutes=LIMITS.race_day.joined_min)
    for last, leg in enumerate(legs):
        if last and leg["start_utc"] - _end(legs[last - 1]) > gap:
            return
        yield legs[: last + 1]


def _multisport_files(pool: list[Leg], sports: tuple[str, ...]) -> Iterator[list[Leg]]:
    """The legs of each multisport file that holds all of the sports and is near by one of them."""
    files: dict[str, list[Leg]] = {}
    for leg in pool:
        if leg["legs_in_file"] > 1:
            files.setdefault(leg["digest"], []).append(leg)
    for legs in files.values():
        near = any(leg["nearness"] < 2 for leg in legs)
        if near and set(sports) <= {leg["sport"] for leg in legs}:
            yield legs


def _by_length(pool: list[Leg], sports: tuple[str, ...]) -> list[Leg]:
    """The legs that a race without time and distance most likely is: the longest, and the nearest.

    Legs that follow the longest, or lead to it, within minutes are part of it from
    `part_of_race_share` of its length on; shorter ones are a warm-up or a cool-down.
    """
    if len(sports) != 1 and (files := list(_multisport_files(pool, sports))):
        return min(files, key=lambda legs: (legs[0]["nearness"], -_elapsed_s(legs)))
    near = [leg for leg in pool if leg["nearness"] < _FAR and leg["sport"] != "transition"]
    order = sorted(near, key=lambda leg: (leg["nearness"], -_elapsed_s([leg]), leg["leg_id"]))
    if not sports:
        return [leg for leg in order if leg["nearness"] < 2][:1]
    if len(sports) > 1:
        return [
            leg
            for sport, n in Counter(sports).items()
            for leg in [leg for leg in order if leg["sport"] == sport][:n]
        ]
    longest = next((leg for leg in order if leg["sport"] == sports[0]), None)
    if not longest:
        return []
    least_s = LIMITS.race_day.part_of_race_share * _elapsed_s([longest])
    alike = [leg for leg in pool if leg["sport"] == longest["sport"]]
    long = [leg for leg in alike if _elapsed_s([leg]) >= least_s]
    chains = (chain for first in range(len(long)) for chain in _chains(long[first:]))
    return max((chain for chain in chains if longest in chain), key=len)


def _elapsed_s(legs: Sequence[Leg]) -> float:
    return sum(_or(leg["elapsed_s"], 0.0) for leg in legs)


def _in_order_of_start(pool: list[Leg], races: list[_Wanted]) -> dict[str, tuple[str, ...]]:
    """The likeliest legs of races without time and distance; heats take theirs in order."""
    groups: dict[tuple[str, ...], list[list[Leg]]] = {}
    for race in races:
        legs = sorted(_by_length(pool, race.sports), key=lambda leg: leg["start_utc"])
        pool = [leg for leg in pool if leg not in legs]
        groups.setdefault(race.sports, []).append(legs)
    for heats in groups.values():
        # those without a file come last
        heats.sort(key=lambda legs: (not legs, legs and legs[0]["start_utc"]))
    return {race.race_id: _ids(groups[race.sports].pop(0)) for race in races}
