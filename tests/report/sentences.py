"""The sentences of a page, and which of them are too long."""

from __future__ import annotations

import re
import statistics
from collections.abc import Iterator
from xml.etree.ElementTree import Element

HTML = "{http://www.w3.org/1999/xhtml}"
BLOCKS = {f"{HTML}{name}" for name in ("p", "li", "dd", "caption")}
LONGEST, MEDIAN = 40, 16
"""Words of the longest sentence, and of the one in the middle."""

_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z“\d])")
_WORD = re.compile(r"\S*\w\S*")


def words(text: str) -> list[str]:
    """What is a word: a run of signs that holds a letter or a digit."""
    return _WORD.findall(text)


def sentences(page: Element) -> Iterator[str]:
    """Every sentence that a reader reads, from the innermost blocks; sources are no sentences."""
    for block in page.iter():
        if block.tag in BLOCKS and not any(e.tag in BLOCKS for e in block.iter() if e is not block):
            text = " ".join("".join(block.itertext()).split())
            yield from (part for part in _END.split(text) if words(part))


def without_sources(page: Element) -> Element:
    """The page without its list of published values, whose entries are citations."""
    for parent in page.iter():
        for child in list(parent):
            if "citations" in (child.get("class") or ""):
                parent.remove(child)
    return page


def offenders(page: Element) -> list[str]:
    """What makes a page hard to read: sentences that are too long, and their median."""
    found = list(sentences(without_sources(page)))
    lengths = [len(words(text)) for text in found]
    long = [f"{n} words: {text}" for n, text in zip(lengths, found, strict=True) if n > LONGEST]
    median = statistics.median(lengths)
    return long + ([f"median {median}"] if median > MEDIAN else [])
