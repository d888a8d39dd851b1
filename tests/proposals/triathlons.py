"""A race of three sports, made up."""

from __future__ import annotations

from dataclasses import replace

from build import multisport
from taperback.importer.model import LegSummary

PARTS = (("swimming", 0.45), ("transition", 0.02), ("cycling", 1.1), ("running", 0.7))
METRES = {"swimming": 1500.0, "cycling": 39_000.0, "running": 10_200.0, "transition": 100.0}


def triathlon(when: int, **metres: float) -> list[LegSummary]:
    sizes = METRES | metres
    return [replace(part, distance_m=sizes[part.sport]) for part in multisport(when, *PARTS)]
