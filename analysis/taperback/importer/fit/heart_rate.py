"""Heart rate that a strap kept for itself and handed over later, in `hr` messages.

A pool swim often has its heart rate only there. The messages carry a clock of the strap in
1/1024 s: whole in `event_timestamp`, or as twelve-bit remainders in `event_timestamp_12`, each
counting on from the one before. A message that has a `timestamp` too anchors that clock.

References:
    FIT cookbook, "Plugin example: heart rate expansion"; FIT profile, message `hr`.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from taperback.common.limits import LIMITS
from taperback.importer.fit.layout import Definition, FieldLayout
from taperback.importer.fit.stream import Part

HR = 132

_TICKS_PER_S = 1024
_QUARTER_S = 0.25
_HELD_S = 5.0
_FRACTIONS_PER_S = 32768
_NO_RATE = 0xFF
_NO_TIME = 0xFFFFFFFF
_TIMESTAMP, _FRACTION, _RATES, _TICKS, _PACKED = 253, 0, 6, 9, 10
_SIZES = {_TIMESTAMP: 4, _FRACTION: 2, _RATES: 1, _TICKS: 4, _PACKED: 1}

# Columns of a table of beats: where the value stands in the file, its tick (whole, or the low
# twelve bits), whether the tick is whole, anchor's time [FIT s] or NaN, heart rate [bpm].
_PLACE, _TICK, _WHOLE, _ANCHOR, _RATE = range(5)

# A message has at most 255 values; this keeps their order within it.
_VALUES_IN_A_MESSAGE = 256


def hr_layouts(parts: Iterable[Part]) -> tuple[list[Definition], bool]:
    """(layouts of `hr` messages, in order; whether more were left out, being too much to hold)."""
    layouts = [d for part in parts for d in part.definitions if d.number == HR and d.used]
    sizes = np.cumsum([len(layout.offsets) * layout.size for layout in layouts])
    fit = int(np.searchsorted(sizes, LIMITS.fit.most_hr_bytes, "right"))
    return layouts[:fit], fit < len(layouts)


def read_hr(data: bytes, layouts: Iterable[Definition]) -> tuple[np.ndarray, np.ndarray]:
    """(FIT time [s], heart rate [bpm]) of these `hr` messages, both float64 of shape (n,)."""
    tables = [_table(data, layout) for layout in layouts]
    beats = np.concatenate([np.empty((0, 5)), *tables])
    beats = beats[np.argsort(beats[:, _PLACE], kind="stable")]
    first = np.flatnonzero(np.isfinite(beats[:, _ANCHOR]))
    if not len(first):
        return np.empty(0), np.empty(0)
    beats = beats[first[0] :]
    whole = beats[:, _WHOLE] == 1
    tick = beats[:, _TICK].astype(np.int64)
    step = np.diff(tick, prepend=tick[0]) % 4096
    step[whole] = 0
    counted = np.cumsum(step)
    start = np.maximum.accumulate(np.where(whole, np.arange(len(tick)), 0))
    tick = tick[start] + counted - counted[start]
    anchored = np.isfinite(beats[:, _ANCHOR])
    anchor = np.maximum.accumulate(np.where(anchored, np.arange(len(tick)), 0))
    # The strap's clock has 32 bits and may roll over behind its anchor.
    time_s = beats[anchor, _ANCHOR] + (tick - tick[anchor]) % 2**32 / _TICKS_PER_S
    known = beats[:, _RATE] != _NO_RATE
    return time_s[known], beats[known, _RATE]


def _table(data: bytes, layout: Definition) -> np.ndarray:
    """The beats of all messages of one layout; columns as above, shape (n, 5)."""
    fields = {f.number: f for f in layout.fields(_SIZES) if f.size >= _SIZES[f.number]}
    raw = {number: _numbers(data, layout, field) for number, field in fields.items()}
    count = len(layout.offsets)
    nothing = np.empty((count, 0))
    whole, low = raw.get(_TICKS, nothing), _unpack(raw.get(_PACKED, nothing))
    rates = raw.get(_RATES, nothing)
    width = min(whole.shape[1] + low.shape[1], rates.shape[1])
    table = np.full((count, width, 5), np.nan)
    table[:, :, _PLACE] = layout.offsets[:, None] * _VALUES_IN_A_MESSAGE + np.arange(width)
    table[:, :, _TICK] = np.concatenate([whole, low], axis=1)[:, :width]
    table[:, :, _WHOLE] = np.arange(width) < whole.shape[1]
    table[:, :, _RATE] = rates[:, :width]
    if _TIMESTAMP in raw and width and whole.shape[1]:
        time = raw[_TIMESTAMP][:, 0]
        fraction = raw[_FRACTION][:, 0] if _FRACTION in raw else np.zeros(count)
        fraction = np.where(fraction < _FRACTIONS_PER_S, fraction / _FRACTIONS_PER_S, 0.0)
        table[:, 0, _ANCHOR] = np.where(time == _NO_TIME, np.nan, time + fraction)
    return table.reshape(-1, 5)


def _numbers(data: bytes, layout: Definition, field: FieldLayout) -> np.ndarray:
    """Raw unsigned numbers of one field, float64, shape (messages, values in each)."""
    size = _SIZES[field.number]
    count = field.size // size
    places = layout.offsets[:, None] + np.arange(field.offset, field.offset + count * size)
    order = ">" if layout.big_endian else "<"
    return np.frombuffer(data, np.uint8)[places].view(f"{order}u{size}").astype(float)


def _unpack(packed: np.ndarray) -> np.ndarray:
    """Twelve-bit values from bytes, two values in three bytes, low bits first."""
    raw = packed[:, : packed.shape[1] // 3 * 3].astype(np.int64)
    one, two, three = raw[:, 0::3], raw[:, 1::3], raw[:, 2::3]
    pairs = np.stack([one | (two & 0x0F) << 8, two >> 4 | three << 4], axis=2)
    return pairs.reshape(len(raw), -1).astype(float)


def hr_of_records(record_s: np.ndarray, time_s: np.ndarray, rate_bpm: np.ndarray) -> np.ndarray:
    """Heart rate of each record: the mean since the record before it; NaN where there was none.

    Between two beats handed over, the earlier rate holds for up to five seconds; the mean is taken
    over quarters of a second, as the official decoder does.

    Args:
        record_s: times of the records [s], shape (n,).
        time_s, rate_bpm: as `read_hr` gives them, in the records' clock, shape (m,).
    """
    order = np.argsort(time_s, kind="stable")
    time_s, rate_bpm = time_s[order], rate_bpm[order]
    gaps = np.diff(time_s, append=time_s[-1:])
    steps = np.clip(np.ceil(gaps / _QUARTER_S) - 1, 0, _HELD_S / _QUARTER_S).astype(int) + 1
    first = np.repeat(np.cumsum(steps) - steps, steps)
    held = np.repeat(time_s, steps) + _QUARTER_S * (np.arange(len(first)) - first)
    rates = np.repeat(rate_bpm, steps)
    by_time = np.argsort(record_s, kind="stable")
    bounds = np.searchsorted(held, record_s[by_time], side="right")
    # The first record, and one that shares its second with another, look back a second.
    second = np.searchsorted(held, record_s[by_time] - 1, side="right")
    since = np.minimum(np.concatenate([second[:1], bounds[:-1]]), second)
    total = np.concatenate([[0.0], np.cumsum(rates)])
    merged = np.full(len(record_s), np.nan)
    with np.errstate(invalid="ignore"):
        merged[by_time] = (total[bounds] - total[since]) / (bounds - since)
    return merged
