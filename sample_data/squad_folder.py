"""Writes a squad: a folder an athlete, light enough to make two hundred, and what was planted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from statistics import NormalDist, mean

import numpy as np

from activity_files import fit_close, fit_open, fit_session, fit_track, start_utc
from athlete_folder import RPE, Folder, add_race, file_name, swim_file
from journal_files import journal_files
from plan import Session
from scenario import Effects, Race
from signals import Track, record
from squad_athletes import (
    BEST_CUTS,
    NOISE_PCT,
    PANIC_PCT,
    PANIC_SD,
    PERSONAL_SD,
    SHARED,
    Member,
)
from truth import TOLERANCE, RaceTruth, race_lines, race_truth, toml_text

STEP_S = 60
"""Seconds between readings; each change of effort has one as well."""

HEAD = """\
# What was planted in the squad, from its plan; written by generate.py, not by hand.
# Effects are in percent faster than expected; the curve over the volume cut is one wave of a
# cosine: nought at no cut, its top at best_cut, nought again at twice that. An athlete's own
# effects are the shared ones with a deviation of the stated spread. Tables called assessed tell
# the same per 0.1 of volume cut (mean slope from 0.1 to 0.5), per 0.1 of intensity kept, and per
# hour. What panic is worth beyond its volume and intensity has no factor of its own in the
# evidence: there it is noise.""".splitlines()

SLEEP = ("sleep_change_h", "last_three_h")
OUTCOMES = ("result_pct", "race_rpe")


def write_squad(into: Path, members: Iterable[Member]) -> None:
    """Writes each athlete's folder into `into`, and TRUTH.toml beside them."""
    lines = _squad_lines()
    for member in members:
        truths = write_member(member, into / member.profile.folder)
        lines += _member_lines(member, truths)
    (into / "TRUTH.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_member(member: Member, into: Path) -> list[RaceTruth]:
    """Writes one athlete's folder and returns what was planted before each race."""
    scenario = member.scenario
    folder = Folder(scenario)
    rng = np.random.default_rng(scenario.seed)
    truths = []
    for race in scenario.races:
        truth = race_truth(scenario, race, rng)
        truths.append(truth)
        for session in truth.sessions:
            _add_session(folder, race, session, rng)
        add_race(folder, race, truth, rng, step_s=STEP_S)
    folder.files |= journal_files(scenario, truths)
    folder.write(into)
    return truths


def _add_session(folder: Folder, race: Race, session: Session, rng: np.random.Generator) -> None:
    """One training session as a plain file."""
    offset_s = folder.offset_s(session, race)
    start = start_utc(session, offset_s)
    if session.sport == "swimming":
        folder.files[file_name(session)] = swim_file(folder, session, start, offset_s, rng)
        return
    place = folder.place(session, race)
    track = _lively(record(folder.scenario, session, place, rng, step_s=STEP_S, changes=True))
    writer = fit_open(start)
    fit_track(writer, track, start, power=session.sport == "cycling")
    seconds = float(track.time_s[-1]) + 1
    fit_session(
        writer,
        session,
        start,
        elapsed_s=seconds,
        timer_s=seconds,
        distance_m=float(track.distance_m[-1]),
        rpe=RPE[session.kind],
    )
    end = start + timedelta(seconds=seconds)
    folder.files[file_name(session)] = fit_close(writer, end, offset_s, 1)


def _lively(track: Track) -> Track:
    """No two readings in a row are the same, lest a step of a minute looks like a stuck sensor."""
    turn = np.arange(len(track.time_s)) % 2
    power, rate = (2 * np.round(v / 2) + turn for v in (track.power_w, track.heart_rate_bpm))
    return replace(track, power_w=power, heart_rate_bpm=rate)


def assessed(effects: Effects) -> dict[str, float]:
    """Effects in the units that the evidence tells them in [% faster].

    Volume cut and intensity kept per 0.1, the cut by its mean slope between 0.1 and 0.5; sleep and
    body clock per hour.
    """
    return {
        "volume_cut": (effects.gain_pct(0.5) - effects.gain_pct(0.1)) / 4,
        "intensity_kept": effects.per_intensity_kept_pct / 10,
        "sleep_change_h": effects.per_sleep_hour_pct,
        "body_clock_lag_h": effects.per_lag_hour_pct,
    }


def shared_assessed() -> dict[str, float]:
    """The mean over all athletes that could have been drawn.

    Only the place of the best cut bends it: the mean of curves whose tops lie apart is flatter than
    the curve whose top is their mean.
    """
    best = NormalDist(SHARED.best_cut, PERSONAL_SD["best_cut"])
    tops = np.clip([best.inv_cdf((k + 0.5) / 200) for k in range(200)], *BEST_CUTS)
    curves = [Effects(**vars(SHARED) | {"best_cut": float(top)}) for top in tops]
    values = [assessed(curve) for curve in curves]
    return {name: mean(value[name] for value in values) for name in values[0]}


def _squad_lines() -> list[str]:
    return [
        *HEAD,
        "",
        "[shared]",
        *_values(vars(SHARED) | {"panic_pct": PANIC_PCT}),
        "",
        "[shared.assessed]",
        *_values(shared_assessed()),
        "",
        "[spread]",
        *_values(PERSONAL_SD | {"panic_pct": PANIC_SD, "race_to_race_pct": NOISE_PCT}),
        "",
        "[tolerance]",
        "default = 0.02",
        *_values(TOLERANCE),
    ]


def _values(values: dict[str, float]) -> list[str]:
    return [f"{name} = {value:.4g}" for name, value in values.items()]


def _member_lines(member: Member, truths: list[RaceTruth]) -> list[str]:
    """What was planted in one athlete, as lines of TOML."""
    profile, scenario = member.profile, member.scenario
    hidden = (SLEEP if profile.nights_every > 1 else ()) + (() if profile.told else OUTCOMES)
    panics = ", ".join(str(race.day) for race in scenario.races if race.panic)
    lines = [
        "",
        "[[athletes]]",
        f'folder = "{profile.folder}"',
        f"name = {toml_text(profile.name)}",
        f'discipline = "{profile.discipline}"',
        f"results = {len(truths) if profile.told else 0}",
        f"panics = [{panics}]",
        f"not_told = [{', '.join(map(toml_text, hidden))}]",
        "",
        "[athletes.effects]",
        *_values(vars(scenario.effects) | {"panic_pct": member.panic_pct}),
        "",
        "[athletes.assessed]",
        *_values(assessed(scenario.effects)),
    ]
    for truth in truths:
        lines += ["", "[[athletes.races]]", *race_lines(truth, hidden)]
    return lines
