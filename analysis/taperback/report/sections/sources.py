"""Method and sources: every published or common-practice value, and every quantity's meaning."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from taperback.common.files.resources import shared_toml
from taperback.common.quantities import QUANTITIES, SPORTS
from taperback.common.quantity import MINUS
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import label_of
from taperback.report.words.wording import sentence

_DOI = re.compile(r"\b(10\.\d{4,9}/[^\s,;:)]+[^\s,;:.)])")


@dataclass(frozen=True)
class Source:
    """One published value: what it is, the number with its unit, the source, how sure it is.

    `source` is the text in pieces: (text, DOI that the piece names, or empty).
    """

    name: str
    value: str
    source: tuple[tuple[str, str], ...]
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
    glossary: dict[tuple[str, str], None] = {}
    for name in (name for name in QUANTITIES if name in used or name in _ALWAYS):
        label, meaning = label_of(name), sentence(QUANTITIES[name].meaning)
        sport = next((sport for sport in SPORTS if name.endswith(f"_{sport}")), "")
        if sport:  # measures of single sports are said once, as one of each sport
            said = sport.replace("_", " ")
            label, meaning = (text.replace(said, "each sport") for text in (label, meaning))
        glossary[label, meaning] = None
    return Sources(groups, tuple(glossary))


_ALWAYS = ("hard_min", "moved_sd", "rank_correlation")


def words(name: str) -> str:
    """A key of the file as words, a quantity by its own name.

    >>> words("body_clock_lag_h"), words("second_threshold_share_of_max_hr")
    ('body clock behind', 'second threshold share of highest heart rate')
    """
    if name in QUANTITIES:
        return label_of(name)
    words = name.replace("_", " ")
    for short, long in _SPELT_OUT.items():
        words = re.sub(rf"\b{short}\b", long, words)
    return words


_SPELT_OUT = {
    "max hr": "highest heart rate",
    "h per day": "hours a day",
    "pct": "percent",
    "sd": "SD",
    "rpe": "RPE",
    "trimp": "TRIMP",
}
"""Short words of the file's keys, as people write them."""


def _collect(group: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[Source]:
    """Every entry that names a source, at any depth."""
    if "source" in group:
        name, source = " ".join(map(words, path)), pieces(str(group["source"]))
        yield Source(name, value_text(group), source, str(group.get("status", "")))
        return
    for name, entry in group.items():
        if isinstance(entry, Mapping):
            yield from _collect(entry, (*path, name))


def pieces(text: str) -> tuple[tuple[str, str], ...]:
    """The text cut at its DOIs, each DOI a piece of its own.

    >>> pieces("doi 10.3389/f.1: jet lag")
    (('doi ', ''), ('10.3389/f.1', '10.3389/f.1'), (': jet lag', ''))
    """
    cut = _DOI.split(text)
    return tuple((piece, piece if n % 2 else "") for n, piece in enumerate(cut) if piece)


def value_text(entry: Mapping[str, Any]) -> str:
    """The entry's numbers with their names and its unit."""
    said = []
    shown = {"unit", "source", "status", "doi"}
    if "value" in entry:
        within = f" ± {_amounts(entry['half_width'])}" if "half_width" in entry else ""
        said.append(_amounts(entry["value"]) + within)
        shown |= {"value", "half_width"}
    said += [f"{words(key)} {_amounts(value)}" for key, value in entry.items() if key not in shown]
    return f"{'; '.join(said)} ({entry['unit']})" if entry.get("unit") else "; ".join(said)


LONGEST_LIST = 8
"""A longer list of numbers is given by its ends."""


def _amounts(value: object) -> str:
    """Numbers as text, named where they have names."""
    if isinstance(value, Mapping):
        return ", ".join(f"{words(key)} {_amounts(item)}" for key, item in value.items())
    if isinstance(value, list):
        if len(value) > LONGEST_LIST:
            return f"{_amounts(value[0])} to {_amounts(value[-1])}"
        return ", ".join(_amounts(item) for item in value)
    if isinstance(value, (int, float)):
        return f"{value:.4g}".replace("-", MINUS)
    return str(value)
