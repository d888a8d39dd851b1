"""Nights from data points of IEEE 1752.1 and Open mHealth.

References:
    IEEE Std 1752.1-2021, Open Mobile Health Data: Metadata, Sleep, and Physical Activity Measures.
    Open mHealth schemas: sleep-episode 1.1, sleep-duration 2.0, total-sleep-time 1.0.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.common.notices import Level, Notice, note, unused
from taperback.importer.formats.sleep_points import TIME_ASLEEP, Night, Point, member, read_night
from taperback.importer.recording import FileContent

NAMESPACES = ("ieee", "omh")
_OF_SLEEP = "no sleep in the form of IEEE 1752.1 or Open mHealth"
_FIRST = "what comes first was used"
_LINE_END = re.compile(r"\r\n?|\n")


def may_hold_sleep(data: bytes) -> bool:
    """Whether JSON names a schema at all; most is about something else, not worth taking apart."""
    return b'"schema_id"' in data.replace(b"\0", b"")


def read_sleep_json(data: bytes) -> FileContent:
    """The nights of a JSON file: one data point or series, a list of them, or one a line.

    A point that cannot be used is reported and costs no other; points about anything but sleep are
    passed over.

    Raises:
        InputError: it is not JSON, or tells of no night.
    """
    if not may_hold_sleep(data):
        raise _no_sleep("")
    nights: list[Night] = []
    remarks: list[Notice] = []
    others: set[str] = set()
    most = LIMITS.formats.most_nights
    for count, item in enumerate(_points(_documents(data)), 1):
        if count > most:
            remarks.append(note("json-much", f"it holds more than {most} data points; {_FIRST}"))
            break
        if isinstance(item, Notice):
            remarks.append(item)
        elif item.schema in TIME_ASLEEP:
            try:
                nights.append(read_night(item))
            except InputError as error:
                found = f"data point {item.place} ({item.schema}) {error.found}"
                remarks.append(_unused(found, error.remedy))
        else:
            others.add(item.schema)
    if not nights and not remarks:
        raise _no_sleep(", ".join(sorted(others)[:3]))
    more = len(remarks) - LIMITS.sleep_json.most_remarks
    if more > 1:
        remarks[-more:] = [_unused(f"{more} more data points cannot be used", "see those above")]
    sleeps = tuple(night.sleep for night in nights if not night.is_nap)
    return FileContent((), sleeps, (*remarks, *_about(nights)))


def _no_sleep(others: str) -> InputError:
    held = f"it holds {others}, but" if others else "it looks like JSON, but holds"
    return InputError(f"{held} {_OF_SLEEP}", "leave it out, or export the nights in that form")


def _unused(found: str, remedy: str) -> Notice:
    return unused("", "sleep-point", found, remedy)


def _about(nights: list[Night]) -> Iterator[Notice]:
    """What is worth knowing of the points that were read."""
    naps = sum(night.is_nap for night in nights)
    if naps:
        were = "nap was" if naps == 1 else "naps were"
        yield note("nap", f"{naps} {were} not counted as a night, being no main sleep")
    blind = sum(not night.waking_known and not night.is_nap for night in nights)
    if blind:
        tell = "night tells" if blind == 1 else "nights tell"
        yield note(
            "waking-unknown",
            f"{blind} {tell} only when sleep began and ended, so time awake in between counts "
            "as sleep",
        )


def _documents(data: bytes) -> Iterator[Any]:
    """The JSON values of the file, or a notice for a line that is none."""
    try:
        yield json.loads(data)
    except RecursionError:
        raise InputError("it is nested far deeper than any data point", "leave it out") from None
    except ValueError as error:
        # Other ends of lines, which Python knows, may stand inside a text.
        lines = _LINE_END.split(data.decode("utf-8", errors="replace").lstrip("\ufeff"))
        filled = [(row, line) for row, line in enumerate(lines, 1) if line.strip()]
        if len(filled) < 2 or not isinstance(_line(*filled[0]), dict):
            placed = isinstance(error, json.JSONDecodeError)
            where = f" (line {error.lineno}: {error.msg})" if placed else ""  # type: ignore[attr-defined]
            raise InputError(f"it is not whole as JSON{where}", "export the nights again") from None
        yield from (_line(row, line) for row, line in filled)


def _line(row: int, line: str) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        remedy = "export the nights again"
        return Notice("", row, "", "sleep-point", "the line is not JSON", remedy, Level.UNUSED)


def _points(documents: Iterator[Any]) -> Iterator[Point | Notice]:
    """The measures of all documents, numbered as they come; a notice where one is no measure."""
    place = 0
    for document in documents:
        if isinstance(document, Notice):
            yield document
            continue
        for point in document if isinstance(document, list) else [document]:
            header, body = (member(point, name) for name in ("header", "body"))
            namespace, name = (
                member(member(header, "schema_id"), n) for n in ("namespace", "name")
            )
            for measure in body if isinstance(body, list) else [body]:
                place += 1
                if not isinstance(name, str) or not isinstance(namespace, str):
                    found = f"data point {place} has no schema_id in its header"
                    yield _unused(found, "a header names namespace, name and version")
                else:
                    schema = name if namespace in NAMESPACES else f"{namespace}:{name}"
                    yield Point(place, schema, measure)
