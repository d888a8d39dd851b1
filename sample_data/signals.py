"""From a session's segments to what a device would record of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plan import Session
from scenario import Scenario

POOL_M = 25.0
EARTH_M_PER_DEG = 111_195.0


@dataclass(frozen=True)
class Track:
    """What a device records, one entry a reading.

    `time_s` counts from the start of the session and runs on through pauses.
    """

    time_s: np.ndarray
    lat: np.ndarray
    lon: np.ndarray
    altitude_m: np.ndarray
    distance_m: np.ndarray
    speed_mps: np.ndarray
    power_w: np.ndarray
    heart_rate_bpm: np.ndarray
    cadence_rpm: np.ndarray
    pauses: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class Length:
    """One length of the pool, or a rest at its wall."""

    start_s: float
    seconds: float
    active: bool


def share_by_second(session: Session) -> np.ndarray:
    """Share of the second threshold for each moving second; shape (moving_s,)."""
    moving = [segment for segment in session.segments if segment.share > 0]
    return np.repeat([s.share for s in moving], [s.seconds for s in moving])


def record(
    scenario: Scenario,
    session: Session,
    place: tuple[float, float],
    rng: np.random.Generator,
    *,
    step_s: int,
    pauses: int = 0,
    changes: bool = False,
) -> Track:
    """The session as readings every `step_s` seconds, with so many pauses at crossings.

    With `changes` there is a reading wherever the effort changes too, as of devices that save room.
    """
    season = scenario.season(session.day)
    share = share_by_second(session)
    steps = np.append(np.arange(0, len(share), step_s), len(share) - 1)
    at = np.unique(np.append(steps, np.flatnonzero(np.diff(share)) + 1) if changes else steps)
    effort = share[at] * (1 + 0.015 * rng.standard_normal(len(at)))
    power = effort * scenario.critical_power_w[season]
    speed = _speed(scenario, season, session.sport, effort)
    distance = np.concatenate([[0.0], np.cumsum(speed[:-1] * np.diff(at))])
    turn = distance / 900 + rng.uniform(0, 6.28)
    lat, lon = _loop(place, turn)
    clock, stops = _with_pauses(at, pauses, rng)
    return Track(
        clock,
        lat + rng.uniform(-8e-4, 8e-4),
        lon + rng.uniform(-8e-4, 8e-4),
        np.round(80 + 25 * np.sin(distance / 1700) + 0.3 * rng.standard_normal(len(at)), 1),
        distance,
        speed,
        power,
        _heart_rate(scenario, share, at, rng),
        np.full(len(at), 88.0 if session.sport == "cycling" else 84.0),
        stops,
    )


def _speed(scenario: Scenario, season: int, sport: str, effort: np.ndarray) -> np.ndarray:
    """How fast that effort is in each sport [m/s]; in a change between two legs, a walk."""
    return {
        "running": effort * scenario.critical_speed_mps[season],
        "swimming": effort * scenario.swim_speed_mps[season],
        "cycling": 9.6 * np.cbrt(effort),
        "transition": np.full(len(effort), 1.6),
    }[sport]


def _loop(place: tuple[float, float], turn: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(latitudes, longitudes) on a circle of 900 m that starts at the place; `turn` in radians."""
    north = 900 * (np.sin(turn) - np.sin(turn[0]))
    east = 900 * (np.cos(turn) - np.cos(turn[0]))
    lat = place[0] + north / EARTH_M_PER_DEG
    return lat, place[1] + east / (EARTH_M_PER_DEG * np.cos(np.radians(place[0])))


def _heart_rate(
    scenario: Scenario, share: np.ndarray, at: np.ndarray, rng: np.random.Generator
) -> np.ndarray:
    """Heart rate that follows effort with half a minute's delay and drifts upwards."""
    span = scenario.threshold_bpm - scenario.resting_bpm
    target = scenario.resting_bpm + span * share**0.8
    lag = np.exp(-np.arange(180) / 32.0)
    padded = np.concatenate([np.full(179, scenario.resting_bpm + 0.4 * span), target])
    smooth = np.convolve(padded, lag / lag.sum(), "valid")
    drift = 1 + 0.03 * np.arange(len(share)) / 7200
    rate = (smooth * drift)[at] + 0.8 * rng.standard_normal(len(at))
    return np.round(np.minimum(rate, scenario.max_bpm))


def _with_pauses(
    at: np.ndarray, pauses: int, rng: np.random.Generator
) -> tuple[np.ndarray, tuple[tuple[int, int], ...]]:
    """Clock times of the readings where the timer stops now and then, and the stops."""
    clock = at.astype(float)
    stops = []
    for moment in sorted(rng.integers(len(at) // 4, 3 * len(at) // 4, pauses).tolist()):
        wait = int(rng.integers(35, 120))
        stops.append((int(clock[moment]) + 1, int(clock[moment]) + 1 + wait))
        clock[moment + 1 :] += wait
    return clock, tuple(stops)


def lengths_of(session: Session, scenario: Scenario) -> list[Length]:
    """The lengths of a pool swim, and the rests between its repetitions."""
    speed = scenario.swim_speed_mps[scenario.season(session.day)]
    lengths, clock = [], 0.0
    for segment in session.segments:
        if segment.share == 0:
            lengths.append(Length(clock, segment.seconds, active=False))
            clock += segment.seconds
            continue
        count = round(segment.seconds * segment.share * speed / POOL_M)
        for _ in range(count):
            lengths.append(Length(clock, segment.seconds / count, active=True))
            clock += segment.seconds / count
    return lengths
