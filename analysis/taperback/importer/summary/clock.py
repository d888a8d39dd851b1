"""The time axis of a recording: one clock that runs forward, one sample a second."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np

from taperback.common.errors import InputError
from taperback.common.importer_limits import Cleaning
from taperback.importer.recording import SAMPLE_COLUMNS

_TELLING = [
    SAMPLE_COLUMNS.index(name)
    for name in ("time_s", "lat", "lon", "altitude_m", "power_w", "heart_rate_bpm")
]


def one_clock(
    time: np.ndarray,
    limits: Cleaning,
    removed: dict[str, float],
    speed: np.ndarray | None = None,
) -> tuple[np.ndarray, np.ndarray]:
    """(time in whole seconds [Unix s], index of each sample's row), ascending, one a second.

    A clock that jumps while recording was set by the device, or is broken. A short stretch on
    another clock is left out; a long one is moved up against its neighbour, since it was trained.
    Of two samples in one second the one that moves is kept, of equal ones the later in the file:
    at a lap's edge a device may repeat the last moment with a speed of zero.

    Args:
        time: Unix time of each sample [s], in the file's order, NaN where it has none; shape (n,).
        limits: `cleaning` of `shared/limits.toml`.
        removed: seconds that each rule took out, by name; this adds to it.
        speed: measured at each sample [m/s], NaN where it was not, shape (n,).
    """
    rows = np.flatnonzero(np.isfinite(time))
    time = np.floor(time[rows])
    for step in (_without_short_runs, _moved_together):
        time, kept = step(time, limits, removed)
        rows = rows[kept]
    steps = np.diff(time)
    if (steps > 0).all():
        return time, rows
    disorder = int(np.count_nonzero(steps < 0))
    if disorder:
        removed["clock ran backwards"] = float(disorder)
    moves = np.zeros(len(rows), bool) if speed is None else speed[rows] > 0
    order = np.lexsort((moves, time))  # stable, so that the file's order decides last
    time = time[order]
    last = np.append(np.diff(time) > 0, True)[: len(time)]
    return time[last], rows[order[last]]


def first_told(samples: np.ndarray, limits: Cleaning) -> np.ndarray:
    """Which samples are no repetition of an earlier one, as of a track that a file holds twice.

    Args:
        samples: columns `SAMPLE_COLUMNS`, in the file's order, shape (n, 9).

    Returns:
        bool, shape (n,); all True where the clock never goes back.
    """
    first = np.ones(len(samples), bool)
    if not (np.diff(samples[:, _TELLING[0]]) < -limits.clock_back_s).any():
        return first
    measured = samples[:, _TELLING]
    has_value = np.isfinite(measured[:, 1:]).any(axis=1)
    rows = np.flatnonzero(has_value)
    _, places = np.unique(np.nan_to_num(measured[rows]), axis=0, return_index=True)
    first[rows] = False
    first[rows[places]] = True
    return first


def _runs(time: np.ndarray, limits: Cleaning) -> np.ndarray:
    """Number of the stretch between clock jumps that each sample lies in; shape (n,)."""
    steps = np.diff(time)
    jumps = (steps < -limits.clock_back_s) | (steps > limits.clock_ahead_s)
    return np.concatenate([[0], np.cumsum(jumps)])[: len(time)]


def _without_short_runs(
    time: np.ndarray, limits: Cleaning, removed: dict[str, float]
) -> tuple[np.ndarray, np.ndarray]:
    kept = np.arange(len(time))
    if _runs(time, limits).max(initial=0):
        # Lone samples from later on, behind which the clock goes on as before.
        stray = (time[2:] - time[1:-1] < -limits.clock_back_s) & (time[2:] >= time[:-2])
        kept = np.delete(kept, 1 + np.flatnonzero(stray))
        run = _runs(time[kept], limits)
        sizes = np.bincount(run, minlength=1)
        kept = kept[sizes[run] >= min(limits.clock_run_s, sizes.max())]
    if len(kept) < len(time):
        removed["clock astray"] = float(len(time) - len(kept))
    return time[kept], kept


def _moved_together(
    time: np.ndarray, limits: Cleaning, removed: dict[str, float]
) -> tuple[np.ndarray, np.ndarray]:
    """Stretches on other clocks, moved up against the longest one, which is believed."""
    everything = np.arange(len(time))
    run = _runs(time, limits)
    if not len(time) or run[-1] == 0 or _only_out_of_order(time, run, limits):
        return time, everything
    first = np.flatnonzero(np.diff(run)) + 1
    jump = np.concatenate([[0.0], np.cumsum(time[first] - time[first - 1] - 1)])
    longest = int(np.argmax(np.bincount(run)))
    removed["clock set while recording"] = float(np.count_nonzero(run != longest))
    return time - (jump[run] - jump[longest]), everything


def _only_out_of_order(time: np.ndarray, run: np.ndarray, limits: Cleaning) -> bool:
    """Whether the stretches follow each other without overlap once they are sorted."""
    starts = np.array([time[run == one].min() for one in range(min(run[-1] + 1, 50))])
    ends = np.array([time[run == one].max() for one in range(len(starts))])
    order = np.argsort(starts)
    between = starts[order][1:] - ends[order][:-1]
    return bool(
        len(starts) == run[-1] + 1
        and (between > 0).all()
        and (between <= limits.clock_ahead_s).all()
    )


def started_s(stated: datetime, time: np.ndarray, limits: Cleaning) -> float:
    """When the leg started [Unix s]: as stated, unless its samples contradict that.

    Args:
        stated: the file's word, timezone-aware.
        time: as `one_clock` gives it [Unix s], shape (n,).
        limits: `cleaning` of `shared/limits.toml`.

    Raises:
        InputError: no clock counts from such a year, or the leg lasts for days.
    """
    start = stated.timestamp()
    if len(time) and not 0 <= time[0] - start <= limits.start_before_s:
        start = float(time[0])
    year = datetime.fromtimestamp(start, tz=UTC).year
    if not limits.oldest_year <= year <= limits.last_year:
        raise InputError(
            f"it is dated {datetime.fromtimestamp(start, tz=UTC):%Y-%m-%d}, so its clock was not "
            "set",
            "export it with the right date, or leave it out",
        )
    if len(time) and time[-1] - start > limits.longest_s:
        raise InputError(
            f"it lasts {(time[-1] - start) / 3600:.0f} hours, so its clock jumped",
            "export the activity again, or leave it out",
        )
    return start
