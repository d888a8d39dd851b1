"""What each field of a stored leg may hold, found from the types of `LegSummary`.

A check takes the values of one field of any number of legs at once and raises ValueError or
TypeError where one is not what it may be; that each is of its type was seen to before.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import fields
from datetime import UTC, datetime
from operator import attrgetter
from types import UnionType
from typing import Annotated, Any, get_args, get_origin, get_type_hints

import numpy as np

from taperback.common.notices import Notice
from taperback.importer.fit.decode import SPORT_NAMES, SUB_SPORT_NAMES
from taperback.importer.formats.formats import FORMATS, OTHER_KIND
from taperback.importer.local_day import is_zone
from taperback.importer.model import THRESHOLDS, Bout, LegSummary, Within
from taperback.importer.recording import SleepRecord

Check = Callable[[Sequence[Any]], None]

LONGEST_TEXT = 2_000
"""Characters of a text within a remark; what a file says in it may be longer and is cut."""

_ANY = Within(-1e12, 1e12)
_FIRST, _LAST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)
_DAY_S = 86_400
_NAME = re.compile(r"[a-z0-9_ ]{0,60}")
_FORMATS = {"", OTHER_KIND, *(each.name for each in FORMATS)}
_KNOWN: dict[str, Callable[[str], bool]] = {
    "file_format": _FORMATS.__contains__,
    "sport": SPORT_NAMES.__contains__,
    "sub_sport": SUB_SPORT_NAMES.__contains__,
    "zone": lambda name: not name or is_zone(name),
    "file_thresholds": THRESHOLDS.__contains__,
}
"""Fields whose words come from a list; in all others they are short names."""


def check_sleeps(sleeps: Iterable[SleepRecord]) -> None:
    """Stretches of sleep lie in a calendar, and last for a time that is known.

    Raises:
        ValueError, TypeError: one does not.
    """
    for sleep in sleeps:
        _moments((sleep.start_utc, sleep.end_utc))
        _numbers(Within(0, 1e7, known=True), (sleep.asleep_s,))
        _numbers(Within(-_DAY_S, _DAY_S), (sleep.utc_offset_s,))


def check_remarks(remarks: Iterable[Notice]) -> None:
    """Remarks are short and in one line.

    Raises:
        ValueError: one is not.
    """
    for remark in remarks:
        texts = (remark.file, remark.column, remark.code, remark.found, remark.remedy)
        if not all(len(text) <= LONGEST_TEXT and text.isprintable() for text in texts):
            raise ValueError("no remark")


def _numbers(within: Within, values: Any) -> None:
    array = np.asarray(values, float)
    fits = (array >= within.least) & (array <= within.most)
    if not within.known:
        fits |= np.isnan(array)
    if not fits.all():
        raise ValueError("out of range")


def _arrays(within: Within, values: Sequence[np.ndarray | None]) -> None:
    arrays = [array for array in values if array is not None]
    if within.length is not None and {len(array) for array in arrays} - {within.length}:
        raise ValueError(f"not {within.length} numbers")
    if arrays:
        _numbers(within, np.concatenate(arrays))


def _moments(values: Iterable[datetime]) -> None:
    if not all(_FIRST < value < _LAST for value in values):
        raise ValueError("outside every calendar")


def _bouts(values: Iterable[Sequence[Bout]]) -> None:
    bouts = [bout for each in values for bout in each]
    columns = zip(*map(_bout_values, bouts), strict=True)
    for within, column in zip(_BOUT_BOUNDS, columns, strict=bool(bouts)):
        _numbers(within, column)


_bout_values = attrgetter(*(field.name for field in fields(Bout)))


def _mappings(
    known: Callable[[str], object], within: Within, values: Sequence[Mapping[str, float]]
) -> None:
    _words(known, [name for each in values for name in each])
    _numbers(within, [number for each in values for number in each.values()])


def _words(known: Callable[[str], object], values: Iterable[str]) -> None:
    if not all(map(known, set(values))):
        raise ValueError("no known word")


def _within(hint: Any) -> tuple[Any, Within]:
    """(the bare type, what it may hold) of an annotated type, None left aside."""
    if get_origin(hint) is UnionType or type(None) in get_args(hint):
        hint = next(part for part in get_args(hint) if part is not type(None))
    if get_origin(hint) is Annotated:
        bare, *about = get_args(hint)
        return bare, next((each for each in about if isinstance(each, Within)), _ANY)
    return hint, _ANY


def _check_of(name: str, hint: Any) -> Check:
    bare, within = _within(hint)
    known = _KNOWN.get(name, _NAME.fullmatch)
    checks: dict[Any, Check] = {
        float: lambda values: _numbers(within, values),
        int: lambda values: _numbers(within, values),
        np.ndarray: lambda values: _arrays(within, values),
        datetime: _moments,
        bool: lambda values: None,  # the decoder takes nothing else
        str: lambda values: _words(known, values),
        Mapping: lambda values: _mappings(known, _within(get_args(bare)[1])[1], values),
    }
    if bare == tuple[Bout, ...]:
        return _bouts
    if bare == tuple[Notice, ...]:
        return lambda values: check_remarks(remark for each in values for remark in each)
    return checks[get_origin(bare) or bare]


_HINTS = get_type_hints(LegSummary, include_extras=True)
_BOUT_BOUNDS = [_within(hint)[1] for hint in get_type_hints(Bout, include_extras=True).values()]
CHECKS: dict[str, Check] = {
    name: _check_of(name, hint) for name, hint in _HINTS.items() if name not in ("file", "digest")
}
"""The check of each field, in order; a type that has none is a KeyError when this is imported."""


def unknown_instead(name: str, value: Any) -> Any:
    """The value of a leg's field with what is beyond its bounds unknown.

    Raises:
        ValueError: nothing can stand in its place, as in that of a sport or a start.
    """
    bare, within = _within(_HINTS[name])
    if bare is float and not within.known:
        return float("nan")
    if get_origin(bare) is np.ndarray:
        return None if within.length is None else np.full(within.length, np.nan)
    if bare == tuple[Bout, ...]:
        return tuple(Bout(*map(_or_unknown, _BOUT_BOUNDS, _bout_values(bout))) for bout in value)
    raise ValueError(name)


def _or_unknown(within: Within, number: float) -> float:
    return number if within.least <= number <= within.most else float("nan")
