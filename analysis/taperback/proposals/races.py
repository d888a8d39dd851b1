"""Races that a history of legs shows without anybody's word."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.importer.sports import SPORT_TABLE
from taperback.journal.proposed import DOUBTFUL, Cells
from taperback.journal.times import about
from taperback.proposals.signs import Habit, Signs


def race_rows(legs: pd.DataFrame) -> list[Cells]:
    """Races that the files show, in order of date; doubtful ones have a word under `leave_out`.

    A day has one race, unless it holds several short starts, as a swim meet does.
    """
    by_day: dict[str, list[Cells]] = {}
    legs = legs[legs["elapsed_s"].notna()]  # a session of unknown length tells of no race
    for row in _multisport(legs):
        by_day.setdefault(row["date"], []).append(row)
    for sport, of_sport in legs[legs["legs_in_file"] == 1].groupby("sport", sort=False):
        for day, rows in _of_sport(str(sport), of_sport, legs).items():
            if day not in by_day:
                by_day[day] = rows
    return [row for day in sorted(by_day) for row in by_day[day]]


def _multisport(legs: pd.DataFrame) -> Iterator[Cells]:
    """Sports that follow each other as in a race, in one file or in several."""
    limits = LIMITS.draft
    held = legs[legs["sport"] != "transition"].reset_index(drop=True)
    ends = held["start_utc"] + pd.to_timedelta(held["elapsed_s"], unit="s")
    gaps = (held["start_utc"] - ends.shift()).dt.total_seconds()
    close = gaps.between(-limits.gap_min * 60, limits.gap_min * 60).to_numpy()
    names = tuple(held["sport"])
    for kind, pattern in SPORT_TABLE.whole_races.items():
        for first in range(len(names) - 2):
            if names[first : first + 3] == pattern and close[first + 1 : first + 3].all():
                parts = held.iloc[first : first + 3]
                distance = _standard(parts, limits.multisport_km.get(kind, {}))
                if distance:
                    yield _multisport_row(kind, distance, parts)


def _standard(parts: pd.DataFrame, distances: Mapping[str, tuple[float, float, float]]) -> str:
    """The standard distance that all parts come close to, or empty."""
    within = LIMITS.draft.multisport_tolerance
    km = parts["distance_m"].to_numpy(float) / 1000
    for name, standard in distances.items():
        if (np.abs(km / np.array(standard) - 1) <= within).all():
            return str(name)
    return ""


def _multisport_row(kind: str, distance: str, parts: pd.DataFrame) -> Cells:
    ends = parts["start_utc"] + pd.to_timedelta(parts["elapsed_s"], unit="s")
    seconds = (ends.max() - parts["start_utc"].min()).total_seconds()
    where = _where(tuple(dict.fromkeys(parts["file"])))
    return {
        "date": parts["local_day"].iloc[0].isoformat(),
        "sports": kind,
        "distance": distance,
        "finish_time": about(seconds),
        "proposed": f"{kind} of {about(seconds)} in {where}; {FILE_TIME}",
    }


@dataclass(frozen=True)
class _Effort:
    """One session that could be a race: its rows, in one file or in several that follow closely."""

    own: list[int]
    day: date
    metres: float
    seconds: float
    files: tuple[str, ...]

    @property
    def start_day(self) -> int:
        return self.day.toordinal()


def _of_sport(sport: str, legs: pd.DataFrame, all_legs: pd.DataFrame) -> dict[str, list[Cells]]:
    """Races of one sport by day: over a racing distance, or far longer than any training."""
    limits = LIMITS.draft
    legs = legs.sort_values("start_utc", ignore_index=True)
    habit = Habit(legs, max(day.toordinal() for day in all_legs["local_day"]))
    efforts = _efforts(legs, limits.gap_min)
    found = _far_longer(sport, efforts, habit)
    for effort in efforts:
        distance = _racing_distance(sport, effort.metres)
        signs = habit.signs(effort.own) if distance else None
        sure = _sure(signs, effort.seconds) if signs else None
        if signs is None or sure is None:
            continue
        rows = found.setdefault(effort.day.isoformat(), [])
        short = effort.seconds <= 60 * limits.short_start_min
        if not rows or (short and len(effort.own) == 1):
            rows.append(_row(sport, distance, effort, signs, sure))
    return found


def _efforts(legs: pd.DataFrame, gap_min: float) -> list[_Effort]:
    """Each session by itself, and those that follow each other within minutes as one."""
    starts = legs["start_utc"]
    ends = starts + pd.to_timedelta(legs["elapsed_s"].fillna(0), unit="s")
    gaps = (starts - ends.shift()).dt.total_seconds() / 60
    chain = (~(gaps <= gap_min)).cumsum()
    joined = [list(rows) for rows in legs.groupby(chain).indices.values() if len(rows) > 1]
    efforts = []
    for own in [*([place] for place in range(len(legs))), *joined]:
        metres = float(np.nansum(legs["distance_m"].to_numpy(float)[own]))
        seconds = (ends.iloc[own].max() - starts.iloc[own[0]]).total_seconds()
        files = tuple(dict.fromkeys(legs["file"].iloc[own]))
        efforts.append(_Effort(own, legs["local_day"].iloc[own[0]], metres, seconds, files))
    return efforts


def _sure(signs: Signs, seconds: float) -> bool | None:
    """Whether a session over a racing distance is a race: surely, perhaps, or (None) not.

    A long race may be no faster than daily training: what came before and after it shows it, where
    it is the fastest or longer than training is. A short one must be the fastest of its length and
    far from the habit.
    """
    limits = LIMITS.draft
    all_out = signs.fastest and signs.faster >= limits.faster_than_habit
    if seconds >= 60 * limits.long_race_min:
        shown = signs.around >= 2 and (signs.fastest_long or signs.longer >= 1)
        return True if all_out or shown else None
    if all_out:
        return True
    perhaps = signs.faster >= limits.perhaps_faster and signs.fastest and signs.around >= 2
    return False if perhaps else None


def _far_longer(sport: str, efforts: list[_Effort], habit: Habit) -> dict[str, list[Cells]]:
    """Efforts far longer than any training; those of days in a row are stages of one event."""
    limits = LIMITS.draft
    by_day: dict[int, tuple[_Effort, Signs]] = {}
    for effort in sorted(efforts, key=lambda effort: effort.seconds):
        signs = habit.signs(effort.own)
        if (
            signs
            and signs.longer >= limits.far_longer_ratio
            and effort.seconds >= 60 * limits.long_race_min
        ):
            by_day[effort.start_day] = (effort, signs)  # of one day the longest
    found: dict[str, list[Cells]] = {}
    for days in _in_a_row(sorted(by_day)):
        first, last = by_day[days[0]][0], by_day[days[-1]][0]
        event = f"stages from {first.day.isoformat()}" if len(days) > 1 else ""
        signs = habit.signs(first.own, last.own[-1])
        around = signs.around if signs else 0
        for day in days if around else ():
            effort, own = by_day[day]
            distance = _racing_distance(sport, effort.metres)
            if not distance and effort.metres > 0:
                distance = f"{effort.metres / 1000:.0f} km"
            of_event = replace(own, eased=signs.eased, rested=signs.rested) if signs else own
            row = _row(sport, distance, effort, of_event, around > 1 or len(days) > 1)
            found[effort.day.isoformat()] = [row | ({"event": event} if event else {})]
    return found


def _in_a_row(days: list[int]) -> list[list[int]]:
    """Days grouped where one follows the other."""
    groups: list[list[int]] = []
    for day in days:
        if groups and day - groups[-1][-1] == 1:
            groups[-1].append(day)
        else:
            groups.append([day])
    return groups


def _row(sport: str, distance: str, effort: _Effort, signs: Signs, sure: bool) -> Cells:
    """A proposed race with its evidence; its time is the file's until a better one is typed."""
    what = sport.replace("_", " ")
    evidence = [f"{distance or what} in {about(effort.seconds)}", *signs.words(what)]
    row = {
        "date": effort.day.isoformat(),
        "sports": sport,
        "distance": distance,
        "finish_time": about(effort.seconds),
        "proposed": f"{', '.join(evidence)}, in {_where(effort.files)}; {FILE_TIME}",
    }
    return row if sure else row | {"leave_out": DOUBTFUL}


FILE_TIME = "finish_time is the file's"
"""Marks a time that nobody has typed."""


def _where(files: tuple[str, ...]) -> str:
    return files[0] if len(files) == 1 else f"{files[0]} and {len(files) - 1} more"


def _racing_distance(sport: str, metres: float) -> str:
    """The sport's racing distance that a session comes close to; empty where there is none."""
    limits = LIMITS.draft
    short, long = limits.race_tolerance
    for name, standard in limits.race_m.get(sport, {}).items():
        if 1 - short <= metres / standard <= 1 + long:
            return str(name)
    return ""
