"""Sports and sub-sports by the names of the FIT profile, from `shared/sports.toml`."""

from __future__ import annotations

from collections.abc import Mapping

from taperback.common.files.resources import shared_toml
from taperback.common.files.typed_toml import Section, as_dataclass


class SportTable(Section):
    """The table as it stands; each field is explained in the file."""

    names: tuple[str, ...]
    counts: tuple[str, ...]
    counts_not: tuple[str, ...]
    on_feet: tuple[str, ...]
    invented: tuple[str, ...]
    indoors: tuple[str, ...]
    beside: tuple[str, ...]
    whole_races: Mapping[str, tuple[str, ...]]
    machines: Mapping[str, str]
    words: Mapping[str, tuple[str, ...]]
    words_of_files: Mapping[str, str]
    numbers: Mapping[str, str]


SPORT_TABLE = as_dataclass(SportTable, shared_toml("sports.toml"), "sports.toml")

MEANT_BY: Mapping[str, tuple[str, str]] = {
    word: (sport, sub_sport)
    for name, words in SPORT_TABLE.words.items()
    for sport, _, sub_sport in (name.partition("/"),)
    for word in words
} | {name.replace("_", " "): (name, "") for name in SPORT_TABLE.names}
"""Word in small letters, blanks between its parts -> (sport, sub-sport), whoever wrote it."""


def sport_of_word(word: str) -> tuple[str, str]:
    """(sport, sub-sport) that a word or number of a TCX or GPX file means, empty where unknown.

    >>> sport_of_word("Trail Running")
    ('running', 'trail')
    >>> sport_of_word("9")
    ('running', '')
    >>> sport_of_word("user")
    ('', '')
    """
    name = word.strip().lower().replace("_", " ").replace("-", " ")
    only_here = SPORT_TABLE.words_of_files.get(name) or SPORT_TABLE.numbers.get(name, "")
    return MEANT_BY.get(name, (only_here, ""))


def trained_sport(sport: str, sub_sport: str) -> str:
    """The sport that was trained, where a device only says that it was on a machine.

    >>> trained_sport("fitness_equipment", "treadmill"), trained_sport("training", "yoga")
    ('running', 'training')
    """
    on_machine = sport in ("fitness_equipment", "generic", "")
    return SPORT_TABLE.machines.get(sub_sport, sport) if on_machine else sport


def counts_as_endurance(sport: str, sub_sport: str = "") -> bool:
    """Whether a leg counts as endurance training where the athlete types no sports.

    >>> counts_as_endurance("cycling"), counts_as_endurance("cycling", "e_bike_mountain")
    (True, False)
    """
    return sport in SPORT_TABLE.counts and sub_sport not in SPORT_TABLE.counts_not


def tells_a_place(sub_sport: str) -> bool:
    """Whether positions of such a leg say where the athlete was.

    >>> tells_a_place("road"), tells_a_place("virtual_activity")
    (True, False)
    """
    return sub_sport not in SPORT_TABLE.invented + SPORT_TABLE.indoors


def is_indoors(sub_sport: str) -> bool:
    """Whether it is trained under a roof, on the spot.

    >>> is_indoors("treadmill")
    True
    """
    return sub_sport in SPORT_TABLE.indoors
