"""The three ways to tell how hard a second was, and which of them serves which sport."""

from __future__ import annotations

from dataclasses import dataclass

from taperback.importer.model import HEART_RATE_BIN_BPM, POWER_BIN_W, SPEED_BIN_MPS


@dataclass(frozen=True)
class Signal:
    """One way to tell how hard a second was.

    Attributes:
        name: `power`, `speed` or `heart_rate`.
        second: name of its second threshold in the journal and in files.
        unit, decimals: how its level is printed.
        histogram, bin_width: the column of `LegSummary` that holds seconds per bin, and its bins.
        best: the column of best mean efforts, empty for heart rate.
        of_bout: the attribute of `Bout` that holds its mean.
    """

    name: str
    second: str
    unit: str
    decimals: int
    histogram: str
    bin_width: float
    best: str
    of_bout: str

    @property
    def label(self) -> str:
        """How a sentence calls it."""
        return self.name.replace("_", " ")

    def show(self, level: float) -> str:
        """A level with its unit."""
        return f"{level:.{self.decimals}f} {self.unit}"


POWER = Signal(
    "power", "critical_power_w", "W", 0, "power_seconds", POWER_BIN_W, "best_power_w", "power_w"
)
SPEED = Signal(
    "speed",
    "critical_speed_mps",
    "m/s",
    2,
    "speed_seconds",
    SPEED_BIN_MPS,
    "best_speed_mps",
    "speed_mps",
)
HEART_RATE = Signal(
    "heart_rate",
    "second_threshold_heart_rate_bpm",
    "bpm",
    0,
    "heart_rate_seconds",
    HEART_RATE_BIN_BPM,
    "",
    "heart_rate_bpm",
)

_DIRECT = {"cycling": POWER, "running": SPEED, "swimming": SPEED}


def signals_of(sport: str) -> tuple[Signal, ...]:
    """The signals that can tell a sport's intensity, the more direct one first."""
    return (_DIRECT[sport], HEART_RATE) if sport in _DIRECT else (HEART_RATE,)
