"""The invented squad: what is planted in all of them, and what in each.

Nobody and nowhere here is real. An athlete's effects are the squad's plus a deviation of the
athlete's own; every number is drawn from the seed and the athlete's place in the squad, so that a
larger squad begins with the same athletes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from habits import HABITS
from plan import HARD
from scenario import Effects, Race, Repetitions, Scenario, Trip
from squad_profiles import NAMED, Profile, drawn_profile

SHARED = Effects(
    level_pct=0.0,
    best_cut=0.45,
    gain_at_best_pct=2.2,
    per_intensity_kept_pct=1.0,
    per_sleep_hour_pct=1.2,
    per_lag_hour_pct=-0.3,
)
"""What the squad has in common."""

PERSONAL_SD = {
    "level_pct": 0.8,
    "best_cut": 0.06,
    "gain_at_best_pct": 0.5,
    "per_intensity_kept_pct": 0.5,
    "per_sleep_hour_pct": 0.4,
    "per_lag_hour_pct": 0.12,
}
"""How far the athletes' own effects lie apart (standard deviation)."""

PANIC_PCT, PANIC_SD = -0.6, 0.2
"""What a week of panic is worth beyond its volume, intensity and sleep [%]; for each athlete."""

NOISE_PCT = 1.3
"""How far one athlete's results differ from race to race for no reason (standard deviation) [%]."""

BEST_CUTS = (0.25, 0.65)
"""No athlete's best cut lies further out."""


@dataclass(frozen=True)
class Member:
    """One athlete of the squad: the scenario, and what panic is worth to this one [%]."""

    profile: Profile
    scenario: Scenario
    panic_pct: float


AWAY = (
    ("Asia/Dhaka", 24.62, 90.31),
    ("America/Denver", 38.41, -103.62),
    ("Pacific/Auckland", -38.92, 175.71),
    ("Asia/Tokyo", 36.61, 138.31),
    ("America/Sao_Paulo", -21.61, -47.83),
    ("Africa/Nairobi", -1.12, 36.62),
    ("Australia/Perth", -31.83, 117.21),
    ("Europe/Berlin", 51.52, 13.61),
)
"""Where races away from home are: zone, latitude, longitude."""

PLACES = (
    "Thistlemere", "Brackenfall", "Cinderlough", "Mirefold", "Lanternhead",
    "Quernmoor", "Wrenhollow", "Ferndrift", "Ambercote", "Kelpstrand", "Rookenhaven",
)  # fmt: skip
HOSTILE = 'Owl\'s "Leap" & <Tarn>,'
"""A race whose name needs care in a table and on a page."""

_KINDS = {"triathlon": "Triathlon", "running": "Half Marathon", "cycling": "Time Trial"}


def draw_squad(count: int, *, seed: int, races: int | None = None) -> list[Member]:
    """The first so many athletes of a squad; those beyond the twelve have drawn names.

    Args:
        count: how many.
        seed: another seed is another squad.
        races: how many races each has; by default as many as the profile says.
    """
    members = []
    for place in range(count):
        rng = np.random.default_rng([seed, place])
        profile = NAMED[place] if place < len(NAMED) else drawn_profile(place, rng)
        if races:
            profile = replace(profile, races=races, panics=min(profile.panics, races))
        members.append(_member(profile, 10_000 * seed + place, rng))
    return members


def _member(profile: Profile, seed: int, rng: np.random.Generator) -> Member:
    """The athlete with effects, thresholds and races."""
    effects = _personal(rng)
    panic_pct = round(rng.normal(PANIC_PCT, PANIC_SD), 3)
    scenario = _trained(profile, effects, seed, rng)
    *races, to_come = _races(profile, scenario, panic_pct, rng)
    next_race = (to_come.day, to_come.name, to_come.expected_s)
    return Member(profile, replace(scenario, races=tuple(races), next_race=next_race), panic_pct)


def _personal(rng: np.random.Generator) -> Effects:
    """The squad's effects with a deviation of the athlete's own."""
    own = {
        name: round(float(getattr(SHARED, name) + sd * rng.standard_normal()), 3)
        for name, sd in PERSONAL_SD.items()
    }
    own["best_cut"] = min(max(own["best_cut"], BEST_CUTS[0]), BEST_CUTS[1])
    return Effects(**own)


_WEEKLY_H = {"triathlon": 10.5, "running": 6.4, "cycling": 9.4}
_STRONGER_IN_THE_SECOND_YEAR = 1.015


def _trained(profile: Profile, effects: Effects, seed: int, rng: np.random.Generator) -> Scenario:
    """The athlete with thresholds and habits, and no race yet."""
    strong = 1.0 if profile.sex == "female" else 1.12
    power, speed = strong * rng.uniform(205, 245), strong * rng.uniform(3.75, 4.15)
    swim, threshold = strong**0.5 * rng.uniform(1.02, 1.18), int(rng.integers(162, 174))
    later = _STRONGER_IN_THE_SECOND_YEAR
    return Scenario(
        seed=seed,
        folder=profile.folder,
        name=profile.name,
        sex=profile.sex,
        home_zone=profile.zone,
        home=profile.home,
        weekly_h=round(_WEEKLY_H[profile.discipline] * rng.uniform(0.85, 1.2), 2),
        critical_power_w=(round(power, 0), round(power * later, 0)),
        critical_speed_mps=(round(speed, 2), round(speed * later, 2)),
        swim_speed_mps=(round(swim, 2), round(swim * later, 2)),
        threshold_bpm=threshold,
        max_bpm=threshold + 18,
        resting_bpm=int(rng.integers(44, 55)),
        usual_sleep_h=round(rng.uniform(6.9, 7.8), 1),
        effects=effects,
        races=(),
        discipline=profile.discipline,
        nights_every=profile.nights_every,
    )


def _races(
    profile: Profile, scenario: Scenario, panic_pct: float, rng: np.random.Generator
) -> list[Race]:
    """The races with the weeks before them, and one more that is to come.

    Each athlete has tried small cuts and large ones, and has flown to one race in three.
    """
    count = profile.races
    cuts, kept = _spread(count, 0.06, 0.68, rng), _spread(count, 0.5, 1.25, rng)
    order = rng.permutation(count).tolist()
    panics, far = order[: profile.panics], order[profile.panics :][: round(count / 3)]
    names = [HOSTILE, *rng.permutation(PLACES)] if profile is NAMED[0] else rng.permutation(PLACES)
    day = date(2024, 4, 28) + timedelta(days=7 * int(rng.integers(0, 7)))
    races = []
    for place in range(count + 1):
        panic = place in panics
        trip = _trip(scenario, rng) if place in far else None
        cut = float(rng.uniform(0.0, 0.06)) if panic else float(cuts[place % count])
        cut = max(cut, _LEAST_CUT_AWAY) if trip else cut
        hard = _hard(scenario, cut, float(kept[place % count]), panic)
        race = _race(
            rng,
            day=day,
            name=f"{names[place % len(names)]} {_KINDS[profile.discipline]}",
            expected_s=_expected_s(scenario, place),
            cut=round(cut, 3),
            hard=hard,
        )
        panicked = {"panic": True, "panic_pct": panic_pct} if panic else {}
        races.append(replace(race, told=profile.told, trip=trip, **panicked))
        day += timedelta(days=7 * int(rng.integers(10, 13)))
    return races


def _race(rng: np.random.Generator, **known: Any) -> Race:
    """A race with what is left to chance: the nights, the noise, how it felt, the field."""
    return Race(
        **known,
        sleep_change_h=round(float(np.clip(rng.normal(-0.2, 0.6), -1.5, 1.0)), 2),
        noise_pct=round(NOISE_PCT * float(rng.standard_normal()), 3),
        rpe=float(rng.integers(14, 20)) / 2,
        place=int(rng.integers(5, 70)),
        field=int(rng.integers(80, 220)),
        temp_c=float(rng.integers(12, 31)),
    )


_LEAST_CUT_AWAY = 0.2
"""A day on the way holds no session; the others would be long for a race week without a cut."""


def _spread(count: int, low: float, high: float, rng: np.random.Generator) -> np.ndarray:
    """Numbers in any order, one from each equal part of the range; shape (count,)."""
    return low + (high - low) * (rng.permutation(count) + rng.uniform(size=count)) / count


def _expected_s(scenario: Scenario, place: int) -> int:
    """An honest expectation, a little faster from race to race, in whole minutes."""
    swim, run = scenario.swim_speed_mps[0], scenario.critical_speed_mps[0]
    seconds = {
        "triathlon": 1600 / swim + 4300 + 10_400 / run,
        "running": 21_097.5 / (0.95 * run),
        "cycling": 4270.0,
    }[scenario.discipline]
    return 60 * round(seconds * (1 - 0.003 * place) / 60)


_MOST_HARD = 1.15
"""A race week without panic holds no harder session than this times the usual one."""
_MOST_LATE_S = 540
"""So long the hard work of the swim three days before a race lasts at most."""


def _hard(scenario: Scenario, cut: float, kept: float, panic: bool) -> Repetitions:
    """Hard work that keeps about this much of the usual share of hard time."""
    if panic:
        return Repetitions(runs=8, swims=8, ride_min=12)
    usual = {sport: n for (_, sport), n in HABITS[scenario.discipline].usual_hard.items()}
    left = {
        sport: min(max(round(n * kept * (1 - cut)), 1), int(_MOST_HARD * n))
        for sport, n in usual.items()
    }
    late = int(_MOST_LATE_S * HARD * scenario.swim_speed_mps[0] / 100)
    swims = min(left.get("swimming", 0), late)
    return Repetitions(left.get("running", 0), swims, left.get("cycling", 0))


def _trip(scenario: Scenario, rng: np.random.Generator) -> Trip:
    """A journey that ends one to five days before the race."""
    places = [place for place in AWAY if place[0] != scenario.home_zone]
    zone, lat, lon = places[int(rng.integers(len(places)))]
    days = int(rng.integers(1, 6))
    return Trip(days + 1, days, zone, lat, lon, round(float(rng.uniform(9, 26)), 1))
