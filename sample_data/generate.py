"""Writes the sample athlete's folder and TRUTH.toml, the same bytes each time.

    python sample_data/generate.py [DIR]

DIR is where the folder is written, by default beside this file.
"""

from __future__ import annotations

import gzip
import io
import sys
import zipfile
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
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
    gpx_file,
    sleep_file,
    start_utc,
    tcx_file,
)
from journal_files import journal_files
from plan import Session, race_sessions, sessions_before
from scenario import TOVE, Race, Scenario
from signals import lengths_of, record
from truth import RaceTruth, race_truth, truth_toml

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


def write_athlete(scenario: Scenario, into: Path) -> list[RaceTruth]:
    """Writes one athlete's folder into `into` and returns what was planted."""
    folder = Folder(scenario)
    rng = np.random.default_rng(scenario.seed)
    truths = []
    for place, race in enumerate(scenario.races):
        truth = race_truth(scenario, race, rng)
        truths.append(truth)
        for session in sessions_before(scenario, race):
            _add_session(folder, race, session, rng)
        _add_race(folder, race, truth, rng)
        if race.sleep_files:
            _add_nights(folder, truth)
        if place == 0:
            _add_odd_files(folder)
    _pack(folder)
    folder.files |= journal_files(scenario, truths)
    for name, data in sorted(folder.files.items()):
        path = into / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return truths


def _name(session: Session, suffix: str = "fit") -> str:
    hour, minute = divmod(round(session.start_h * 60), 60)
    return f"{session.day:%Y}/{session.day}-{hour:02d}{minute:02d}-{session.sport}.{suffix}"


def _add_session(folder: Folder, race: Race, session: Session, rng: np.random.Generator) -> None:
    """One training session, in the format and with the quirks that its turn brings."""
    scenario, turn = folder.scenario, len(folder.files)
    offset_s = folder.offset_s(session, race)
    start = start_utc(session, offset_s)
    if session.sport == "swimming":
        folder.files[_name(session)] = _swim_file(folder, session, start, offset_s, rng)
        return
    long_ride = session.moving_s > 7200
    track = record(
        scenario,
        session,
        folder.place(session, race),
        rng,
        step_s=10 if long_ride else 5,
        pauses=2 if turn % 5 == 0 else 0,
    )
    steady_run = session.sport == "running" and session.kind == "easy"
    if steady_run and turn % 40 == 7:
        folder.files[_name(session, "gpx")] = gpx_file(track, session, start)
        return
    if session.sport == "cycling" and turn % 60 == 13:
        folder.files[_name(session, "tcx")] = tcx_file(track, session, start)
        return
    writer = fit_open(start, big_endian=turn % 11 == 0)
    middle = len(track.time_s) // 2
    fit_track(
        writer,
        track,
        start,
        power=session.sport == "cycling",
        developer=turn % 17 == 0,
        dropout=(middle, middle + 12) if turn % 9 == 0 else (0, 0),
        spike_at=middle - 20 if turn % 13 == 0 else -1,
    )
    elapsed_s = float(track.time_s[-1]) + 1
    fit_session(
        writer,
        session,
        start,
        elapsed_s=elapsed_s,
        timer_s=elapsed_s - sum(b - a for a, b in track.pauses),
        distance_m=float(track.distance_m[-1]),
        rpe=RPE[session.kind] if turn % 4 else None,
    )
    data = fit_close(writer, start + timedelta(seconds=elapsed_s), offset_s, 1)
    folder.files[_name(session)] = data
    if turn == 44 or (session.sport == "running" and turn == 45):
        # the same run again in a second format, as two services would hand it over
        folder.files[_name(session, "gpx").replace(".gpx", "-again.gpx")] = gpx_file(
            track, session, start
        )


def _swim_file(
    folder: Folder,
    session: Session,
    start: datetime,
    offset_s: float,
    rng: np.random.Generator,
) -> bytes:
    """A pool swim: lengths and no positions; now and then a strap that kept the heart rate."""
    lengths = lengths_of(session, folder.scenario)
    elapsed_s = lengths[-1].start_s + lengths[-1].seconds
    writer = fit_open(start)
    fit_lengths(writer, lengths, start)
    if len(folder.files) % 6 == 0:
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


def _add_race(folder: Folder, race: Race, truth: RaceTruth, rng: np.random.Generator) -> None:
    """The race as one multisport file, or as a file a leg."""
    legs = race_sessions(folder.scenario, race, truth.finish_s)
    offset_s = folder.offset_s(legs[0], race)
    writer = fit_open(start_utc(legs[0], offset_s))
    metres, summaries = 0.0, []
    for leg in legs:
        start = start_utc(leg, offset_s)
        track = record(folder.scenario, leg, folder.place(leg, race), rng, step_s=4)
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
            folder.files[_name(leg)] = fit_close(writer, end, offset_s, 1)
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


def _add_nights(folder: Folder, truth: RaceTruth) -> None:
    """A sleep file for each night of one race's weeks."""
    zone = ZoneInfo(folder.scenario.home_zone)
    for day, hours in truth.nights.items():
        woke = datetime.combine(day, time(6, 10), zone).astimezone(UTC)
        folder.files[f"sleep/{day}.fit"] = sleep_file(woke, hours)


def _add_odd_files(folder: Folder) -> None:
    """What every real folder holds: a file cut off on its way, and one of no bytes."""
    whole = next(name for name in sorted(folder.files) if name.endswith("-running.fit"))
    data = folder.files[whole]
    folder.files[whole.replace(".fit", "-cut.fit")] = data[: int(len(data) * 0.6)]
    folder.files["2024/2024-04-02-0000-running.fit"] = b""


def _pack(folder: Folder) -> None:
    """Some files come gzipped, and a week of them in one archive."""
    names = sorted(name for name in folder.files if name.endswith(".fit") and folder.files[name])
    single = next(name for name in names if "cycling" in name)
    folder.files[f"{single}.gz"] = gzip.compress(folder.files.pop(single), mtime=0)
    together = [name for name in names if "2024-06-1" in name]
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in together:
            info = zipfile.ZipInfo(Path(name).name, (2024, 6, 30, 12, 0, 0))
            archive.writestr(info, folder.files.pop(name), zipfile.ZIP_DEFLATED)
    folder.files["2024/export-june.zip"] = packed.getvalue()


def main(into: Path) -> None:
    """Writes the sample and what was planted in it."""
    truths = write_athlete(TOVE, into / TOVE.folder)
    (into / "TRUTH.toml").write_text(truth_toml(TOVE, truths), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent)
