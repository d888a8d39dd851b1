"""XML activity files, streamed: elements one by one, nothing fetched, no entity expanded."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import TypeAlias

from lxml import etree

from taperback.errors import InputError

NAN = float("nan")

Element: TypeAlias = etree._Element
"""An element as the parser hands it out."""


def elements(data: bytes, *tags: str) -> Iterator[tuple[str, Element]]:
    """(local name, element) for each finished element with one of these local names.

    Namespaces are left aside, since real files disagree about them. An element handed out is
    emptied afterwards, so that memory does not grow with the file.

    Raises:
        InputError: the file has a document type, or is not XML. What came before was yielded.
    """
    source = io.BytesIO(data.lstrip(b"\xef\xbb\xbf \t\r\n"))
    parser = etree.iterparse(
        source,
        events=("start", "end"),
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        huge_tree=False,
    )
    checked = False
    try:
        for event, element in parser:
            if not checked:
                _refuse_document_type(element)
                checked = True
            if event == "end" and isinstance(element.tag, str):
                name = local_name(element)
                if name in tags:
                    yield name, element
                    element.clear()
    except etree.XMLSyntaxError as error:
        reason = str(error).split(" (")[0].split(", line")[0]
        raise InputError(f"it is broken as XML ({reason})", "export the activity again") from None


def _refuse_document_type(root: Element) -> None:
    """A document type can carry entities that expand without end or read other files."""
    if root.getroottree().docinfo.internalDTD is not None:
        raise InputError(
            "it declares a document type, which no activity file needs", "leave it out"
        )


def local_name(element: Element) -> str:
    """The element's name without its namespace."""
    return etree.QName(element).localname


def child_text(element: Element, name: str) -> str:
    """Text of the first descendant with that local name, empty where there is none."""
    found = element.find(f".//{{*}}{name}")
    return (found.text or "").strip() if found is not None else ""


def child_number(element: Element, *names: str) -> float:
    """Number of the first descendant with one of these local names, NaN where there is none."""
    for name in names:
        text = child_text(element, name)
        if text:
            try:
                return float(text)
            except ValueError:
                return NAN
    return NAN


def unix_s(text: str) -> float:
    """Unix time of an ISO 8601 time, taken as UTC where it names no offset; NaN if unreadable."""
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError:
        return NAN
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()


SPORT_WORDS = {
    "running": "running",
    "run": "running",
    "trail_running": "running",
    "biking": "cycling",
    "cycling": "cycling",
    "bike": "cycling",
    "ride": "cycling",
    "road_biking": "cycling",
    "swimming": "swimming",
    "swim": "swimming",
    "open_water_swimming": "swimming",
    "lap_swimming": "swimming",
    "walking": "walking",
    "hiking": "hiking",
    "transition": "transition",
}
"""Words that TCX and GPX files use for a sport -> name of the FIT profile."""


def sport_of(word: str) -> str:
    """FIT name of a sport, empty where the word says nothing."""
    return SPORT_WORDS.get(word.strip().lower().replace(" ", "_"), "")
