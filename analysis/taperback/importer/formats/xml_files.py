"""XML activity files, streamed: tag by tag, nothing fetched, no entity expanded, no tree built."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from math import isfinite
from typing import NoReturn, Protocol
from xml.parsers import expat

import numpy as np
import pandas as pd

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, note
from taperback.importer.recording import SAMPLE_COLUMNS

NAN = float("nan")


class Handler(Protocol):
    """What a reader wants to hear about a file, with namespaces left aside, since real files
    disagree about them and some forget to declare them."""

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        """A tag opens."""

    def end(self, name: str, text: str) -> None:
        """A tag closes; `text` stood before it since the last tag."""


def stream(data: bytes, handler: Handler) -> None:
    """Tells the handler every tag in the file's order.

    Raises:
        InputError: the file has a document type, or is not XML. What came before was handed on.
    """
    text: list[str] = []
    deepest, open_tags = LIMITS.formats.deepest, 0

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal open_tags
        open_tags += 1
        if open_tags > deepest:
            raise InputError("its tags lie far deeper than any activity's", "leave it out")
        text.clear()
        handler.start(_local(name), attributes)

    def end(name: str) -> None:
        nonlocal open_tags
        open_tags -= 1
        handler.end(_local(name), "".join(text).strip())
        text.clear()

    def refuse(*_: object) -> NoReturn:
        # A document type can carry entities that expand without end or read other files.
        found = "it declares a document type, which no activity file needs"
        raise InputError(found, "leave it out")

    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = text.append
    parser.StartDoctypeDeclHandler = refuse
    try:
        parser.Parse(without_lead(data), True)
    except (expat.ExpatError, LookupError, ValueError) as error:
        reason = str(error).split(":")[0]
        raise InputError(f"it is broken as XML ({reason})", "export the activity again") from None


def stream_until_broken(
    data: bytes, handler: Handler, found_any: Callable[[], bool], code: str
) -> tuple[Notice, ...]:
    """Tells the handler every tag up to where the file is broken; a remark where it is.

    Args:
        data, handler: as `stream` takes them.
        found_any: whether the handler has heard of anything that can be used.
        code: kind of the remark, such as `gpx-broken`.

    Raises:
        InputError: the file is broken before anything that can be used.
    """
    try:
        stream(data, handler)
    except InputError as error:
        if not found_any():
            raise
        return (note(code, f"{error.found}; what stands before was used"),)
    return ()


def without_lead(data: bytes) -> bytes:
    """The bytes from the first tag on: some exporters put a mark or blank lines in front."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):  # UTF-16, where the mark must stay
        return data
    return data.lstrip(b"\xef\xbb\xbf \t\r\n")


def _local(name: str) -> str:
    return name.rpartition(":")[2]


class Room:
    """How much one file may still hold of each kind, all of its activities together."""

    def __init__(self) -> None:
        limits = LIMITS.formats
        self._most = dict.fromkeys(("points", "laps", "tracks"), limits.most_points)
        self._most["activities"] = limits.most_activities
        self._left = dict(self._most)

    def take(self, kind: str) -> None:
        """One more of `points`, `laps`, `tracks` or `activities`.

        Raises:
            InputError: there are more than a file can have.
        """
        self._left[kind] -= 1
        if self._left[kind] < 0:
            raise InputError(f"it holds more than {self._most[kind]} {kind}", "leave it out")


class Points:
    """Track points while a file is read, columns `SAMPLE_COLUMNS`."""

    def __init__(self, room: Room) -> None:
        self._flat = array("d")
        self._width = len(SAMPLE_COLUMNS)
        self._room = room

    def __len__(self) -> int:
        return len(self._flat) // self._width

    def add(self, *values: float) -> None:
        """One point, values in the order of `SAMPLE_COLUMNS`.

        Raises:
            InputError: there are more points than a file can have.
        """
        self._room.take("points")
        self._flat.extend(values)

    def frame(self) -> pd.DataFrame:
        """All points, in the file's order, those without a time too."""
        values = np.array(self._flat).reshape(-1, self._width)
        return pd.DataFrame(values, columns=list(SAMPLE_COLUMNS))


def number(text: str | None, largest: float = 1e9) -> float:
    """The number that the text says, NaN where it says none or one beyond all measure."""
    if not text:
        return NAN
    try:
        value = float(text)
    except ValueError:
        return NAN
    return value if isfinite(value) and abs(value) <= largest else NAN


def first_number(texts: Mapping[str, str], *names: str) -> float:
    """Number of the first of these names that the texts have, else NaN."""
    for name in names:
        if name in texts:
            return number(texts[name])
    return NAN


def unix_s(text: str | None) -> float:
    """Unix time of an ISO 8601 time, taken as UTC where it names no offset; NaN if unreadable.

    >>> unix_s("1970-01-01T00:01:00Z")
    60.0
    """
    try:
        moment = datetime.fromisoformat((text or "").strip())
        return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()
    except (ValueError, OverflowError):
        return NAN
