"""Method and sources: every published or common-practice value, and every quantity's meaning."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from taperback.quantities import QUANTITIES
from taperback.raceweek.model import RaceWeek
from taperback.report.cells import label_of
from taperback.report.wording import sentence
from taperback.resources import shared_toml

_DOI = re.compile(r"\b(10\.\d{4,9}/[^\s,;]+[^\s,;.)])")


@dataclass(frozen=True)
class Source:
    """One published value: what it is, the number with its unit, the source, how sure it is."""

    name: str
    value: str
    source: str
    doi: str
    status: str


@dataclass(frozen=True)
class Sources:
    """The values by room of the method, and the glossary."""

    groups: tuple[tuple[str, tuple[Source, ...]], ...]
    glossary: tuple[tuple[str, str], ...]


def sources(weeks: tuple[RaceWeek, ...]) -> Sources:
    """Everything quoted, from `shared/published.toml`, and what the page's words mean."""
    published = shared_toml("published.toml")
    groups = tuple((words(name), tuple(_collect(group, ()))) for name, group in published.items())
    used = dict.fromkeys(name for week in weeks for name in week.measures)
    known = [name for name in QUANTITIES if name in used or name in _ALWAYS]
    glossary = tuple((label_of(name), sentence(QUANTITIES[name].meaning)) for name in known)
    return Sources(groups, glossary)


_ALWAYS = ("hard_min", "moved_bits", "rank_correlation")


def words(name: str) -> str:
    """A key of the file as words."""
    return name.replace("_", " ")


def _collect(group: Mapping[str, Any], path: tuple[str, ...]) -> list[Source]:
    """Every entry that names a source, at any depth."""
    if "source" in group:
        text = str(group["source"])
        doi = str(group.get("doi", "")) or _doi(text)
        return [
            Source(
                words(" ".join(path)), value_text(group), text, doi, str(group.get("status", ""))
            )
        ]
    found = []
    for name, entry in group.items():
        if isinstance(entry, Mapping):
            found += _collect(entry, (*path, name))
    return found


def _doi(text: str) -> str:
    found = _DOI.search(text)
    return found.group(1) if found else ""


def value_text(entry: Mapping[str, Any]) -> str:
    """The entry's number or numbers with the unit; an interval where one is given."""
    value = entry.get("value")
    unit = str(entry.get("unit", ""))
    if isinstance(value, list):
        text = f"{_number(value[0])} to {_number(value[-1])} (a table of its own)" if value else ""
    elif isinstance(value, (int, float)):
        text = _number(value)
        if "half_width" in entry:
            text += f" ± {_number(entry['half_width'])}"
    else:
        text = "" if value is None else str(value)
    return f"{text} {unit}".strip()


def _number(value: float) -> str:
    return f"{value:.4g}".replace("-", "\u2212")
