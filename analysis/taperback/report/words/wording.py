"""Words and numbers as sentences need them: plurals, lists, ranges, days, names."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from taperback.common.quantity import Quantity
from taperback.common.wording import listing, upper_first
from taperback.evidence.model import Estimate

_SPORTS = {"swimming": "swim", "cycling": "bike", "running": "run"}
LONGEST_NAME = 70
"""Letters of a name that headings show; the whole name is in `study.json`."""


def races_named(keys: Sequence[str]) -> str:
    """Races by their letters.

    >>> races_named(["A"]), races_named(["A", "B"])
    ('race A', 'races A and B')
    """
    return f"race{'' if len(keys) == 1 else 's'} {listing(keys)}"


def sentence(text: str) -> str:
    """The text with a capital letter in front and a full stop behind."""
    return upper_first(stopped(text))


def readable(text: str) -> str:
    """The text as a sentence, or as several where it is longer than a breath.

    >>> readable(f"no usual week: a race; {'of its days nothing is known ' * 5}")[:27]
    'No usual week: a race. Of i'
    """
    text = sentence(text)
    if len(text.split()) <= LONGEST_BREATH:
        return text
    for sign in ("; ", ": ", " ("):
        parts = _split_outside(text, sign)
        if len(parts) > 1:
            return " ".join(readable(part) for part in parts)
    return text


LONGEST_BREATH = 30
"""Words of a reason that is left as it is."""


def _split_outside(text: str, sign: str) -> list[str]:
    """The parts between such signs outside of parentheses; " (" parts what stands in them."""
    parts, depth, start = [], 0, 0
    for place, letter in enumerate(text):
        if depth == 0 and text.startswith(sign, place):
            parts.append(text[start:place])
            start = place + len(sign)
        depth += {"(": 1, ")": -1}.get(letter, 0)
        if sign == " (" and depth == 0 and letter == ")":
            parts.append(text[start:place])
            start = place + 1
    parts.append(text[start:])
    return [part for part in (part.strip(" ,") for part in parts) if part.strip(".")]


def stopped(text: str) -> str:
    """The text with a full stop behind, unless it has one."""
    text = text.strip()
    return text if not text or text[-1] in ".!?" else f"{text}."


def span(quantity: Quantity, low: float, high: float) -> str:
    """A range as a person reads it, its unit once.

    >>> from taperback.common.quantities import QUANTITIES
    >>> span(QUANTITIES["volume_cut"], 0.4, 0.55)
    '40 to 55%'
    """
    if math.isinf(low) and math.isinf(high):
        return "any"
    if math.isinf(low):
        return f"at most {quantity.show(high)}"
    if math.isinf(high):
        return f"at least {quantity.show(low)}"
    if quantity.number(low) == quantity.number(high):
        return quantity.show(high)
    return f"{quantity.number(low)} to {quantity.show(high)}"


def is_nothing(quantity: Quantity, value: float) -> bool:
    """Whether the value rounds to zero on the page.

    >>> from taperback.common.quantities import QUANTITIES
    >>> is_nothing(QUANTITIES["volume_cut"], 0.004), is_nothing(QUANTITIES["volume_cut"], 0.006)
    (True, False)
    """
    return float(f"{abs(value * quantity.scale):.{quantity.decimals}f}") == 0


def interval(quantity: Quantity, estimate: Estimate) -> str:
    """An estimate and its interval.

    >>> from taperback.common.outcomes import RESULT
    >>> interval(RESULT.difference, Estimate(1.84, -0.2, 3.9))
    '+1.8% (90% interval −0.2 to +3.9%)'
    """
    low_high = span(quantity, estimate.low, estimate.high)
    return f"{quantity.show(estimate.mean)} (90% interval {low_high})"


def days_before(days: int) -> str:
    """How long before the race.

    >>> days_before(1), days_before(3), days_before(0)
    ('the day before', '3 days before', 'race day')
    """
    if days <= 0:
        return "race day"
    return "the day before" if days == 1 else f"{days} days before"


def sport_word(sport: str) -> str:
    """What athletes call a sport.

    >>> sport_word("cycling"), sport_word("cross_country_skiing")
    ('bike', 'cross country skiing')
    """
    return _SPORTS.get(sport, sport.replace("_", " "))


def sport_order(sports: Iterable[str], first: Iterable[str] = ()) -> list[str]:
    """The sports once each: as the athlete lists them, then as a triathlon does, then by name."""
    order = {sport: place for place, sport in enumerate(dict.fromkeys([*first, *_SPORTS]))}
    return sorted(set(sports), key=lambda sport: (order.get(sport, len(order)), sport))


def short(name: str, longest: int = LONGEST_NAME) -> str:
    """The name, cut where it is longer than a heading can carry."""
    name = " ".join(name.split())
    return name if len(name) <= longest else name[: longest - 1].rstrip() + "…"


def race_key(place: int) -> str:
    """The letter that stands for the race in charts and tables: A for the first.

    >>> race_key(0), race_key(25), race_key(26)
    ('A', 'Z', 'AA')
    """
    letters = ""
    place += 1
    while place:
        place, letter = divmod(place - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def p_text(p: float) -> str:
    """A p-value with the digits it deserves.

    >>> p_text(0.0167), p_text(0.24), p_text(0.00004)
    ('p = 0.017', 'p = 0.24', 'p < 0.001')
    """
    if math.isnan(p):
        return "p unknown"
    if p < 0.001:
        return "p < 0.001"
    return f"p = {p:.3f}" if p < 0.1 else f"p = {p:.2f}"
