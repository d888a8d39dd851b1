"""Nights from `sleep_level` messages."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import pairwise

from taperback.common.limits import LIMITS
from taperback.importer.fit.clock import FIRST_REAL_TIME, FIT_EPOCH_S, Clock
from taperback.importer.fit.messages import Messages
from taperback.importer.recording import SleepRecord

_ASLEEP = {"light", "deep", "rem"}


def read_sleeps(messages: Messages, clock: Clock) -> tuple[SleepRecord, ...]:
    """Stretches of sleep: a level holds until the next one; hours awake end a stretch."""
    limits = LIMITS.fit
    levels = sorted(
        (time, str(message.get("sleep_level", "")))
        for message in messages.all("sleep_level")
        if (time := clock.time(message, "timestamp")) >= FIRST_REAL_TIME + FIT_EPOCH_S
    )
    nights: list[list[tuple[float, float]]] = []
    for (start, level), (end, _) in pairwise(levels):
        if level not in _ASLEEP or not 0 < end - start <= limits.longest_stage_s:
            continue
        if nights and start - nights[-1][-1][1] <= limits.longest_waking_s:
            nights[-1].append((start, end))
        else:
            nights.append([(start, end)])
    return tuple(
        SleepRecord(
            datetime.fromtimestamp(night[0][0], tz=UTC),
            datetime.fromtimestamp(night[-1][1], tz=UTC),
            sum(until - since for since, until in night),
            clock.utc_offset_s,
        )
        for night in nights
    )
