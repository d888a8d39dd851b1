"""What is said of several races in the same words, said once with the numbers of each."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from taperback.common.wording import listing

MOST_DIFFERING = 3
"""Texts that differ in more numbers than this are easier to read one by one."""

MOST_NUMBERS = 6
"""Numbers of more races than this are given by the least and the greatest."""

_NUMBER = re.compile(r"((?<!\w)[+\u2212]?\d(?:[\d.:-]*\d)?)")
"""A number, a time or a date: every second piece of a text that is split by it."""


class Said(NamedTuple):
    """Races, in order, and what is said of them."""

    races: tuple[str, ...]
    text: str


def weave(said: Iterable[Said]) -> list[Said]:
    """Texts that differ in few numbers as one, which has those of each race in order.

    >>> weave([Said(("A", "C"), "6 h in 2 legs"), Said(("B",), "5 h in 2 legs")])
    [Said(races=('A', 'B', 'C'), text='6, 5 and 6 h in 2 legs')]
    """
    clusters: list[list[Said]] = []
    for one in said:
        for cluster in clusters:
            if _can_be_woven([*cluster, one]):
                cluster.append(one)
                break
        else:
            clusters.append([one])
    return [_one(cluster) for cluster in clusters]


def _can_be_woven(said: list[Said]) -> bool:
    """Whether they differ in few numbers alone, none of which stands in a list."""
    pieces = [_NUMBER.split(one.text) for one in said]
    if len({tuple(text[::2]) for text in pieces}) > 1:
        return False
    first, places = pieces[0], _differing(pieces)
    return len(places) <= MOST_DIFFERING and not any(
        first[n - 1].endswith((", ", "(")) and first[n + 1].startswith(", ") for n in places
    )


def _differing(pieces: list[list[str]]) -> list[int]:
    """The places at which the texts have not all the same."""
    columns = zip(*pieces, strict=True)
    return [place for place, texts in enumerate(columns) if len(set(texts)) > 1]


def _one(cluster: list[Said]) -> Said:
    pieces = [_NUMBER.split(one.text) for one in cluster]
    by_race = sorted(
        (race, text) for one, text in zip(cluster, pieces, strict=True) for race in one.races
    )
    woven = list(pieces[0])
    for place in _differing(pieces):
        numbers = [text[place] for _, text in by_race]
        in_order = sorted(numbers, key=lambda number: (len(number), number))
        many = len(numbers) > MOST_NUMBERS
        woven[place] = f"{in_order[0]} to {in_order[-1]}" if many else listing(numbers)
    return Said(tuple(race for race, _ in by_race), "".join(woven))
