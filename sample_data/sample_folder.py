"""Writes the sample athlete's folder, in every format and with what every real folder holds."""

from __future__ import annotations

import gzip
import io
import zipfile
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from activity_files import (
    fit_close,
    fit_open,
    fit_session,
    fit_track,
    gpx_file,
    sleep_file,
    start_utc,
    tcx_file,
)
from athlete_folder import RPE, Folder, add_race, file_name, swim_file
from everyday_life import add_everyday
from journal_files import journal_files
from plan import Session, sessions_before
from scenario import Race, Scenario
from signals import Track, record
from truth import RaceTruth, race_truth


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
        add_race(folder, race, truth, rng)
        if race.sleep_files:
            _add_nights(folder, truth)
        if place == 0:
            _add_odd_files(folder)
    _pack(folder)
    folder.files |= journal_files(scenario, truths)
    if scenario.everyday:
        add_everyday(folder, truths)
    folder.write(into)
    return truths


def _add_session(folder: Folder, race: Race, session: Session, rng: np.random.Generator) -> None:
    """One training session, in the format and with the quirks that its turn brings."""
    turn = len(folder.files)
    offset_s = folder.offset_s(session, race)
    start = start_utc(session, offset_s)
    if session.sport == "swimming":
        data = swim_file(folder, session, start, offset_s, rng, strap=turn % 6 == 0)
        folder.files[file_name(session)] = data
        return
    track = record(
        folder.scenario,
        session,
        folder.place(session, race),
        rng,
        step_s=10 if session.moving_s > _LONG_S else 5,
        pauses=2 if turn % 5 == 0 else 0,
    )
    running = session.sport == "running"
    if running and session.kind == "easy" and turn % 40 == 7:
        folder.files[file_name(session, "gpx")] = gpx_file(track, session, start)
    elif session.sport == "cycling" and turn % 60 == 13:
        folder.files[file_name(session, "tcx")] = tcx_file(track, session, start)
    else:
        folder.files[file_name(session)] = _fit_file(session, track, start, offset_s, turn)
        if turn == 44 or (running and turn == 45):
            # the same run again in a second format, as two services would hand it over
            again = file_name(session, "gpx").replace(".gpx", "-again.gpx")
            folder.files[again] = gpx_file(track, session, start)


_LONG_S = 7200
"""A session longer than this is recorded every ten seconds, a shorter one every five."""


def _fit_file(session: Session, track: Track, start: datetime, offset_s: float, turn: int) -> bytes:
    """The session as FIT; now and then of another byte order, with a gap or a wrong heart rate."""
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
    return fit_close(writer, start + timedelta(seconds=elapsed_s), offset_s, 1)


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
    alone = gzip.compress(folder.files.pop(single), mtime=0)
    # Byte 9 names the system; versions of Python differ in it (RFC 1952; 3 is Unix).
    folder.files[f"{single}.gz"] = alone[:9] + b"\x03" + alone[10:]
    together = [name for name in names if "2024-06-1" in name]
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in together:
            info = zipfile.ZipInfo(Path(name).name, (2024, 6, 30, 12, 0, 0))
            archive.writestr(info, folder.files.pop(name), zipfile.ZIP_DEFLATED)
    folder.files["2024/export-june.zip"] = packed.getvalue()
