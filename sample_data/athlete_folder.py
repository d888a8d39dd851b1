"""What any athlete's folder is made of: clocks, places, names, swims and races."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from activity_files import (
    fit_close,
    fit_lengths,
    fit_open,
    fit_session,
    fit_strap,
    fit_track,
    start_utc,
)
from plan import Session, race_sessions
from scenario import Race, Scenario
from signals import lengths_of, record
from truth import RaceTruth

RPE = {"easy": 3, "intervals": 7, "opener": 4}


@dataclass
class Folder:
    """The files of one athlete while they are made: name -> bytes."""

    scenario: Scenario
    files: dict[str, bytes] = field(default_factory=dict)

    def offset_s(self, session: Session, race: Race) -> float:
        """Offset of the local clock where the session takes place."""
        zone = race.trip.zone if self.away(session, race) and race.trip else self.scenario.home_zone
        moment = datetime.combine(session.day, time(12), ZoneInfo(zone))
        offset = moment.utcoffset()
        return offset.total_seconds() if offset else 0.0

    def away(self, session: Session, race: Race) -> bool:
        """Whether the session takes place at the race and not at home."""
        trip = race.trip
        return bool(trip) and (race.day - session.day).days <= trip.arrive_before

    def place(self, session: Session, race: Race) -> tuple[float, float]:
        """Where the session starts; races at home are an hour's drive away."""
        if self.away(session, race) and race.trip:
            return race.trip.lat, race.trip.lon
        lat, lon = self.scenario.home
        return (lat + 0.31, lon + 0.12) if session.race else (lat, lon)

    def write(self, into: Path) -> None:
        """Puts the files into that directory."""
        for name, data in sorted(self.files.items()):
            path = into / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)


def file_name(session: Session, suffix: str = "fit") -> str:
    """The name of a session's file: its day, its local clock and its sport."""
    hour, minute = divmod(round(session.start_h * 60), 60)
    return f"{session.day:%Y}/{session.day}-{hour:02d}{minute:02d}-{session.sport}.{suffix}"


def swim_file(
    folder: Folder,
    session: Session,
    start: datetime,
    offset_s: float,
    rng: np.random.Generator,
    *,
    strap: bool = False,
) -> bytes:
    """A pool swim: lengths and no positions, and the heart rate where a strap kept it."""
    lengths = lengths_of(session, folder.scenario)
    elapsed_s = lengths[-1].start_s + lengths[-1].seconds
    writer = fit_open(start)
    fit_lengths(writer, lengths, start)
    if strap:
        track = record(folder.scenario, session, (0.0, 0.0), rng, step_s=1)
        fit_strap(writer, track.heart_rate_bpm, start)
    swum = sum(length.active for length in lengths)
    fit_session(
        writer,
        session,
        start,
        elapsed_s=elapsed_s,
        timer_s=elapsed_s,
        distance_m=25.0 * swum,
        rpe=RPE[session.kind],
    )
    return fit_close(writer, start + timedelta(seconds=elapsed_s), offset_s, 1)


def add_race(
    folder: Folder, race: Race, truth: RaceTruth, rng: np.random.Generator, *, step_s: int = 4
) -> None:
    """The race as one multisport file, or as a file a leg."""
    legs = race_sessions(folder.scenario, race, truth.finish_s)
    offset_s = folder.offset_s(legs[0], race)
    writer = fit_open(start_utc(legs[0], offset_s))
    metres, summaries = 0.0, []
    for leg in legs:
        start = start_utc(leg, offset_s)
        track = record(folder.scenario, leg, folder.place(leg, race), rng, step_s=step_s)
        if race.single_files and leg.sport == "transition":
            continue
        if race.single_files:
            writer, metres = fit_open(start), 0.0
        power = leg.sport == "cycling"
        fit_track(writer, track, start, power=power, distance_from_m=metres)
        metres += float(track.distance_m[-1])
        summary = (leg, start, float(leg.moving_s), float(track.distance_m[-1]))
        if race.single_files:
            _sessions(writer, [summary])
            end = start + timedelta(seconds=leg.moving_s)
            folder.files[file_name(leg)] = fit_close(writer, end, offset_s, 1)
        summaries.append(summary)
    if not race.single_files:
        _sessions(writer, summaries)
        end = start_utc(legs[0], offset_s) + timedelta(seconds=truth.finish_s)
        name = f"{race.day:%Y}/{race.day}-race.fit"
        folder.files[name] = fit_close(writer, end, offset_s, len(legs))


def _sessions(writer, summaries) -> None:
    for leg, start, seconds, metres in summaries:
        fit_session(
            writer, leg, start, elapsed_s=seconds, timer_s=seconds, distance_m=metres, rpe=None
        )
