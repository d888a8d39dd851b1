"""Which legs are the race itself: warm-up and race apart, races past midnight, two on one day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date, timedelta

import pandas as pd

from taperback.common.resources import shared_toml


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
)


def find_race_legs(legs: pd.DataFrame, races: pd.DataFrame) -> dict[str, tuple[str, ...]]:
    """The ids of the legs that are each race, in order of start; none where no file fits.

    A multisport file with the race's sports comes first; else the longest leg of each sport of
    the race; else, where the sports are not known, the longest session of the day. A race that
    was not started has none.

    Args:
        legs: columns `PLACED_COLUMNS`.
        races: `RACE_COLUMNS` and `race_id`.
    """
    legs = legs[list(_COLUMNS)]
    found: dict[str, tuple[str, ...]] = {}
    for day, of_day in races.groupby("date", sort=True):
        pool = _near(legs, day)
        for race in of_day.itertuples():
            chosen = _choose(pool, tuple(race.sports)) if race.status != "dns" else pool.iloc[:0]
            found[race.race_id] = tuple(chosen["leg_id"])
            pool = pool[~pool["leg_id"].isin(chosen["leg_id"])]
        found |= _in_order_of_start(legs, of_day, found)
    return found


def _near(legs: pd.DataFrame, day: date) -> pd.DataFrame:
    """Legs that can belong to a race of that date, with `nearness`: 0 is best.

    Those that start on the day; those that start the evening before and end on the day; those that
    start soon after the midnight that follows.
    """
    before, after = day - timedelta(days=1), day + timedelta(days=1)
    nearby = legs[legs["local_day"].isin([before, day, after])]
    hours = shared_toml("limits.toml")["race_day"]["past_midnight_h"]
    ends = nearby["local_start"] + pd.to_timedelta(nearby["elapsed_s"], unit="s")
    midnight = pd.Timestamp(day)
    over = (nearby["local_day"] == before) & (ends > midnight)
    late = nearby["local_start"] < midnight + pd.Timedelta(days=1, hours=hours)
    nearness = pd.Series(9, index=nearby.index)
    nearness[(nearby["local_day"] == after) & late] = 2
    nearness[over] = 1
    nearness[nearby["local_day"] == day] = 0
    return nearby.assign(nearness=nearness)[nearness < 9]


def _choose(pool: pd.DataFrame, sports: tuple[str, ...]) -> pd.DataFrame:
    """The legs of the pool that fit the race best, in order of start."""
    multisport = pool[(pool["legs_in_file"] > 1) & (pool["nearness"] < 2)]
    if sports:
        fits = multisport.groupby("digest")["sport"].transform(
            lambda names: set(sports) <= set(names)
        )
        multisport = multisport[fits.astype(bool)]
    if len(multisport) and len(sports) != 1:
        best = _best(multisport.groupby("digest"), "digest")
        return multisport[multisport["digest"] == best].sort_values("start_utc")
    if not sports:
        return pool[pool["nearness"] < 2].pipe(_longest, 1)
    parts = [_longest(pool[pool["sport"] == sport], n) for sport, n in Counter(sports).items()]
    return pd.concat(parts).sort_values("start_utc")


def _best(groups: pd.api.typing.DataFrameGroupBy, key: str) -> str:
    """The group that lies nearest to the day and, among those, lasted longest."""
    totals = groups.agg(near=("nearness", "min"), length=("elapsed_s", "sum")).reset_index()
    ranked = totals.sort_values(["near", "length", key], ascending=[True, False, True])
    return str(ranked[key].iloc[0])


def _longest(legs: pd.DataFrame, count: int) -> pd.DataFrame:
    """The longest `count` legs of those that lie nearest to the day."""
    legs = legs[legs["sport"] != "transition"]
    order = legs.sort_values(["nearness", "elapsed_s", "leg_id"], ascending=[True, False, True])
    return order.head(count)


def _in_order_of_start(
    legs: pd.DataFrame, races: pd.DataFrame, found: dict[str, tuple[str, ...]]
) -> dict[str, tuple[str, ...]]:
    """Races of one date in the same sports, such as heats, in the order in which they started."""
    starts = dict(zip(legs["leg_id"], legs["start_utc"], strict=True))
    swapped: dict[str, tuple[str, ...]] = {}
    for _, alike in races.groupby("sports", sort=False):
        ids = [race for race in alike["race_id"] if found[race]]
        ordered = sorted((found[race] for race in ids), key=lambda legs_of: starts[legs_of[0]])
        swapped |= dict(zip(ids, ordered, strict=True))
    return swapped
