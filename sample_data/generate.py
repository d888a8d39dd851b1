"""Writes the sample athlete's folder and TRUTH.toml, the same bytes each time.

    python sample_data/generate.py [DIR]
    python sample_data/generate.py --squad DIR [--athletes 12] [--races N] [--seed N]

DIR is where the folder is written, by default beside this file. A squad is written into a directory
of its own: a folder an athlete and the TRUTH.toml of the squad.
"""

from __future__ import annotations

import argparse
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
from journal_files import journal_files
from plan import Session, sessions_before
from scenario import TOVE, Race, Scenario
from signals import record
from squad_athletes import draw_squad
from squad_folder import write_squad
from truth import RaceTruth, race_truth, truth_toml


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
    folder.write(into)
    return truths


def _add_session(folder: Folder, race: Race, session: Session, rng: np.random.Generator) -> None:
    """One training session, in the format and with the quirks that its turn brings."""
    scenario, turn = folder.scenario, len(folder.files)
    offset_s = folder.offset_s(session, race)
    start = start_utc(session, offset_s)
    if session.sport == "swimming":
        strap = turn % 6 == 0
        data = swim_file(folder, session, start, offset_s, rng, strap=strap)
        folder.files[file_name(session)] = data
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
        folder.files[file_name(session, "gpx")] = gpx_file(track, session, start)
        return
    if session.sport == "cycling" and turn % 60 == 13:
        folder.files[file_name(session, "tcx")] = tcx_file(track, session, start)
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
    folder.files[file_name(session)] = data
    if turn == 44 or (session.sport == "running" and turn == 45):
        # the same run again in a second format, as two services would hand it over
        folder.files[file_name(session, "gpx").replace(".gpx", "-again.gpx")] = gpx_file(
            track, session, start
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


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    beside = Path(__file__).resolve().parent
    parser.add_argument("into", nargs="?", type=Path, default=beside, metavar="DIR")
    parser.add_argument("--squad", type=Path, metavar="DIR", help="write an invented squad there")
    parser.add_argument("--athletes", type=int, default=12, help="how many are in the squad")
    parser.add_argument("--races", type=int, help="races of each, to compare squads of any size")
    parser.add_argument("--seed", type=int, default=12, help="another seed is another squad")
    asked = parser.parse_args()
    if min(asked.athletes, asked.races or 1) < 1 or asked.races == 0 or asked.seed < 0:
        parser.error("--athletes and --races count from 1, --seed from 0")
    if asked.squad and asked.squad.exists() and not _is_empty(asked.squad):
        parser.error(f"{asked.squad} is not empty; name a new directory, so that nothing is mixed")
    return asked


def _is_empty(path: Path) -> bool:
    return path.is_dir() and not any(path.iterdir())


if __name__ == "__main__":
    asked = _asked()
    if asked.squad:
        write_squad(asked.squad, draw_squad(asked.athletes, seed=asked.seed, races=asked.races))
    else:
        main(asked.into)
