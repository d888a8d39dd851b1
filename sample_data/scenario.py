"""What an invented athlete is made of: effects, races with the weeks planted before them, trips."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Effects:
    """How this athlete's result follows from the week before, in percent faster than expected.

    The curve over the volume cut is one wave of a cosine: nought at no cut, its top at `best_cut`,
    nought again at twice that. The other effects are straight lines.
    """

    level_pct: float = -0.9
    best_cut: float = 0.46
    gain_at_best_pct: float = 2.4
    per_intensity_kept_pct: float = 0.5
    per_sleep_hour_pct: float = 0.9
    per_lag_hour_pct: float = -0.25

    def gain_pct(self, cut: float) -> float:
        """What a volume cut is worth against none [%]."""
        wave = 1 - math.cos(math.pi * cut / self.best_cut)
        return self.gain_at_best_pct * wave / 2 if 0 < cut < 2 * self.best_cut else 0.0

    def result_pct(self, cut: float, kept: float, sleep_h: float, lag_h: float) -> float:
        """The result before race-to-race noise [%]."""
        return (
            self.level_pct
            + self.gain_pct(cut)
            + self.per_intensity_kept_pct * (kept - 1)
            + self.per_sleep_hour_pct * sleep_h
            + self.per_lag_hour_pct * lag_h
        )


@dataclass(frozen=True)
class Repetitions:
    """Hard work of one race week: kilometres run, hundreds swum, minutes of two ridden blocks."""

    runs: int
    swims: int
    ride_min: int

    def of(self, sport: str) -> int:
        """The hard work in one sport."""
        return {"running": self.runs, "swimming": self.swims, "cycling": self.ride_min}[sport]


@dataclass(frozen=True)
class Trip:
    """A journey to a race over several time zones."""

    depart_before: int
    arrive_before: int
    zone: str
    lat: float
    lon: float
    hours: float


@dataclass(frozen=True)
class Race:
    """One race and the week planted before it.

    Attributes:
        day: local date. name: as the journal has it. expected_s: what was expected [s].
        cut: volume cut planted. hard: the race week's hard work.
        sleep_change_h: planted sleep change. noise_pct: race-to-race noise [%].
        panic: whether the athlete trained in a panic. panic_pct: what that is worth beyond its
            volume, intensity and sleep [%]. single_files: whether each leg of the race has a file
            of its own. sleep_files: whether nights are in files, not in the journal.
        field_median: whether the journal tells the field's median time. told: whether it tells
            how the race went.
    """

    day: date
    name: str
    expected_s: int
    cut: float
    hard: Repetitions
    sleep_change_h: float
    noise_pct: float
    rpe: float
    place: int
    field: int
    temp_c: float
    panic: bool = False
    panic_pct: float = 0.0
    single_files: bool = False
    sleep_files: bool = False
    field_median: bool = False
    told: bool = True
    trip: Trip | None = None


@dataclass(frozen=True)
class Scenario:
    """One athlete's two seasons.

    Attributes:
        discipline: a key of `habits.HABITS`.
        critical_power_w, critical_speed_mps, swim_speed_mps: second thresholds by season.
        weekly_h: hours of an ordinary week before week-to-week change.
        home: latitude and longitude of the place where most sessions start.
        next_race: day, name and expected time [s] of a race to come, of which there is no file.
        nights_every: of so many nights the journal tells one.
        everyday: whether there is a life beside training, a diary, and a session without a file.
    """

    seed: int
    folder: str
    name: str
    sex: str
    home_zone: str
    home: tuple[float, float]
    weekly_h: float
    critical_power_w: tuple[float, float]
    critical_speed_mps: tuple[float, float]
    swim_speed_mps: tuple[float, float]
    threshold_bpm: int
    max_bpm: int
    resting_bpm: int
    usual_sleep_h: float
    effects: Effects
    races: tuple[Race, ...]
    discipline: str = "triathlon"
    next_race: tuple[date, str, int] | None = None
    nights_every: int = 1
    everyday: bool = False

    def season(self, day: date) -> int:
        """0 in the first year of racing, 1 from the second on."""
        return int(day.year > self.races[0].day.year)
