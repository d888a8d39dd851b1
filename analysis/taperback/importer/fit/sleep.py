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
    nights: list[list[tuple[float, float]]] = []
    for start, end in _stages_asleep(messages, clock):
        if end - start > limits.longest_stage_s:
            continue
        if nights and start - nights[-1][-1][1] <= limits.longest_waking_s:
            nights[-1].append((start, end))
        else:
            nights.append([(start, end)])
    return tuple(_sleep(night, clock.utc_offset_s) for night in nights)


def _stages_asleep(messages: Messages, clock: Clock) -> list[tuple[float, float]]:
    """(from, to) in Unix seconds of each stage in which the athlete slept, in order of time."""
    levels = sorted(
        (time, str(message.get("sleep_level", "")))
        for message in messages.all("sleep_level")
        if (time := clock.time(message, "timestamp")) >= FIRST_REAL_TIME + FIT_EPOCH_S
    )
    return [
        (time, after)
        for (time, level), (after, _) in pairwise(levels)
        if level in _ASLEEP and after > time
    ]


def _sleep(stages: list[tuple[float, float]], utc_offset_s: float) -> SleepRecord:
    start, end = (datetime.fromtimestamp(at, tz=UTC) for at in (stages[0][0], stages[-1][1]))
    asleep_s = sum(until - since for since, until in stages)
    return SleepRecord(start, end, asleep_s, utc_offset_s)
