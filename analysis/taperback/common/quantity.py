"""A quantity as a person meets it: its name, label, unit, and how its value is printed."""

from __future__ import annotations

import math
from dataclasses import dataclass

MINUS = "\u2212"


@dataclass(frozen=True)
class Quantity:
    """One quantity and how a person meets it.

    Attributes:
        name: its key, which names the unit where it could be mistaken.
        label: what tables and sentences call it.
        unit: unit of the stored number.
        shown_unit: unit on the page; percent for a fraction.
        decimals: digits after the point on the page.
        scale: page value = stored value x scale.
        signed: whether a plus sign is shown.
        meaning: one sentence, as the glossary prints it.
    """

    name: str
    label: str
    unit: str
    shown_unit: str
    decimals: int
    meaning: str
    scale: float = 1.0
    signed: bool = False

    def number(self, value: float) -> str:
        """The value as digits, with a real minus sign and without the unit."""
        if math.isnan(value):
            return "unknown"
        digits = f"{abs(value * self.scale):.{self.decimals}f}"
        if float(digits) == 0:
            return digits
        sign = MINUS if value < 0 else "+" if self.signed else ""
        return sign + digits

    def show(self, value: float) -> str:
        """The value as a person reads it, with the unit."""
        digits = self.number(value)
        if digits == "unknown" or not self.shown_unit:
            return digits
        gap = "" if self.shown_unit == "%" else " "
        unit = "day" if self.shown_unit == "days" and digits == "1" else self.shown_unit
        return f"{digits}{gap}{unit}"


def fraction(name: str, label: str, meaning: str, *, decimals: int = 0) -> Quantity:
    """A share or a change, 1 being the whole, shown in percent."""
    return Quantity(name, label, "fraction", "%", decimals, meaning, scale=100.0)


def hours(name: str, label: str, meaning: str) -> Quantity:
    """Hours, shown to a tenth."""
    return Quantity(name, label, "h", "h", 1, meaning)


def days(name: str, label: str, meaning: str) -> Quantity:
    """Whole days."""
    return Quantity(name, label, "d", "days", 0, meaning)


def beats(name: str, label: str, meaning: str, *, signed: bool = False) -> Quantity:
    """A heart rate or its change, shown to a tenth."""
    return Quantity(name, label, "bpm", "bpm", 1, meaning, signed=signed)


def score(name: str, label: str, meaning: str) -> Quantity:
    """What an athlete rates; its label says from where to where."""
    return Quantity(name, label, "rating", "", 1, meaning)


def word(name: str, label: str, meaning: str) -> Quantity:
    """A quantity given in words, without a number."""
    return Quantity(name, label, "", "", 0, meaning)
