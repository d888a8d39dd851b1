"""What a session of intervals was, as a coach would write it: 5 x 1 km at 3:45 /km."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.limits import Repetitions as Limits
from taperback.importer.model import Bout
from taperback.raceweek.wording import level_words


@dataclass(frozen=True)
class Repetitions:
    """A session's repetitions.

    Attributes:
        sport: FIT sport name.
        count: how many there were.
        kind: `distance` or `time`, whichever the repetitions were set by.
        size: their usual name, in m or s; the rounded mean where it has none.
        signal: what the level is measured in: `power`, `speed` or `heart_rate`.
        level: mean over the repetitions [W, m/s or bpm].
        work_s: seconds of work in all of them.
    """

    sport: str
    count: int
    kind: str
    size: float
    signal: str
    level: float
    work_s: float

    def __str__(self) -> str:
        return f"{self.count} x {self.size_label} at {self.level_words(self.level)}"

    @property
    def size_label(self) -> str:
        """The size as a coach says it.

        >>> Repetitions("running", 5, "distance", 1000, "speed", 4.44, 1126).size_label
        '1 km'
        """
        if self.kind == "distance":
            return f"{self.size / 1000:g} km" if self.size >= 1000 else f"{self.size:g} m"
        in_minutes = self.size >= 120 and self.size % 30 == 0
        return f"{self.size / 60:g} min" if in_minutes else f"{self.size:g} s"

    def level_words(self, level: float) -> str:
        """A level of this kind as a coach says it: pace for runs and swims, watts, or beats."""
        return " ".join(level_words(self.sport, self.signal, level))

    def like(self, other: Repetitions) -> bool:
        """Whether both are the same kind of session, whatever the number and the level."""
        alike = LIMITS.repetitions.alike_size
        return (self.sport, self.kind, self.signal) == (
            other.sport,
            other.kind,
            other.signal,
        ) and abs(self.size - other.size) <= alike * other.size


def recognise(sport: str, bouts: Sequence[Bout]) -> Repetitions | None:
    """The session's repetitions, or None where its bouts are not alike.

    The repetitions are the largest group of bouts that last about as long as one of them, at about
    its level; they must be at least half of the bouts, so that a warm-up does not hide them.
    """
    limits = LIMITS.repetitions
    if len(bouts) < limits.fewest:
        return None
    signals = {"power": "power_w"} if sport == "cycling" else {}
    signals |= {"speed": "speed_mps", "heart_rate": "heart_rate_bpm"}
    means = {name: np.array([getattr(b, of) for b in bouts]) for name, of in signals.items()}
    of_all = [name for name, level in means.items() if np.isfinite(level).all()]
    if not of_all:
        return None
    signal, level = of_all[0], means[of_all[0]]
    duration = np.array([bout.duration_s for bout in bouts])
    alike = (np.abs(duration[:, None] - duration) <= limits.alike_duration * duration + 2) & (
        np.abs(level[:, None] - level) <= limits.alike_level * level
    )
    group = alike[:, int(np.argmax(duration @ alike))]
    if group.sum() < max(limits.fewest, len(bouts) / 2):
        return None
    distance = np.array([bout.distance_m for bout in bouts])[group]
    kind, size = _size(sport, distance, duration[group], limits)
    weights = duration[group]
    return Repetitions(
        sport,
        int(group.sum()),
        kind,
        size,
        signal,
        float(np.average(level[group], weights=weights)),
        float(weights.sum()),
    )


def _size(
    sport: str, distance: np.ndarray, duration: np.ndarray, limits: Limits
) -> tuple[str, float]:
    """What the repetitions were set by, and how long they were by name."""
    metres, seconds = float(np.mean(distance)), float(np.mean(duration))
    if sport in limits.distances_m and np.isfinite(metres):
        named = _nearest(metres, limits.distances_m[sport])
        if abs(named - metres) <= limits.named_distance * named:
            return "distance", named
    named = _nearest(seconds, limits.times_s)
    if abs(named - seconds) <= limits.named_time * named:
        return "time", named
    return "time", 5.0 * round(seconds / 5)


def _nearest(value: float, names: Sequence[float]) -> float:
    return float(min(names, key=lambda name: abs(name - value)))
