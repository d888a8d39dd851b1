"""Heart rate that a strap kept for itself and handed over later, in `hr` messages.

A pool swim often has its heart rate only there. The messages carry a clock of the strap in
1/1024 s: whole in `event_timestamp`, or as twelve-bit remainders in `event_timestamp_12`.

References:
    FIT cookbook, "Plugin example: heart rate expansion"; FIT profile, message `hr`.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator

import numpy as np

from taperback.importer.fit_stream import Part

HR = 132

_TICKS_PER_S = 1024
_ROLL = 1 << 12
_NO_RATE = 255
_TIMESTAMP, _FRACTION, _RATES, _TICKS, _PACKED = 253, 0, 6, 9, 10


def read_hr(data: bytes, parts: Iterable[Part]) -> tuple[np.ndarray, np.ndarray]:
    """(FIT time [s], heart rate [bpm]) of all `hr` messages, both float64 of shape (n,)."""
    times: list[float] = []
    rates: list[float] = []
    anchor_s, anchor_ticks, ticks = np.nan, 0, 0
    for message in _messages(data, parts):
        stamps = list(message.get(_TICKS, ()))
        if stamps and _TIMESTAMP in message:
            anchor_s = message[_TIMESTAMP][0] + message.get(_FRACTION, (0,))[0] / 32768
            anchor_ticks = ticks = stamps[0]
        if np.isnan(anchor_s):
            continue
        ticks = stamps[-1] if stamps else ticks
        for low in _unpack(message.get(_PACKED, ())):
            ticks += (low - ticks) % _ROLL
            stamps.append(ticks)
        for stamp, rate in zip(stamps, message.get(_RATES, ()), strict=False):
            if rate != _NO_RATE:
                times.append(anchor_s + (stamp - anchor_ticks) / _TICKS_PER_S)
                rates.append(rate)
    return np.array(times, float), np.array(rates, float)


def _messages(data: bytes, parts: Iterable[Part]) -> Iterator[dict[int, tuple[int, ...]]]:
    """Field number -> raw values of each `hr` message, in file order."""
    layouts = [d for part in parts for d in part.definitions if d.number == HR and d.runs]
    places = [(int(at), layout) for layout in layouts for at in layout.offsets()]
    for at, layout in sorted(places, key=lambda place: place[0]):
        order = ">" if layout.big_endian else "<"
        message = {}
        for field in layout.fields:
            letter = {_TIMESTAMP: "I", _FRACTION: "H", _TICKS: "I"}.get(field.number, "B")
            count = field.size // struct.calcsize(letter)
            if field.base_type >= 0 and count:
                form = f"{order}{count}{letter}"
                message[field.number] = struct.unpack_from(form, data, at + field.offset)
        yield message


def _unpack(packed: Iterable[int]) -> list[int]:
    """Twelve-bit values from bytes, two values in three bytes, low bits first."""
    raw = list(packed)
    values = []
    for one, two, three in zip(raw[0::3], raw[1::3], raw[2::3], strict=False):
        values += [one | (two & 0x0F) << 8, two >> 4 | three << 4]
    return values
