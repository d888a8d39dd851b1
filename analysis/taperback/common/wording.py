"""Numbers and lists as sentences hold them."""

from __future__ import annotations

import math
from collections.abc import Iterable

_SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def number_of(n: int, noun: str, plural: str = "") -> str:
    """So many of a thing, in digits, as a measure's basis has it.

    >>> number_of(1, "night"), number_of(5, "night")
    ('1 night', '5 nights')
    """
    return f"{n} {noun if n == 1 else plural or noun + 's'}"


def number_word(n: int) -> str:
    """The number as a word up to ten, as digits above.

    >>> number_word(5), number_word(12)
    ('five', '12')
    """
    return _SMALL[n] if 0 <= n < len(_SMALL) else str(n)


def count(n: int, noun: str, plural: str = "") -> str:
    """So many of a thing, in words, as a sentence of the page has it.

    >>> count(1, "race"), count(0, "race"), count(5, "race")
    ('one race', 'no races', 'five races')
    """
    return f"{number_word(n)} {noun if n == 1 else plural or noun + 's'}"


def out_of(n: int, total: int, noun: str) -> str:
    """So many of all, as a sentence of the page has it.

    >>> out_of(2, 5, "race"), out_of(5, 5, "race"), out_of(1, 1, "race")
    ('two of five races', 'all five races', 'your one race')
    """
    if n < total:
        return f"{number_word(n)} of {count(total, noun)}"
    return f"your {count(total, noun)}" if total == 1 else f"all {count(total, noun)}"


def listing(items: Iterable[str], last: str = "and") -> str:
    """Items as a list in a sentence.

    >>> listing(["A", "B", "C"])
    'A, B and C'
    """
    *first, end = list(items) or [""]
    return f"{', '.join(first)} {last} {end}" if first else end


def some(names: Iterable[str], shown: int = 4) -> str:
    """The first names, and how many more there are.

    >>> some(["Ada", "Bo"]), some("ABCDEF")
    ('Ada and Bo', 'A, B, C, D and 2 more')
    """
    every = list(names)
    more = [f"{len(every) - shown} more"] if len(every) > shown else []
    return listing([*every[:shown], *more])


def upper_first(text: str) -> str:
    """The text with a capital letter in front; its other letters stay.

    >>> upper_first("race RPE")
    'Race RPE'
    """
    return text[:1].upper() + text[1:]


def hours_and_minutes(minutes: float) -> str:
    """A length of time as people say it; up to two hours in minutes; NaN where nobody knows it.

    >>> hours_and_minutes(427), hours_and_minutes(90), hours_and_minutes(180)
    ('7 h 7 min', '90 min', '3 h')
    >>> hours_and_minutes(float("nan"))
    'an unknown time'
    """
    if math.isnan(minutes):
        return "an unknown time"
    whole = round(minutes)
    if whole <= 120:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"
