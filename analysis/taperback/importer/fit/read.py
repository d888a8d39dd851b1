"""FIT files: from decoded messages to legs and nights."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pandas as pd

from taperback.common.errors import InputError, OtherKindError
from taperback.common.limits import LIMITS
from taperback.importer.fit.clock import Clock, read_clock
from taperback.importer.fit.heart_rate import hr_of_records
from taperback.importer.fit.messages import number, read_messages
from taperback.importer.fit.sessions import Span, read_spans
from taperback.importer.fit.sleep import read_sleeps
from taperback.importer.fit.tables import DISTANCE, HEART_RATE, TIME, Tables, either, read_tables
from taperback.importer.recording import (
    LAP_COLUMNS,
    LENGTH_COLUMNS,
    SAMPLE_COLUMNS,
    FileContent,
    Recording,
)

_NAN = float("nan")

# Made once: naming columns anew costs more than making a frame.
_SAMPLES, _LENGTHS, _LAPS = (
    pd.Index(list(columns)) for columns in (SAMPLE_COLUMNS, LENGTH_COLUMNS, LAP_COLUMNS)
)

# Kinds of FIT files that hold records which nobody trained.
_ROUTES = {"course", "segment", "segment_list"}
_HIGHEST_RPE = 10


def read_fit(data: bytes) -> FileContent:
    """The legs and nights of one FIT file.

    Raises:
        InputError: nothing in the file can be used.
    """
    messages = read_messages(data)
    kinds = [str(message.get("type", "")) for message in messages.all("file_id")]
    if kinds and all(kind in _ROUTES for kind in kinds):
        raise OtherKindError(
            "it is a route to follow, not a training session", "it can be left out"
        )
    clock = read_clock(messages)
    file = read_tables(messages, clock)
    sleeps = read_sleeps(messages, clock)
    spans = read_spans(messages, clock, file.samples[:, TIME], file.lengths)
    if not spans and not sleeps:
        kind = next((kind for kind in kinds if kind), "").replace("_", " ")
        if kind in ("", "activity"):
            raise InputError("it holds no activity and no sleep", "export the activity itself")
        found = f"it is a FIT file of kind {kind}, with no activity and no sleep"
        raise OtherKindError(found, "it can be left out")
    recordings = [_recording(file, clock, span) for span in spans]
    if messages.broken and recordings:
        recordings[-1] = replace(recordings[-1], damaged=True)
    return FileContent(tuple(recordings), sleeps, tuple(messages.remarks))


def _recording(file: Tables, clock: Clock, span: Span) -> Recording:
    session, start = span.session, span.start
    own = span.of(file.samples)
    # Only a swim has pool lengths, and none that runs beside it.
    swims = _word(session, "sport") in ("swimming", "generic", "")
    lengths = span.of(file.lengths) if swims else file.lengths[:0]
    length_frame = pd.DataFrame(lengths, columns=_LENGTHS)
    end = _end(clock, span, own)
    pauses = np.clip(file.pauses, start, end)
    threshold = number(session, "threshold_power")
    timer = number(session, "total_timer_time")
    slack = LIMITS.fit.timer_slack_s
    rpe = number(session, "workout_rpe") / 10
    return Recording(
        sport=_word(session, "sport"),
        sub_sport=_word(session, "sub_sport").removeprefix("generic"),
        start_utc=_utc(start),
        end_utc=_utc(end),
        samples=pd.DataFrame(
            _with_hr(_own_distance(own, span), file, start, end), columns=_SAMPLES
        ),
        pauses=tuple((a, b) for a, b in pauses[pauses[:, 0] < pauses[:, 1]].tolist()),
        lengths=length_frame.astype({"active": bool}) if len(lengths) else length_frame,
        laps=pd.DataFrame(span.of(file.laps), columns=_LAPS),
        utc_offset_s=clock.utc_offset_s,
        # Some devices count the timer on through a whole race; then it says nothing of one leg.
        total_timer_s=timer if timer <= end - start + slack else _NAN,
        total_distance_m=number(session, "total_distance"),
        total_ascent_m=number(session, "total_ascent"),
        pool_length_m=_pool_length_m(session, span.of(file.laps), lengths),
        session_rpe=rpe if rpe <= _HIGHEST_RPE else _NAN,
        feel=number(session, "workout_feel"),
        thresholds=({"critical_power_w": threshold} if threshold > 0 else {}) | file.thresholds,
    )


def _pool_length_m(session: dict[str, object], laps: np.ndarray, lengths: np.ndarray) -> float:
    """As the session says, else the usual distance of a lap over the lengths swum in it."""
    said = number(session, "pool_length")
    if said > 0 or not len(lengths):
        return said
    swum = lengths[lengths[:, 2] == 1, 0]
    counts = [np.count_nonzero((swum >= at) & (swum < at + seconds)) for at, seconds, _ in laps]
    each = [metres / count for metres, count in zip(laps[:, 2], counts, strict=True) if count]
    return float(np.nanmedian(each)) if np.isfinite(each).any() else _NAN


def _end(clock: Clock, span: Span, own: np.ndarray) -> float:
    """When the leg ended [Unix s]: its session's word or its last record, before the next leg."""
    said = span.start + float(np.nan_to_num(number(span.session, "total_elapsed_time")))
    stamp = clock.time(span.session, "timestamp")
    if stamp > span.start:
        # A session may be stamped hours later, when it was saved, or count on through a race.
        said = min(said, stamp)
    last = own[:, TIME].max(initial=span.start)
    return float(min(max(said, last), span.until))


def _own_distance(own: np.ndarray, span: Span) -> np.ndarray:
    """Distance from the leg's own start, where the device counted on from the leg before.

    Where it starts again from zero a moment late, what stands before is the other leg's.
    """
    distance = own[:, DISTANCE]
    if np.isinf(span.after) or not np.isfinite(distance).any():
        return own
    least = int(np.nanargmin(distance))
    moved = distance - distance[least]
    moved[:least][moved[:least] > 0] = np.nan
    own = own.copy()
    own[:, DISTANCE] = moved
    return own


def _with_hr(own: np.ndarray, file: Tables, start: float, end: float) -> np.ndarray:
    """The samples with heart rate from `hr` messages, which are the fuller of the two."""
    longest = LIMITS.fit.far_away_s
    inside = (file.hr_s >= start - 1) & (file.hr_s <= min(end + 1, start + longest))
    if not inside.any():
        return own
    if len(own):
        own = own.copy()
    else:
        last = file.hr_s[inside].max()
        own = np.full((int(last - start) + 2, len(SAMPLE_COLUMNS)), _NAN)
        own[:, TIME] = np.floor(start) + np.arange(len(own))
    merged = hr_of_records(own[:, TIME], file.hr_s[inside], file.hr_bpm[inside])
    own[:, HEART_RATE] = either(merged, own[:, HEART_RATE])
    return own


def _word(message: dict[str, object], name: str) -> str:
    value = message.get(name, "")
    return value if isinstance(value, str) else ""


def _utc(unix_s: float) -> datetime:
    return datetime.fromtimestamp(unix_s, tz=UTC)
