"""What counts as training: the athlete's own sports, else the endurance sports of a table."""

from __future__ import annotations

import pandas as pd

from taperback.importer.sports import counts_as_endurance
from taperback.journal.sports import Sport

TRANSITION = "transition"


def counts(sport: str, sub_sport: str, typed: tuple[Sport, ...]) -> bool:
    """Whether a leg of that sport counts as training; a transition never does.

    Args:
        sport, sub_sport: names of the FIT profile.
        typed: what the athlete types as `sports`; empty: the endurance sports of the table.

    >>> counts("cycling", "road", ()), counts("cycling", "e_bike_fitness", (Sport("cycling"),))
    (True, False)
    >>> counts("training", "yoga", (Sport("training", "yoga"),)), counts("generic", "", ())
    (True, True)
    """
    if sport == TRANSITION:
        return False
    if not typed:
        return counts_as_endurance(sport, sub_sport)
    name = _E_BIKE if sub_sport.startswith("e_bike") else sport
    return any(one.sport == name and one.sub_sport in ("", sub_sport) for one in typed)


_E_BIKE = "e_biking"
_SAYS_LITTLE = ("training", "fitness_equipment", "generic")
"""Sports of which the sub-sport says what was done."""


def activity(sport: str, sub_sport: str) -> str:
    """The name under which hours that do not count are given.

    >>> activity("cycling", "e_bike_fitness"), activity("training", "yoga"), activity("walking", "")
    ('e_biking', 'yoga', 'walking')
    """
    if sub_sport.startswith("e_bike"):
        return _E_BIKE
    return sub_sport if sport in _SAYS_LITTLE and sub_sport else sport or "generic"


def counted(legs: pd.DataFrame, typed: tuple[Sport, ...]) -> pd.Series:
    """Which legs count as training, as booleans; columns `sport` and `sub_sport` are looked at."""
    pairs = list(zip(legs["sport"], legs["sub_sport"], strict=True))
    training = {pair for pair in set(pairs) if counts(*pair, typed)}
    return pd.Series([pair in training for pair in pairs], index=legs.index, dtype=bool)


def hours_by_activity(
    legs: pd.DataFrame, typed: tuple[Sport, ...]
) -> tuple[dict[str, float], dict[str, float]]:
    """Hours of what counts as training and of what does not, by activity, the most first.

    Transitions are neither. Hours are moving time, else elapsed time; unknown ones are left out.
    """
    legs = legs[legs["sport"] != TRANSITION]
    names = [activity(*pair) for pair in zip(legs["sport"], legs["sub_sport"], strict=True)]
    hours = legs["moving_s"].fillna(legs["elapsed_s"]).astype(float) / 3600
    table = pd.DataFrame({"name": names, "hours": hours, "counts": counted(legs, typed)})
    sums = table.groupby(["counts", "name"])["hours"].sum().sort_values(ascending=False)
    by_kind: dict[bool, dict[str, float]] = {True: {}, False: {}}
    for (in_training, name), total in sums.items():
        by_kind[bool(in_training)][str(name)] = float(total)
    return by_kind[True], by_kind[False]


def hours_words(hours: dict[str, float]) -> str:
    """Hours by activity in words.

    >>> hours_words({"e_biking": 80.2, "generic": 0.4})
    'e-biking 80 h, no sport named 0.4 h'
    """
    return ", ".join(
        f"{activity_words(name)} {total:.{0 if total >= 10 else 1}f} h"
        for name, total in hours.items()
    )


def activity_words(name: str) -> str:
    """An activity as a person says it.

    >>> activity_words("e_biking"), activity_words("strength_training")
    ('e-biking', 'strength training')
    """
    words = {_E_BIKE: "e-biking", "generic": "no sport named"}
    return words.get(name, name.replace("_", " "))
