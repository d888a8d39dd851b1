"""The words that athletes type for sports, and the names that the FIT profile has for them."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass

from taperback.common.errors import InputError
from taperback.importer.sports import MEANT_BY, SPORT_TABLE
from taperback.journal.cells import quoted


@dataclass(frozen=True, order=True)
class Sport:
    """A sport by the FIT profile's names.

    Attributes:
        sport: its name, or the typed word where no such name is known.
        sub_sport: the kind of it, or empty.
    """

    sport: str
    sub_sport: str = ""


_KNOWN = {word: Sport(*names) for word, names in MEANT_BY.items()}
_SPORTS = frozenset(SPORT_TABLE.names)


def typed_sports(cell: str) -> tuple[Sport, ...]:
    """One sport or several, parted by blanks, `+`, `/`, `;` or `,`; unknown words as they stand.

    >>> typed_sports("gravel + trail running")
    (Sport(sport='cycling', sub_sport='gravel_cycling'), Sport(sport='running', sub_sport='trail'))
    """
    return tuple(sport for part in _parts(cell) for sport in _read(part)[0])


def strange(cell: str) -> str:
    """The words of a cell that no sport is known by; empty where all are understood.

    >>> strange("chess + run"), strange("easy run")
    ('chess', '')
    """
    return ", ".join(" ".join(rest) for part in _parts(cell) if (rest := _read(part)[1]))


def race_sports(cell: str) -> tuple[str, ...]:
    """The sports of a race by the FIT profile's names; none where one of them is not known.

    >>> race_sports("swim bike run"), race_sports("chess")
    (('swimming', 'cycling', 'running'), ())
    """
    found = typed_sports(cell)
    return tuple(one.sport for one in found) if all(map(is_known, found)) else ()


def one_sport(cell: str) -> Sport:
    """The one sport of a session or a limit.

    Raises:
        InputError: the cell names several.
    """
    found = typed_sports(cell)
    if len(found) != 1:
        raise InputError(f"{quoted(cell)} is not one sport", "write one, in a row of its own")
    return found[0]


_UNKNOWN = "it is kept as it is; add it to sports in athlete.toml if it counts as training"


def remark(cell: str, unknown: str = _UNKNOWN) -> tuple[str, str] | None:
    """What is noted of a sport that is used as it stands: (finding, remedy).

    `unknown` is the remedy for words that mean nothing here.
    """
    words = strange(cell)
    if not words:
        return None
    found = [sport.sport for sport in typed_sports(cell) if is_known(sport)]
    if found:
        return f"{quoted(cell)} is read as {' and '.join(found).replace('_', ' ')}", ""
    return f"{quoted(words)} is not a sport known here", _meant(words) or unknown


def counted_remark(cell: str) -> tuple[str, str] | None:
    """The same of a sport that counts as training, which may be one that nobody else knows."""
    return remark(cell, "sessions that are typed with this word count as training")


def race_remark(cell: str) -> tuple[str, str] | None:
    """The same of a race, where unknown sports are left to its files."""
    if all(map(is_known, typed_sports(cell))):
        return remark(cell)
    words = strange(cell)
    return f"{quoted(words)} is not a sport known here", _meant(words) or (
        "the race's longest session is taken for it"
    )


def _meant(words: str) -> str:
    close = difflib.get_close_matches(words, [*SPORT_TABLE.whole_races, *_KNOWN], n=1, cutoff=0.8)
    return f"did you mean {close[0]}?" if close else ""


def is_known(sport: Sport) -> bool:
    """Whether it is a sport that the FIT profile has a name for, and not just a typed word."""
    return sport.sport in _SPORTS


def _parts(cell: str) -> Iterator[list[str]]:
    """The words of each part of a cell, in lower case."""
    for part in re.split(r"[+/;,&]|\band\b", cell.lower()):
        words = re.findall(r"[^\W_]+", part)
        if words:
            yield words


def _read(words: list[str]) -> tuple[list[Sport], list[str]]:
    """The sports of some words, the longest names first; and the words that are none."""
    found: list[Sport] = []
    rest: list[str] = []
    place = 0
    while place < len(words):
        for size in range(len(words) - place, 0, -1):
            name = " ".join(words[place : place + size])
            if name in SPORT_TABLE.whole_races or name in _KNOWN:
                whole = SPORT_TABLE.whole_races.get(name)
                found += [Sport(each) for each in whole] if whole else [_KNOWN[name]]
                place += size
                break
        else:
            rest += [] if words[place] in SPORT_TABLE.beside else [words[place]]
            place += 1
    return (found, rest) if found else ([Sport("_".join(words))], words)
