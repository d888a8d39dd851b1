"""Where the athlete was, as the files tell it: home, the race, and the way between."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime

import numpy as np
import pandas as pd

from taperback.common.geodesy import great_circle_m
from taperback.common.limits import LIMITS, Travel
from taperback.importer.local_day import utc_offset_s
from taperback.raceweek.window.window import Window

NAN = float("nan")


@dataclass(frozen=True)
class Whereabouts:
    """What positions and clocks of the files say about a race.

    Attributes:
        distance_km: home to race; NaN where either is not known.
        race_offset_h, home_offset_h: UTC offsets on the race date; NaN where not known.
        first_there: first day to the race on which a session started away from home (or under
            another clock than home's, where positions tell no home) and after which none started
            at home; None where the athlete was at home, or nothing is known.
        last_home: the last session at home before it; None where there is none.
        moved: whether the athlete's home itself moved before the race.
        home_legs, race_legs: ids of the legs that this rests on.
    """

    distance_km: float
    race_offset_h: float
    home_offset_h: float
    first_there: int | None
    last_home: int | None
    moved: bool
    home_legs: tuple[str, ...]
    race_legs: tuple[str, ...]

    @property
    def told_km(self) -> float:
        """Home to race as it may be told: 0 at home, in steps beyond; NaN where not known.

        Places of races are known to everybody: from exact distances of three races anybody could
        compute where an athlete lives.
        """
        limits, km = LIMITS.travel, self.distance_km
        if km != km or km < limits.home_km:
            return km if km != km else 0.0
        step = limits.near_step_km if km < limits.away_km else limits.far_step_km
        return float(step * round(km / step))

    @property
    def told_distance(self) -> str:
        """The same in words, as in `the race started about 150 km from home`."""
        return f"about {self.told_km:.0f} km from home" if self.told_km else "at home"

    @property
    def zones_h(self) -> float:
        """UTC offset at the race minus at home on the race date [h]; NaN where not known."""
        return self.race_offset_h - self.home_offset_h


def whereabouts(window: Window) -> Whereabouts:
    """Home is where most sessions of the baseline start, unless the athlete moved before the race.

    A stay counts as a move and not as a trip when it began `move_days` before the race or
    earlier, or when the sessions after the race still start there.
    """
    limits = LIMITS.travel
    legs = _positioned(window.legs)
    home, home_legs = _centre(_habit(legs, window), limits)
    away = _last_stay(legs, home, limits.away_km)
    moved = len(away) > 0 and _is_move(away, window, home, limits)
    if moved:
        home, home_legs = _centre(away, replace(limits, fewest_home_legs=1))
    home_offset_h = _home_offset_h(window, home_legs, limits)
    at_home = _at_home(window, home, home_offset_h, limits.away_km)
    before, away = _last_change(window.legs, at_home)
    place = _race_place(window)
    return Whereabouts(
        distance_km=_km(home, place),
        race_offset_h=_race_offset_h(window),
        home_offset_h=home_offset_h,
        first_there=int(away["days_to_race"].min()) if len(away) else None,
        last_home=int(before["days_to_race"].max()) if len(away) else None,
        moved=moved,
        home_legs=tuple(home_legs["leg_id"]),
        race_legs=tuple(place["leg_id"]),
    )


def _habit(legs: pd.DataFrame, window: Window) -> pd.DataFrame:
    """The legs of the baseline's days, in usable weeks or not."""
    return legs[legs["days_to_race"] <= window.blocks[-1].last]


def _clocked(legs: pd.DataFrame) -> pd.DataFrame:
    """The legs whose local clock the file itself tells."""
    return legs[legs["offset_source"] == "file"]


def _at_home(window: Window, home: pd.DataFrame, home_offset_h: float, away_km: float) -> pd.Series:
    """Whether each leg started at home: 1 or 0, NaN where nothing tells.

    A position tells. Without one, another clock than home's tells that it was not; home's clock
    tells that it was only where no position ever told a home, as a trip may stay in one zone.
    """
    legs = window.legs
    told = pd.Series(np.nan, legs.index)
    clocked = _clocked(legs)
    race_day_h = _noon_offset_h(window.athlete.home_zone, window.day0)
    apart = _ahead_of_home_zone_h(clocked, window) - (home_offset_h - race_day_h)
    same = apart.abs() < 0.25
    told[clocked.index[~same]] = 0.0
    if not len(home):
        told[clocked.index[same]] = 1.0
        return told
    placed = _positioned(legs)
    told[placed.index] = (_km_from(placed, home) <= away_km).astype(float)
    return told


def _last_change(legs: pd.DataFrame, at_home: pd.Series) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The legs known to be at home, and those known to be away after the last of them."""
    home = legs[at_home == 1]
    if not len(home):
        return home, home
    return home, legs[(at_home == 0) & (legs["start_utc"] > home["start_utc"].max())]


def _ahead_of_home_zone_h(legs: pd.DataFrame, window: Window) -> pd.Series:
    """How far each leg's clock was ahead of the athlete's home zone at that moment [h]."""
    zone = window.athlete.home_zone
    home = [utc_offset_s(start.timestamp(), zone) for start in legs["start_utc"]]
    return (legs["utc_offset_s"] - pd.Series(home, index=legs.index, dtype=float)) / 3600


def _positioned(legs: pd.DataFrame) -> pd.DataFrame:
    return legs[legs["start_lat"].notna() & legs["start_lon"].notna()]


def _centre(legs: pd.DataFrame, limits: Travel) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The place where most of the legs start, as one row, and the legs that start near it.

    No place where fewer than `fewest_home_legs` start, or under half of them, is a home.
    """
    if len(legs) < limits.fewest_home_legs:
        return legs.iloc[:0], legs.iloc[:0]
    lat, lon = legs["start_lat"].to_numpy(float), legs["start_lon"].to_numpy(float)
    near = great_circle_m(lat[:, None], lon[:, None], lat, lon) <= limits.home_km * 1000
    best = int(np.argmax(near.sum(axis=1)))
    if near[best].mean() < 0.5:
        return legs.iloc[:0], legs.iloc[:0]
    return legs.iloc[[best]], legs[near[best]]


def _km(place: pd.DataFrame, other: pd.DataFrame) -> float:
    """Great-circle distance between two one-row tables, NaN where either is empty."""
    if not (len(place) and len(other)):
        return NAN
    a, b = place.iloc[0], other.iloc[0]
    metres = great_circle_m(a["start_lat"], a["start_lon"], b["start_lat"], b["start_lon"])
    return float(metres) / 1000


def _last_stay(legs: pd.DataFrame, home: pd.DataFrame, away_km: float) -> pd.DataFrame:
    """The legs up to the race after the last one at home; empty where that is the race's own."""
    if not len(home):
        return legs.iloc[:0]
    at_home = np.flatnonzero(_km_from(legs, home) <= away_km)
    return legs.iloc[at_home[-1] + 1 :] if len(at_home) else legs


def _km_from(legs: pd.DataFrame, place: pd.DataFrame) -> np.ndarray:
    """How far each leg started from a one-row place [km]."""
    point = place.iloc[0]
    return (
        great_circle_m(legs["start_lat"], legs["start_lon"], point["start_lat"], point["start_lon"])
        / 1000
    )


def _is_move(stay: pd.DataFrame, window: Window, home: pd.DataFrame, limits: Travel) -> bool:
    """Whether the stay before the race is a new home."""
    if stay["days_to_race"].min() <= -limits.move_days:
        return len(_centre(stay, limits)[0]) > 0
    later = _positioned(window.after)
    later = later[later["days_to_race"] > limits.homeward_days]
    if len(later) < limits.fewest_home_legs:
        return False
    there, _ = _centre(stay, replace(limits, fewest_home_legs=1))
    still_there = len(_last_stay(later, home, limits.away_km)) == len(later)
    return still_there and _km(there, _centre(later, limits)[0]) <= limits.away_km


def _race_place(window: Window) -> pd.DataFrame:
    """The leg that tells where the race was, as one row: the race's first, else the last before."""
    legs = _positioned(window.legs)
    race = legs[legs["leg_id"].isin(window.race_legs)]
    if len(race):
        return race.iloc[[0]]
    return legs[legs["days_to_race"] >= -1].iloc[-1:]


def _noon_offset_h(zone: str, day: date) -> float:
    """UTC offset of the zone at noon of that date [h]."""
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    return utc_offset_s(noon.timestamp(), zone) / 3600


def zones_between_h(from_zone: str, to_zone: str, day: date) -> float:
    """UTC offset of one zone minus that of the other on a date [h]; east is positive.

    >>> zones_between_h("Europe/Lisbon", "Asia/Tokyo", date(2030, 6, 30))
    8.0
    """
    return _noon_offset_h(to_zone, day) - _noon_offset_h(from_zone, day)


def _race_offset_h(window: Window) -> float:
    """Offset at the race: of the position's zone, else of the clock that the file gives."""
    legs = window.legs[window.legs["days_to_race"] >= -1]
    race = legs[legs["leg_id"].isin(window.race_legs)]
    legs = race if len(race) else legs
    zones = [zone for zone in legs["zone"] if zone]
    if zones:
        return _noon_offset_h(zones[-1], window.day0)
    clocks = legs.loc[legs["offset_source"] == "file", "utc_offset_s"]
    return float(clocks.iloc[-1]) / 3600 if len(clocks) else NAN


def _home_offset_h(window: Window, home_legs: pd.DataFrame, limits: Travel) -> float:
    """Offset at home on the race date.

    That of the zone where most sessions start; else of the home zone that the athlete typed, moved
    by what the clocks of most baseline files differ from it.
    """
    zones = home_legs.loc[home_legs["zone"] != "", "zone"]
    if len(zones):
        return _noon_offset_h(zones.mode().iloc[0], window.day0)
    typed = _noon_offset_h(window.athlete.home_zone, window.day0)
    habit = _habit(_clocked(window.legs), window)
    if len(habit) < limits.fewest_home_legs:
        return typed
    return typed + float(_ahead_of_home_zone_h(habit, window).round(2).mode().iloc[0])
