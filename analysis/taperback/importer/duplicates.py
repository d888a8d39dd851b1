"""The same activity in two files is used once."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.importer.formats.formats import richness
from taperback.importer.local_day import unix_seconds

COPY_COLUMNS = ("file", "leg_index", "same_as", "reason")

_CHANNELS = ("power_seconds", "heart_rate_seconds", "speed_seconds")
_NAMELESS = ("generic", "")
_ALONE = ("file_utc_offset_s", "session_rpe", "feel")
_HEART = ("heart_rate_seconds", "mean_heart_rate_bpm", "max_heart_rate_bpm", "half_heart_rate_bpm")
_NAMES = (
    "damaged",
    "sport",
    "file",
    "leg_index",
    "leg_id",
    "digest",
    "file_format",
    "legs_in_file",
)


def drop_copies(legs: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """(legs with each activity once, the others with columns `COPY_COLUMNS`).

    Two legs are the same activity when their sport is the same, or one does not name it, and they
    overlap over 80% of the shorter. The richer one stays: a sound one, then one that names its
    sport, then more channels, then part of a multisport file, then the richer format, then more
    moving time, then the file first by name. But one that moves much longer than all those that it
    repeats stays instead of them, since they are pieces of it. What only a copy knows (its local
    offset, the effort typed, heart rate) is kept from it.
    """
    starts_s = unix_seconds(legs["start_utc"])
    lasted_s = np.clip(legs["elapsed_s"].to_numpy(float), 1.0, LIMITS.copies.longest_s)
    about = legs[list(_NAMES)].assign(
        start_s=starts_s,
        end_s=starts_s + lasted_s,
        moving_s=legs["moving_s"].fillna(0.0),
        channels=sum(legs[name].notna().astype(int) for name in _CHANNELS),
    )
    every = list(about.itertuples(index=False))
    same_as = _repeats(every)
    copies = []
    for place, stays in same_as.items():
        leg, other = every[place], every[stays]
        reason = "the same bytes" if leg.digest == other.digest else "the same time and sport"
        copies.append((leg.file, leg.leg_index, other.leg_id, reason))
    frame = pd.DataFrame(copies, columns=list(COPY_COLUMNS))
    return (
        _completed(legs, same_as),
        frame.sort_values(["file", "leg_index"], ignore_index=True),
    )


def _completed(legs: pd.DataFrame, same_as: dict[int, int]) -> pd.DataFrame:
    """The legs that stay, with what only their copies know."""
    columns = {name: legs[name].tolist() for name in (*_ALONE, *_HEART)}
    filled = False
    for copy, stays in same_as.items():
        for name in _ALONE:
            value, known = columns[name][copy], columns[name][stays]
            if value == value and known != known:
                columns[name][stays], filled = value, True
        if columns[_HEART[0]][stays] is None and columns[_HEART[0]][copy] is not None:
            filled = True
            for name in _HEART:
                columns[name][stays] = columns[name][copy]
    if filled:
        legs = legs.assign(
            **{name: pd.Series(values, index=legs.index) for name, values in columns.items()}
        )
    return legs.drop(index=legs.index[list(same_as)]).reset_index(drop=True)


def _rank(leg: Any) -> tuple[Any, ...]:
    """What the richer of two legs has less of, in the order in which it counts."""
    return (
        bool(leg.damaged),
        leg.sport in _NAMELESS,
        -leg.channels,
        leg.legs_in_file == 1,
        richness(leg.file_format),
        -leg.moving_s,
        leg.file,
        leg.leg_index,
    )


def _repeats(every: list[Any]) -> dict[int, int]:
    """Place of each leg that goes -> place of the one that stays for it."""
    limits = LIMITS.copies
    kept: dict[int, Any] = {}
    same_as: dict[int, int] = {}
    by_hour: dict[int, list[int]] = {}
    for place in sorted(range(len(every)), key=lambda place: _rank(every[place])):
        leg = every[place]
        hours = range(int(leg.start_s // 3600), int(leg.end_s // 3600) + 1)
        near = {other for hour in hours for other in by_hour.get(hour, ()) if other in kept}
        same = [o for o in sorted(near) if _is_same(leg, kept[o], limits.overlap_share)]
        if same and leg.moving_s <= limits.much_longer * sum(kept[o].moving_s for o in same):
            same_as[place] = same[0]
            continue
        if same:
            kept = {at: other for at, other in kept.items() if at not in same}
            same_as = {at: place if stays in same else stays for at, stays in same_as.items()}
            same_as |= dict.fromkeys(same, place)
        kept[place] = leg
        for hour in hours:
            by_hour.setdefault(hour, []).append(place)
    return same_as


def _is_same(leg: Any, other: Any, share: float) -> bool:
    overlap = min(leg.end_s, other.end_s) - max(leg.start_s, other.start_s)
    shorter = min(leg.end_s - leg.start_s, other.end_s - other.start_s)
    alike = leg.sport == other.sport or leg.sport in _NAMELESS or other.sport in _NAMELESS
    return alike and overlap > share * shorter
