"""What was planted: worked out from the plan alone, never from the files."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from statistics import mean, median
from zoneinfo import ZoneInfo

import numpy as np

from habits import HABITS
from plan import Session, sessions_before
from scenario import Race, Scenario

EAST_H_PER_DAY, WEST_H_PER_DAY = 57 / 60, 92 / 60
"""Hours a body clock catches up in a day: quoted second-hand, Eastman and Burgess 2009."""


@dataclass(frozen=True)
class RaceTruth:
    """What one race's weeks hold.

    `nights` maps each day of waking from -56 to 0 to hours slept; `flags` are (day, rule, sport).
    """

    race: Race
    sessions: tuple[Session, ...]
    nights: dict[date, float]
    values: dict[str, float]
    flags: tuple[tuple[date, str, str], ...]
    finish_s: int


def race_truth(scenario: Scenario, race: Race, rng: np.random.Generator) -> RaceTruth:
    """Everything planted before one race, and the finish time that came of it."""
    sessions = tuple(sessions_before(scenario, race))
    nights = _nights(scenario, race, rng)
    sports = HABITS[scenario.discipline].sports
    values = _volume(race, sessions, sports) | _intensity(race, sessions) | _sleep(race, nights)
    values |= _travel(scenario, race)
    result = scenario.effects.result_pct(
        values["volume_cut"],
        values["intensity_kept"],
        values["sleep_change_h"],
        values["body_clock_lag_h"],
    )
    result += race.panic_pct + race.noise_pct
    finish_s = round(race.expected_s * (1 - result / 100))
    values["result_pct"] = 100 * (1 - finish_s / race.expected_s)
    values["race_rpe"] = race.rpe
    return RaceTruth(race, sessions, nights, values, _flags(scenario, race), finish_s)


def _before(race: Race, session: Session) -> int:
    return (session.day - race.day).days


def _blocks(race: Race, sessions: tuple[Session, ...], sport: str = "") -> list[float]:
    """Hours of each of the six blocks of the baseline."""
    hours = [0.0] * 6
    for session in sessions:
        block = (_before(race, session) + 56) // 7
        if block < 6 and sport in ("", session.sport):
            hours[block] += session.moving_s / 3600
    return hours


def _race_week(race: Race, sessions: tuple[Session, ...], sport: str = "") -> list[Session]:
    return [s for s in sessions if _before(race, s) >= -7 and sport in ("", s.sport)]


def _volume(race: Race, sessions: tuple[Session, ...], sports: tuple[str, ...]) -> dict[str, float]:
    usual = median(_blocks(race, sessions))
    done = sum(s.moving_s for s in _race_week(race, sessions)) / 3600
    values = {"baseline_weekly_h": usual, "volume_h": done, "volume_cut": 1 - done / usual}
    for sport in sports:
        usual = median(_blocks(race, sessions, sport))
        done = sum(s.moving_s for s in _race_week(race, sessions, sport)) / 3600
        values[f"volume_cut_{sport}"] = 1 - done / usual
    usual_count = sum(_before(race, s) < -14 for s in sessions) / 6
    values["sessions_kept"] = len(_race_week(race, sessions)) / usual_count
    return values


def _intensity(race: Race, sessions: tuple[Session, ...]) -> dict[str, float]:
    usual = [s for s in sessions if _before(race, s) < -14]
    week = _race_week(race, sessions)

    def share(some: list[Session]) -> float:
        return sum(s.hard_s for s in some) / sum(s.moving_s for s in some)

    usual_hard = [0.0] * 6
    for session in usual:
        usual_hard[(_before(race, session) + 56) // 7] += session.hard_s / 60
    hard = sum(s.hard_s for s in week) / 60
    return {
        "intensity_kept": share(week) / share(usual),
        "hard_min": hard,
        "baseline_hard_min": median(usual_hard),
        "hard_minutes_kept": hard / median(usual_hard),
    }


def _nights(scenario: Scenario, race: Race, rng: np.random.Generator) -> dict[date, float]:
    """Hours slept by day of waking; the race week's change is exactly what was planted."""
    wobble = 0.4 * rng.standard_normal(57)
    usual = scenario.usual_sleep_h + wobble
    race_nights = slice(50, 57)
    week = scenario.usual_sleep_h + 0.5 * (wobble[race_nights] - wobble[race_nights].mean())
    week[-1] -= 0.7
    usual[race_nights] = week - week.mean() + float(np.median(usual[:42])) + race.sleep_change_h
    days = [race.day + timedelta(days=k) for k in range(-56, 1)]
    return {day: round(float(hours), 2) for day, hours in zip(days, usual, strict=True)}


def _sleep(race: Race, nights: dict[date, float]) -> dict[str, float]:
    by_day = {(day - race.day).days: hours for day, hours in nights.items()}
    usual = median(hours for day, hours in by_day.items() if day <= -15)
    return {
        "sleep_change_h": mean(by_day[day] for day in range(-6, 1)) - usual,
        "last_night_h": by_day[0],
        "last_three_h": mean(by_day[day] for day in (-2, -1, 0)),
    }


def _travel(scenario: Scenario, race: Race) -> dict[str, float]:
    if race.trip is None:
        return {"zones_crossed": 0.0, "body_clock_lag_h": 0.0}
    noon = datetime.combine(race.day, time(12))
    offsets = [
        noon.replace(tzinfo=ZoneInfo(zone)).utcoffset()
        for zone in (race.trip.zone, scenario.home_zone)
    ]
    zones = sum(sign * o.total_seconds() for sign, o in zip((1, -1), offsets, strict=True) if o)
    zones /= 3600
    shift = zones if -12 <= zones < 12 else (zones + 12) % 24 - 12
    days = race.trip.arrive_before
    return {
        "zones_crossed": zones,
        "days_since_arrival": float(days),
        "travel_h": race.trip.hours,
        "body_clock_lag_h": max(
            abs(shift) - (EAST_H_PER_DAY if shift > 0 else WEST_H_PER_DAY) * days, 0.0
        ),
    }


def _flags(scenario: Scenario, race: Race) -> tuple[tuple[date, str, str], ...]:
    """The sessions of the panic week that a rule should catch."""
    planted = HABITS[scenario.discipline].flags if race.panic else ()
    return tuple((race.day - timedelta(days=k), rule, sport) for k, rule, sport in planted)


TOLERANCE = {
    "baseline_weekly_h": 0.1,
    "volume_h": 0.1,
    "hard_min": 1.5,
    "baseline_hard_min": 2.0,
    "intensity_kept": 0.06,
    "hard_minutes_kept": 0.05,
    "sleep_change_h": 0.03,
    "last_night_h": 0.03,
    "last_three_h": 0.03,
    "body_clock_lag_h": 0.05,
    "race_rpe": 0.001,
    "result_pct": 0.02,
}
"""How far a measured value may lie from what was planted; 0.02 where nothing is said."""


def truth_toml(scenario: Scenario, truths: list[RaceTruth]) -> str:
    """What was planted, as text for TRUTH.toml."""
    effects = scenario.effects
    lines = [
        "# What was planted in the sample, from its plan; written by generate.py, not by hand.",
        "# Effects are in percent faster than expected; the curve over the volume cut is one wave",
        "# of a cosine: nought at no cut, its top at best_cut, nought again at twice that.",
        "",
        "[effects]",
        *(f"{name} = {value}" for name, value in vars(effects).items()),
        "",
        "[tolerance]",
        "default = 0.02",
        *(f"{name} = {value}" for name, value in TOLERANCE.items()),
    ]
    for truth in truths:
        lines += ["", "[[races]]", *race_lines(truth)]
    return "\n".join(lines) + "\n"


def race_lines(truth: RaceTruth, without: tuple[str, ...] = ()) -> list[str]:
    """What was planted before one race, as lines of TOML, without some of its values."""
    lines = [f"date = {truth.race.day}", f"name = {toml_text(truth.race.name)}"]
    kept = {name: value for name, value in truth.values.items() if name not in without}
    lines += [f"{name} = {value:.4f}" for name, value in kept.items()]
    flags = ", ".join(
        f'{{ day = {day}, rule = "{rule}", sport = "{sport}" }}' for day, rule, sport in truth.flags
    )
    return [*lines, f"flags = [{flags}]"]


def toml_text(text: str) -> str:
    """A text as TOML writes it; the escapes that JSON needs are TOML's too."""
    return json.dumps(text, ensure_ascii=False)
