"""Tracks of TCX and GPX files, while they are read and as the recordings that they make."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, note
from taperback.importer.formats.xml_files import Points
from taperback.importer.recording import LAP_COLUMNS, Recording
from taperback.importer.sports import sport_of_word


@dataclass
class Track:
    """One track or activity.

    Attributes:
        points: all of them, in the file's order.
        word: what the file calls its sport, empty where it does not.
        ends: after how many points each stretch ended.
        laps: rows of `LAP_COLUMNS`; empty where the format has none.
        cut_off: whether the file broke off inside a lap, whose totals are then unknown.
        damaged: whether the file broke off within it.
    """

    points: Points
    word: str = ""
    ends: list[int] = field(default_factory=list)
    laps: list[tuple[float, float, float]] = field(default_factory=list)
    cut_off: bool = False
    damaged: bool = False


def recordings_of(track: Track) -> list[Recording]:
    """The recordings that a track makes: one, or one an outing; none where no point has a time."""
    samples = track.points.frame()
    times = samples["time_s"].to_numpy()
    known = times[np.isfinite(times)]
    laps = pd.DataFrame(track.laps, columns=list(LAP_COLUMNS), dtype=float)
    if not len(known) + laps["start_s"].notna().sum():
        return []
    timed = samples[np.isfinite(times)].reset_index(drop=True)
    parts = [slice(None)] if len(laps) else outings(known)
    remarks = tuple(_remarks(track.word, times, parts))
    sport, sub_sport = sport_of_word(track.word)
    metres, timer = (float(laps[name].sum(min_count=1)) for name in ("distance_m", "duration_s"))
    lap_starts = laps["start_s"].dropna().tolist()[:1]
    lap_ends = (laps["start_s"] + laps["duration_s"]).dropna().tolist()[-1:]
    pauses = breaks(times, track.ends)
    paused_s = sum(until - since for since, until in pauses) - LIMITS.fit.timer_slack_s
    found = []
    for place, part in enumerate(parts):
        own = timed.iloc[part].reset_index(drop=True)
        own_s = own["time_s"].tolist()
        start = min([*lap_starts, *own_s[:1]])
        end = max([start, *own_s[-1:], *lap_ends])
        found.append(
            Recording(
                sport=sport,
                sub_sport=sub_sport,
                start_utc=datetime.fromtimestamp(start, tz=UTC),
                end_utc=datetime.fromtimestamp(end, tz=UTC),
                samples=own,
                # The timer's total may leave no room for them.
                pauses=() if end - start - timer < paused_s else pauses,
                laps=laps,
                total_timer_s=float("nan") if track.cut_off else timer,
                total_distance_m=float("nan") if track.cut_off else metres,
                damaged=track.damaged,
                remarks=remarks if not place else (),
            )
        )
    return found


def outings(times: np.ndarray) -> list[slice]:
    """The points of each outing in one track, without the few that lie alone.

    Args:
        times: of the points that have one [Unix s], in the file's order, shape (n,).
    """
    limits = LIMITS.formats
    step = np.diff(times)
    apart = (step > limits.outings_apart_s) & (step < limits.outings_within_s)
    edges = [0, *(np.flatnonzero(apart) + 1).tolist(), len(times)]
    parts = [slice(first, last) for first, last in pairwise(edges)]
    return [part for part in parts if part.stop - part.start >= limits.outing_points] or [
        slice(None)
    ]


def _remarks(word: str, times: np.ndarray, parts: list[slice]) -> list[Notice]:
    """What a person should know of a track: its word, points without a time, its outings."""
    remarks = []
    if word.strip() and not any(sport_of_word(word)):
        found = f"'{word.strip()[:40]}' is not known as a sport, so its sport is unknown"
        remarks.append(note("sport-word", found, "its copy from the watch may name the sport"))
    timed = int(np.count_nonzero(np.isfinite(times)))
    timeless = len(times) - timed
    if timeless > LIMITS.cleaning.taken_out_share * len(times):
        found = f"{timeless} of its {len(times)} points have no time and do not count"
        remarks.append(note("untimed", found))
    if len(parts) > 1:
        hours = LIMITS.formats.outings_apart_s // 3600
        found = f"one track holds {len(parts)} outings more than {hours} hours apart"
        remarks.append(note("outings", f"{found}, read as {len(parts)}"))
    if alone := timed - sum(len(range(*part.indices(timed))) for part in parts):
        found = f"{alone} of its {timed} points lie alone, hours or days from all others; left out"
        remarks.append(note("lone-points", found))
    return remarks


def breaks(times: np.ndarray, ends: list[int]) -> tuple[tuple[float, float], ...]:
    """Pauses (from, to) [Unix s] where a stretch ended and the next began later.

    Args:
        times: of all points [Unix s], in the file's order, shape (n,).
        ends: after how many points each stretch ended.
    """
    found = []
    for end in ends:
        if 0 < end < len(times) and times[end] > times[end - 1] + 1:
            found.append((float(times[end - 1]) + 1, float(times[end])))
    return tuple(found)
