"""What the invented athlete does besides training, and the diary that she keeps of race weeks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from activity_files import fit_close, fit_open, fit_session, fit_track, start_utc
from athlete_folder import Folder, file_name
from plan import Segment, Session
from scenario import Race, Scenario
from signals import record
from truth import RaceTruth

_COMMUTE = (1, "e_biking", Segment(1500, 0.45), 7.75)
_STRENGTH = (4, "training", Segment(2700, 0.3), 19.0)
"""Day of the week, 0 being seven days before a race; sport; what is done; local hour."""

DIARY_NOTES = {
    ("Heronmere Triathlon", -1): "bike checked and early to bed",
    ("Saltgrass Triathlon", -4): "legs fresh",
    ("Tidewall Triathlon", -5): "four hours on the bike because I felt behind",
    ("Tidewall Triathlon", -2): "heavy legs",
    ("Gullcliff Triathlon", -6): "boxes all day",
    ("Marrowbank Triathlon", -3): "landed in the afternoon at 33 degrees",
}


def add_everyday(folder: Folder, truths: list[RaceTruth]) -> None:
    """Her life beside training, her diary, and a run that the watch missed."""
    rng = np.random.default_rng(folder.scenario.seed + 1)
    for race in folder.scenario.races[:2]:
        _add_life(folder, race, rng)
    folder.files["sessions.csv"] = _lose_a_session(folder, truths[:2][-1]).encode()
    folder.files["days.csv"] = _diary(folder.scenario, truths).encode()


def _add_life(folder: Folder, race: Race, rng: np.random.Generator) -> None:
    """A commute on an e-bike and a strength session in each week before the race."""
    for week in range(8):
        first = race.day - timedelta(days=7 * (8 - week))
        for place, sport, segment, hour in (_COMMUTE, _STRENGTH):
            session = Session(first + timedelta(days=place), hour, sport, "easy", (segment,))
            folder.files[file_name(session)] = _file(folder, race, session, rng)


def _file(folder: Folder, race: Race, session: Session, rng: np.random.Generator) -> bytes:
    """The session as FIT; strength has a summary and no readings of the way."""
    offset_s = folder.offset_s(session, race)
    start = start_utc(session, offset_s)
    writer = fit_open(start)
    metres, sub_sport = 0.0, "strength_training"
    if session.sport == "e_biking":
        ridden = replace(session, sport="cycling")
        track = record(folder.scenario, ridden, folder.place(session, race), rng, step_s=10)
        fit_track(writer, track, start, power=False)
        metres, sub_sport = float(track.distance_m[-1]), "generic"
    seconds = float(session.moving_s)
    fit_session(
        writer,
        session,
        start,
        elapsed_s=seconds,
        timer_s=seconds,
        distance_m=metres,
        rpe=None,
        sub_sport=sub_sport,
    )
    return fit_close(writer, start + timedelta(seconds=seconds), offset_s, 1)


def _lose_a_session(folder: Folder, truth: RaceTruth) -> str:
    """Takes the file of one easy run away, as a flat watch would; it is typed as `sessions.csv`."""
    lost = next(
        session
        for session in truth.sessions
        if (session.sport, session.kind) == ("running", "easy")
        and session.day >= truth.race.day - timedelta(days=28)
    )
    del folder.files[file_name(lost)]
    minutes, seconds = divmod(lost.moving_s, 60)
    duration = f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"
    return (
        "date,sport,duration,distance_km,hard_min,rpe,notes\n"
        f"{lost.day},running,{duration},,0,3,watch battery flat\n"
    )


def _diary(scenario: Scenario, truths: list[RaceTruth]) -> str:
    """The diary: resting heart rate in the weeks before each race, and ratings near it."""
    rng = np.random.default_rng(scenario.seed + 2)
    lines = ["date,fatigue,stress,soreness,poor_sleep,resting_hr_bpm,on_feet_h,massage,notes"]
    for truth in truths:
        lines += _of_race(scenario, truth, rng)
    return "\n".join(lines) + "\n"


def _of_race(scenario: Scenario, truth: RaceTruth, rng: np.random.Generator) -> list[str]:
    rows = []
    for before in range(-56, 1):
        if before < -21 and before % 3:
            continue
        day = truth.race.day + timedelta(days=before)
        rate = _resting_bpm(scenario, truth, day, rng)
        ratings = ",".join(str(value) for value in _ratings(truth, day, before, rng))
        typed = ratings if before >= -21 else ",,,"
        massage = "y" if before == -3 else "n" if before in (-2, -1) else ""
        rows.append(
            f"{day},{typed},{rate},,{massage},{DIARY_NOTES.get((truth.race.name, before), '')}"
        )
    return rows


def _resting_bpm(scenario: Scenario, truth: RaceTruth, day: date, rng: np.random.Generator) -> int:
    """The resting heart rate of a morning; a short night costs three beats an hour."""
    short_h = max(scenario.usual_sleep_h - truth.nights[day], 0.0)
    return round(scenario.resting_bpm + 3 * short_h + rng.standard_normal())


def _ratings(truth: RaceTruth, day: date, before: int, rng: np.random.Generator) -> list[int]:
    """Fatigue, stress, soreness and poor sleep: worn where she trained much, nervous at the end."""
    trained_h = sum(s.moving_s for s in truth.sessions if 0 < (day - s.day).days <= 2) / 3600
    levels = (
        1.5 + trained_h,
        2.0 + max(0, before + 5) * 0.7,
        1.2 + 0.8 * trained_h,
        2.0 + max(7.3 - truth.nights[day], 0.0) * 1.5,
    )
    noise = 0.5 * rng.standard_normal(4)
    return [int(min(max(round(x + e), 1), 7)) for x, e in zip(levels, noise, strict=True)]
