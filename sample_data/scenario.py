"""The invented world of the sample: an athlete, the races, and what was planted in them.

Nobody and nowhere here is real. Time zones are real, since clocks are.
"""

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
        discipline: a key of `plan.HABITS`.
        critical_power_w, critical_speed_mps, swim_speed_mps: second thresholds by season.
        weekly_h: hours of an ordinary week before week-to-week change.
        home: latitude and longitude of the place where most sessions start.
        next_race: day, name and expected time [s] of a race to come, of which there is no file.
        nights_every: of so many nights the journal tells one.
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

    def season(self, day: date) -> int:
        """0 in the first year of racing, 1 from the second on."""
        return int(day.year > self.races[0].day.year)


TOVE = Scenario(
    seed=20240519,
    folder="tove",
    name="Tove Aldwin",
    sex="female",
    home_zone="Europe/Lisbon",
    home=(40.312, -8.238),
    weekly_h=10.9,
    critical_power_w=(236.0, 243.0),
    critical_speed_mps=(4.20, 4.26),
    swim_speed_mps=(1.16, 1.18),
    threshold_bpm=168,
    max_bpm=187,
    resting_bpm=48,
    usual_sleep_h=7.3,
    effects=Effects(),
    races=(
        Race(
            day=date(2024, 5, 19),
            name="Heronmere Triathlon",
            expected_s=8460,
            cut=0.21,
            hard=Repetitions(runs=5, swims=6, ride_min=10),
            sleep_change_h=0.0,
            noise_pct=-0.4,
            rpe=8.0,
            place=31,
            field=148,
            temp_c=19,
        ),
        Race(
            day=date(2024, 7, 28),
            name="Saltgrass Triathlon",
            expected_s=8400,
            cut=0.45,
            hard=Repetitions(runs=3, swims=5, ride_min=7),
            sleep_change_h=0.3,
            noise_pct=0.3,
            rpe=7.5,
            place=14,
            field=162,
            temp_c=24,
        ),
        Race(
            day=date(2024, 10, 6),
            name="Tidewall Triathlon",
            expected_s=8400,
            cut=0.04,
            hard=Repetitions(runs=8, swims=8, ride_min=12),
            sleep_change_h=-0.1,
            noise_pct=-0.5,
            rpe=9.0,
            place=52,
            field=171,
            temp_c=17,
            panic=True,
            single_files=True,
        ),
        Race(
            day=date(2025, 5, 25),
            name="Gullcliff Triathlon",
            expected_s=8280,
            cut=0.52,
            hard=Repetitions(runs=3, swims=4, ride_min=6),
            sleep_change_h=-1.3,
            noise_pct=0.2,
            rpe=8.5,
            place=38,
            field=139,
            temp_c=21,
            sleep_files=True,
            field_median=True,
        ),
        Race(
            day=date(2025, 9, 7),
            name="Marrowbank Triathlon",
            expected_s=8250,
            cut=0.63,
            hard=Repetitions(runs=2, swims=3, ride_min=4),
            sleep_change_h=-0.3,
            noise_pct=0.3,
            rpe=8.0,
            place=22,
            field=204,
            temp_c=29,
            field_median=True,
            trip=Trip(4, 3, "Asia/Dhaka", 24.62, 90.31, 17.5),
        ),
    ),
)
