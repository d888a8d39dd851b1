"""What the importer hands over: one summary row a leg, and the nights that files hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Annotated, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.common.wording import count
from taperback.importer.file_names import Moment, named_moment

POWER_BIN_W = 5
"""Width of a bin of `LegSummary.power_seconds` [W]."""
HEART_RATE_BIN_BPM = 1
"""Width of a bin of `LegSummary.heart_rate_seconds` [bpm]."""
SPEED_BIN_MPS = 0.05
"""Width of a bin of `LegSummary.speed_seconds` [m/s]."""

BEST_DURATIONS_S = (
    5,
    15,
    30,
    60,
    120,
    180,
    240,
    300,
    360,
    480,
    600,
    720,
    900,
    1200,
    1800,
    2400,
    3600,
)
"""Durations of the best mean efforts that a summary keeps [s]."""


class Within(NamedTuple):
    """What a kept number or array may hold, as its type is annotated.

    Attributes:
        least, most: bounds of every number; NaN, which is unknown, lies within any.
        length: how long an array is; None where that varies.
        known: NaN is not allowed.
    """

    least: float
    most: float
    length: int | None = None
    known: bool = False


Seconds = Annotated[float, Within(0, 1e7)]
Metres = Annotated[float, Within(0, 1e8)]
Watts = Annotated[float, Within(0, 10_000)]
Bpm = Annotated[float, Within(0, 300)]
Mps = Annotated[float, Within(0, 200)]
Latitude = Annotated[float, Within(-90, 90)]
Longitude = Annotated[float, Within(-180, 180)]

Counts = NDArray[np.int32]
Numbers = NDArray[np.float64]
SecondsPerBin = Annotated[Counts, Within(0, 1e7)]
BestMeans = Annotated[Numbers, Within(0, 10_000, len(BEST_DURATIONS_S))]
Halves = Annotated[Numbers, Within(0, 10_000, 2)]

THRESHOLDS = (
    "critical_power_w",
    "second_threshold_heart_rate_bpm",
    "max_heart_rate_bpm",
    "resting_heart_rate_bpm",
)
"""Names of settings that a file may hold."""


@dataclass(frozen=True)
class Bout:
    """One stretch of work inside a session, set apart from the easier time around it.

    Attributes:
        start_s: seconds from the leg's start.
        duration_s: how long it lasted [s].
        distance_m: how far it went [m], NaN where unknown.
        speed_mps, power_w, heart_rate_bpm: means over the stretch, NaN where not measured.
    """

    start_s: Seconds
    duration_s: Seconds
    distance_m: Metres
    speed_mps: Mps
    power_w: Watts
    heart_rate_bpm: Bpm


@dataclass(frozen=True)
class LegSummary:
    """All that later stages need of one leg, so that its file is read once.

    A *leg* is a stretch of one sport in one activity file. Every number that was not measured is
    NaN, every array that was not measured is None: absent is never zero. The types say how a field
    is kept and what it may hold (`store/codec.py`); a new field needs nothing beside its line here.

    Attributes:
        file: path relative to the athlete's folder; `archive.zip!inner.fit` inside an archive.
        digest: SHA-256 of the activity file's bytes, in hex (after decompression).
        leg_index: 0-based place of the leg within its file.
        legs_in_file: how many legs the file holds; above 1 for a multisport file.
        file_format: `fit`, `tcx` or `gpx`.
        sport, sub_sport: names of the FIT profile; sub_sport may be empty.
        start_utc: when it started, timezone-aware, in UTC.
        file_utc_offset_s: offset of the local clock that the file gives and that is plausible.
        zone: IANA zone of the start position, empty where there is no position.
        elapsed_s: from start to end, pauses included [s].
        moving_s: time that counts as training: pauses and standing out [s].
        distance_m, ascent_m: [m].
        power_seconds: seconds per bin of power; bin k is [5k, 5k + 5) W.
        heart_rate_seconds: seconds per bin of heart rate; bin k is k bpm.
        speed_seconds: seconds per bin of speed; bin k is [0.05k, 0.05k + 0.05) m/s.
        best_power_w, best_speed_mps: best means over `BEST_DURATIONS_S`, NaN where too short;
            shape (17,).
        mean_heart_rate_bpm, max_heart_rate_bpm, mean_power_w: over the moving time.
        half_speed_mps, half_power_w, half_heart_rate_bpm: means of the first and the second half
            of the moving time; shape (2,).
        bouts: stretches of work set apart from easier time, in order.
        pool_length_m: length of the pool, NaN outside one.
        start_lat, start_lon, end_lat, end_lon: decimal degrees; they never leave the machine.
        session_rpe: CR-10, 0 to 10. feel: 0 (very weak) to 100 (very strong), FIT's own scale.
        file_thresholds: settings found in the file, by the names of `THRESHOLDS`.
        removed_s: seconds that each cleaning rule took out, by the rule's name.
        damaged: whether the file broke off within it or its timer ran longer than it lasted.
        remarks: what the reader noticed about this leg.
    """

    file: str
    digest: str
    leg_index: Annotated[int, Within(0, 10_000)]
    legs_in_file: Annotated[int, Within(1, 10_000)]
    file_format: str
    sport: str
    sub_sport: str
    start_utc: datetime
    file_utc_offset_s: Annotated[float, Within(-86_400, 86_400)]
    zone: str
    elapsed_s: Annotated[float, Within(0, 1e7, known=True)]
    moving_s: Seconds
    distance_m: Metres
    ascent_m: Metres
    power_seconds: SecondsPerBin | None
    heart_rate_seconds: SecondsPerBin | None
    speed_seconds: SecondsPerBin | None
    best_power_w: BestMeans
    best_speed_mps: BestMeans
    mean_heart_rate_bpm: Bpm
    max_heart_rate_bpm: Bpm
    mean_power_w: Watts
    half_speed_mps: Halves
    half_power_w: Halves
    half_heart_rate_bpm: Halves
    bouts: tuple[Bout, ...]
    pool_length_m: Metres
    start_lat: Latitude
    start_lon: Longitude
    end_lat: Latitude
    end_lon: Longitude
    session_rpe: Annotated[float, Within(0, 10)]
    feel: Annotated[float, Within(0, 100)]
    file_thresholds: Mapping[str, float]
    removed_s: Mapping[str, Seconds]
    damaged: bool
    remarks: tuple[Notice, ...]


SUMMARY_COLUMNS = tuple(field.name for field in fields(LegSummary))

PLACED_COLUMNS = (
    "leg_id",
    *SUMMARY_COLUMNS,
    "utc_offset_s",
    "offset_source",
    "local_start",
    "local_day",
)
"""Columns of `Imported.legs`: the summary, and where it lies in the athlete's calendar.

`leg_id` is `<first 10 of digest>.<leg_index>`; `utc_offset_s` is the offset believed, from
`offset_source`: `file`, `position` or `home`; `local_start` is the naive local time of the start;
`local_day` the local day as a `datetime.date`.
"""

NIGHT_COLUMNS = ("day", "sleep_h", "quality", "source", "file")
"""Columns of a table of nights: local day of waking (`datetime.date`), hours asleep, quality from 1
to 5 (NaN where unknown), `file` or `journal`, and the file it came from."""


@dataclass(frozen=True, order=True)
class WrongClock:
    """A file that a wrong clock dated, as far as one can tell.

    Attributes:
        file: as it is named in the folder.
        dated: local day by that clock.
        named: what its name tells instead, None where it tells no day.
        never_set: whether the clock still counted from its maker's first day, so that the file is
            not used.
    """

    file: str
    dated: date
    named: Moment | None
    never_set: bool = False


@dataclass(frozen=True)
class Imported:
    """Everything the importer found in an athlete's folder.

    Attributes:
        legs: one row a leg, columns `PLACED_COLUMNS`, in order of `start_utc`, each activity once.
        nights: one row a night that files hold, columns `NIGHT_COLUMNS`.
        files: one row a file looked at: file, digest, file_format, status (`used`, `copy`,
            `unused`), legs, training_s.
        copies: one row a leg that was left out because it is the same activity as another:
            file, leg_index, same_as (a leg_id), reason.
        notices: remarks about files, in order of file name.
        wrong_clocks: files that a wrong clock dated, in order of file name.
        silent_days: days without a file in a daily habit, which files of `wrong_clocks` that tell
            no day may be of.
        settled: whether all of it had been read before and was kept, so that the next run finds
            the same again unless a file changes.
    """

    legs: pd.DataFrame
    nights: pd.DataFrame
    files: pd.DataFrame
    copies: pd.DataFrame
    notices: tuple[Notice, ...]
    wrong_clocks: tuple[WrongClock, ...] = ()
    silent_days: frozenset[date] = frozenset()
    settled: bool = False

    @property
    def unread(self) -> pd.DataFrame:
        """Rows of `files` that may be training sessions and could not be used."""
        known = self.files["file_format"].isin(("", "fit", "tcx", "gpx"))
        return self.files[known & (self.files["status"] == "unused")]

    @property
    def unread_days(self) -> frozenset[date]:
        """Days that the names of files give that could not be read, or that a wrong clock dated:
        what was trained then is not known."""
        names = (named_moment(name) for name in self.unread["file"])
        moments = (*names, *(clock.named for clock in self.wrong_clocks))
        return frozenset(moment.day for moment in moments if moment is not None)

    @property
    def many_unread(self) -> bool:
        """Whether so many files could not be read that no total is to be believed."""
        limits = LIMITS.reading
        least = max(limits.many_unread, limits.many_unread_share * len(self.files))
        return len(self.unread) >= least

    @property
    def many_unread_words(self) -> str:
        """How many files could not be read, as a sentence; empty where they are few."""
        if not self.many_unread:
            return ""
        found = f"{len(self.unread)} of {len(self.files)} files could not be read"
        return f"{found}, so no total here is to be believed. Export them again or take them out."

    @property
    def wrong_clock_words(self) -> str:
        """What wrong clocks leave unknown, as a sentence; empty where no clock is doubted."""
        if not self.wrong_clocks:
            return ""
        files = count(len(self.wrong_clocks), "file")
        dates = sorted({clock.dated for clock in self.wrong_clocks})
        dated = str(dates[0]) if len(dates) == 1 else f"{dates[0]} to {dates[-1]}"
        days = len(self.unread_days | self.silent_days)
        unknown = f", so what was trained on {count(days, 'day')} is not known" if days else ""
        return (
            f"A clock that was probably wrong dated {files} ({dated}){unknown}. taperback check "
            "writes the lines that put this right."
        )

    @property
    def removed_s(self) -> dict[str, float]:
        """Seconds that each cleaning rule took out of all legs together, by the rule's name."""
        totals: dict[str, float] = {}
        for removed in self.legs["removed_s"]:
            for rule, seconds in removed.items():
                totals[rule] = totals.get(rule, 0.0) + float(seconds)
        return dict(sorted(totals.items()))


def legs_frame(summaries: list[LegSummary]) -> pd.DataFrame:
    """The summaries as a table, one row a leg, columns `SUMMARY_COLUMNS`."""
    table = {name: [getattr(leg, name) for leg in summaries] for name in SUMMARY_COLUMNS}
    frame = pd.DataFrame(table, columns=list(SUMMARY_COLUMNS))
    frame["start_utc"] = pd.to_datetime(frame["start_utc"], utc=True)
    return frame
