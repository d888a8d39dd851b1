"""Where the athlete was, as the files tell it: home, the race, and the way between."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import TypeVar

import numpy as np

from taperback.common.geodesy import great_circle_m
from taperback.common.limits import LIMITS, Travel
from taperback.importer.local_day import utc_offset_s
from taperback.raceweek.legs import Legs
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
    def shown_km(self) -> float:
        """Home to race as it may be shown: 0 at home, in steps beyond; NaN where not known.

        Places of races are known to everybody: from exact distances of three races anybody could
        compute where an athlete lives.
        """
        limits, km = LIMITS.travel, self.distance_km
        if km != km or km < limits.home_km:
            return km if km != km else 0.0
        step = limits.near_step_km if km < limits.away_km else limits.far_step_km
        return float(step * round(km / step))

    @property
    def shown_distance(self) -> str:
        """The same in words, as in `the race started about 150 km from home`."""
        return f"about {self.shown_km:.0f} km from home" if self.shown_km else "at home"

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
    before = window.legs.where(at_home == 1)
    last = max(before["start_utc"], default=None)
    later = [last is not None and start > last for start in window.legs["start_utc"]]
    away = window.legs.where((at_home == 0) & np.array(later, bool))
    race = legs.named(window.race_legs)
    # where no file of the race tells, the last one before it does
    place = race if len(race) else legs.where(legs["days_to_race"] >= -1).rows(-1)
    place = place.rows(0, 1)
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


def _habit(legs: Legs, window: Window) -> Legs:
    """The legs of the baseline's days, in usable weeks or not."""
    return legs.where(legs["days_to_race"] <= window.blocks[-1].last)


def _clocked(legs: Legs) -> Legs:
    """The legs whose local clock the file itself tells."""
    return legs.where(legs["offset_source"] == "file")


def _at_home(window: Window, home: Legs, home_offset_h: float, away_km: float) -> np.ndarray:
    """Whether each leg started at home: 1 or 0, NaN where nothing tells.

    A position tells. Without one, another clock than home's tells that it was not; home's clock
    tells that it was only where no position ever showed a home, as a trip may stay in one zone.
    """
    legs = window.legs
    at_home = np.full(len(legs), np.nan)
    clocked = legs["offset_source"] == "file"
    race_day_h = _noon_offset_h(window.athlete.home_zone, window.day0)
    clocks = legs.where(clocked)
    apart = _ahead_of_home_zone_h(clocks, window) - (home_offset_h - race_day_h)
    same = np.abs(apart) < 0.25
    at_home[np.flatnonzero(clocked)[~same]] = 0.0
    if not len(home):
        at_home[np.flatnonzero(clocked)[same]] = 1.0
        return at_home
    placed = _has_position(legs)
    at_home[placed] = _km_from(legs.where(placed), home) <= away_km
    return at_home


def _ahead_of_home_zone_h(legs: Legs, window: Window) -> np.ndarray:
    """How far each leg's clock was ahead of the athlete's home zone at that moment [h]."""
    zone = window.athlete.home_zone
    home = [utc_offset_s(start.timestamp(), zone) for start in legs["start_utc"]]
    ahead: np.ndarray = (legs["utc_offset_s"] - np.array(home, float)) / 3600
    return ahead


def _positioned(legs: Legs) -> Legs:
    return legs.where(_has_position(legs))


def _has_position(legs: Legs) -> np.ndarray:
    both: np.ndarray = legs.known("start_lat") & legs.known("start_lon")
    return both


def _centre(legs: Legs, limits: Travel) -> tuple[Legs, Legs]:
    """The place where most of the legs start, as one row, and the legs that start near it.

    No place where fewer than `fewest_home_legs` start, or under half of them, is a home.
    """
    if len(legs) < limits.fewest_home_legs:
        return legs.rows(0, 0), legs.rows(0, 0)
    lat, lon = legs["start_lat"], legs["start_lon"]
    near = great_circle_m(lat[:, None], lon[:, None], lat, lon) <= limits.home_km * 1000
    best = int(np.argmax(near.sum(axis=1)))
    if near[best].mean() < 0.5:
        return legs.rows(0, 0), legs.rows(0, 0)
    return legs.at([best]), legs.where(near[best])


def _km(place: Legs, other: Legs) -> float:
    """Great-circle distance between two legs, NaN where either is empty."""
    if not (len(place) and len(other)):
        return NAN
    return float(_km_from(place, other)[0])


def _last_stay(legs: Legs, home: Legs, away_km: float) -> Legs:
    """The legs up to the race after the last one at home; empty where that is the race's own."""
    if not len(home):
        return legs.rows(0, 0)
    at_home = np.flatnonzero(_km_from(legs, home) <= away_km)
    return legs.rows(at_home[-1] + 1) if len(at_home) else legs


def _km_from(legs: Legs, place: Legs) -> np.ndarray:
    """How far each leg started from a one-row place [km]."""
    point = (place["start_lat"][0], place["start_lon"][0])
    return np.asarray(great_circle_m(legs["start_lat"], legs["start_lon"], *point)) / 1000


def _is_move(stay: Legs, window: Window, home: Legs, limits: Travel) -> bool:
    """Whether the stay before the race is a new home."""
    if stay["days_to_race"].min() <= -limits.move_days:
        return len(_centre(stay, limits)[0]) > 0
    later = _positioned(window.after)
    later = later.where(later["days_to_race"] > limits.homeward_days)
    if len(later) < limits.fewest_home_legs:
        return False
    there, _ = _centre(stay, replace(limits, fewest_home_legs=1))
    still_there = len(_last_stay(later, home, limits.away_km)) == len(later)
    return still_there and _km(there, _centre(later, limits)[0]) <= limits.away_km


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
    legs = window.legs.where(window.legs["days_to_race"] >= -1)
    race = legs.named(window.race_legs)
    legs = race if len(race) else legs
    zones = [zone for zone in legs["zone"] if zone]
    if zones:
        return _noon_offset_h(zones[-1], window.day0)
    clocks = _clocked(legs)["utc_offset_s"]
    return float(clocks[-1]) / 3600 if len(clocks) else NAN


def _home_offset_h(window: Window, home_legs: Legs, limits: Travel) -> float:
    """Offset at home on the race date.

    That of the zone where most sessions start; else of the home zone that the athlete typed, moved
    by what the clocks of most baseline files differ from it.
    """
    zones = [zone for zone in home_legs["zone"] if zone]
    if zones:
        return _noon_offset_h(_most_common(zones), window.day0)
    typed = _noon_offset_h(window.athlete.home_zone, window.day0)
    habit = _habit(_clocked(window.legs), window)
    if len(habit) < limits.fewest_home_legs:
        return typed
    ahead_h: list[float] = _ahead_of_home_zone_h(habit, window).round(2).tolist()
    return typed + _most_common(ahead_h)


Value = TypeVar("Value", str, float)


def _most_common(values: Sequence[Value]) -> Value:
    """The value that there is most often; the smallest of several."""
    counts = Counter(values)
    return min(counts, key=lambda value: (-counts[value], value))
