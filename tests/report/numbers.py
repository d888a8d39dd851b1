"""Which numbers a page prints, and which a study may print."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator

from taperback.common.quantities import QUANTITIES
from taperback.common.quantity import MINUS

_NUMBER = re.compile(rf"(?<![\w.,/:+-])[+{MINUS}-]?\d+(?:\.\d+)?(?![\w]*[:/]\d)")
_STEP = ("slope", "classical")


def printed_numbers(text: str) -> list[str]:
    """Every number of a text, with its sign where it has one."""
    return _NUMBER.findall(text)


def told_by(study: object) -> set[str]:
    """Every printing of every number of the study, of its dates, and of its lists' lengths."""
    told = {form for value in numbers(study) for form in printings(value)}
    for text in texts(study):
        told.update(printed_numbers(text))
        told.update(str(int(part)) for part in re.findall(r"\d+", text) if len(part) < 9)
    return told | {str(length) for length in lengths(study)}


def printings(value: float) -> Iterator[str]:
    """The value as any quantity would print it, with and without its sign."""
    for scale, decimals in {(q.scale, q.decimals) for q in QUANTITIES.values()} | {(1.0, 3)}:
        digits = f"{abs(value * scale):.{decimals}f}"
        yield digits
        yield (MINUS if value < 0 else "+") + digits
    yield f"{abs(value):.4g}"


def numbers(value: object) -> Iterator[float]:
    """Every number of a JSON value; a slope also per the step that the page tells it in."""
    if isinstance(value, bool):
        return
    if isinstance(value, (int, float)) and math.isfinite(value):
        yield float(value)
    elif isinstance(value, dict):
        for item in value.values():
            yield from numbers(item)
        step = value.get("effect_unit")
        if isinstance(step, float):
            yield step * 100
            for name in _STEP:
                yield from (number * step for number in numbers(value[name]))
    elif isinstance(value, list):
        for item in value:
            yield from numbers(item)


def texts(value: object) -> Iterator[str]:
    """Every text of a JSON value, keys included."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield key
            yield from texts(item)
    elif isinstance(value, list):
        for item in value:
            yield from texts(item)


def lengths(value: object) -> Iterator[int]:
    """How long every list is, and how many of its rows share a text in a column."""
    if isinstance(value, dict):
        for item in value.values():
            yield from lengths(item)
    elif isinstance(value, list):
        yield len(value)
        rows = [row for row in value if isinstance(row, dict)]
        shared = Counter(
            (key, item) for row in rows for key, item in row.items() if isinstance(item, str)
        )
        yield from shared.values()
        for item in value:
            yield from lengths(item)
