"""How each race went: one scale of result for all races compared, and how hard it felt."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist, median
from typing import Any

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.published import PUBLISHED
from taperback.common.quantities import show
from taperback.common.wording import number_of
from taperback.journal.times import about, clock
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.result.race_file import FileTimes, file_times, holder_of
from taperback.raceweek.window.window import Window

TIMES = ("reference_time", "expected_time")
SCALES = (*TIMES, "place")
"""Scales of result; on a tie the earlier one is taken, since a field shares the day's course."""

BY_PLACE = "by place"
"""What stands beside a result that is no time: a field's strength moves it, too."""

_COMPARED = {
    "reference_time": "by time against the field's",
    "expected_time": "by time against the expected one",
    "place": BY_PLACE,
}
_STATUS_WORDS = {
    "dnf": "the race was not finished",
    "dns": "the race was not started",
    "cancelled": "the race was cancelled",
    "short_course": "the course was shortened",
}
_NEEDED = {
    "reference_time": {"finish_time_s": "a finish time", "reference_time_s": "a reference time"},
    "expected_time": {"finish_time_s": "a finish time", "expected_time_s": "an expected time"},
    "place": {"place": "a place", "field_size": "the size of the field"},
}
"""What each scale needs of a race, by column of the journal."""


@dataclass(frozen=True)
class Scale:
    """The one scale on which the races are compared.

    Attributes:
        name: one of `SCALES`, or empty where no race has a result.
        usual: the athlete's usual ratio to the reference, or usual normal score; NaN for
            `expected_time`.
        races: how many races have it.
        out_of: how many races could have it.
        reference: what the reference time is in the races compared, as typed; a ratio to a winner
            and one to a median are two things.
    """

    name: str
    usual: float
    races: int
    out_of: int
    reference: str = ""


def outcomes(
    windows: tuple[Window, ...],
    races: pd.DataFrame,
    doubted: tuple[Mapping[str, str], ...] | None = None,
) -> tuple[tuple[Measured, ...], ...]:
    """`result_pct` and `race_rpe` of each race, in the order of the windows.

    Args:
        windows: one per race.
        races: the journal's races in the same order.
        doubted: for each race, outcome -> why what is typed of it is not believed.
    """
    rows = _with_doubts(races, doubted)
    scale = choose_scale(rows)
    return tuple(
        (_result(row, scale, window), _rpe(row, window))
        for row, window in zip(rows, windows, strict=True)
    )


def scale_of(races: pd.DataFrame, doubted: tuple[Mapping[str, str], ...] | None = None) -> Scale:
    """The one scale of all races, from the arguments of `outcomes`."""
    return choose_scale(_with_doubts(races, doubted))


def _with_doubts(
    races: pd.DataFrame, doubted: tuple[Mapping[str, str], ...] | None
) -> list[dict[str, Any]]:
    whys = doubted or ({},) * len(races)
    return [row | {"doubted": why} for row, why in zip(races.to_dict("records"), whys, strict=True)]


def choose_scale(rows: list[dict[str, Any]]) -> Scale:
    """The scale of time that most of the comparable races have; on a tie the first of `SCALES`.

    Places come first only where no two races have a time to compare: one time that is not typed
    makes its own race unknown and turns no other's result into a place.

    The usual ratio (or score) is the median over all races that have it. It is one number for all
    of them, so that it moves every result alike and changes no order and no slope.
    """
    compared = [row for row in rows if not why_left_out(row)]
    held = {name: [row for row in compared if _raw(row, name) is not None] for name in SCALES}
    kinds = Counter(_kind(row) for row in held["reference_time"])
    kind = kinds.most_common(1)[0][0] if kinds else ""
    held["reference_time"] = [row for row in held["reference_time"] if _kind(row) == kind]
    name = max(TIMES, key=lambda scale: len(held[scale]))
    if len(held[name]) < 2:
        name = max(SCALES, key=lambda scale: len(held[scale]))
    if not held[name]:
        return Scale("", float("nan"), 0, len(compared))
    usual = median(_raw(row, name) or 0.0 for row in held[name])
    return Scale(name, usual, len(held[name]), len(compared), kind)


def _kind(row: Mapping[str, Any]) -> str:
    """What the reference time is, in a form that small differences of typing do not change."""
    return " ".join(str(row["reference"]).lower().split())


def why_left_out(row: Mapping[str, Any], outcome: str = "result_pct") -> str:
    """Why a race is shown and not compared; empty where it is."""
    if row["leave_out"]:
        return f"left out by the journal: {row['leave_out']}"
    return _STATUS_WORDS.get(row["status"], "") or row["doubted"].get(outcome, "")


def _raw(row: Mapping[str, Any], scale: str) -> float | None:
    """The race's own figure on a scale: time over the comparison's time, or a normal score."""
    if scale == "place":
        place, field = row["place"], row["field_size"]
        if not (1 <= place <= field):
            return None
        return NormalDist().inv_cdf(1 - (place - 0.5) / field)
    ratio = row["finish_time_s"] / row[f"{scale}_s"] if row[f"{scale}_s"] else float("nan")
    return None if ratio != ratio or _unlike(row, scale) else ratio


def _unlike(row: Mapping[str, Any], scale: str) -> str:
    """Why the two times cannot belong to one race; empty where they can, or one is not there."""
    if scale == "place":
        return ""
    low, high = LIMITS.journal.finish_share
    share = row[f"{scale}_s"] / row["finish_time_s"] if row["finish_time_s"] else float("nan")
    if share != share or low < share < high:
        return ""
    typed, finish = clock(row[f"{scale}_s"]), clock(row["finish_time_s"])
    return f"its {scale} of {typed} cannot belong to a finish_time of {finish}"


def _lacking(row: Mapping[str, Any], scale: Scale, times: FileTimes | None) -> str:
    """What the race would need to be compared; all of it where what is there does not fit."""
    needed = _NEEDED[scale.name]
    lacking = [words for column, words in needed.items() if not row[column] > 0]
    return (
        f"races are compared {_COMPARED[scale.name]}, which {scale.races} of {scale.out_of} have; "
        f"this one lacks {' and '.join(lacking or needed.values())}"
        + (
            f" (its file lasts {clock(times.elapsed_s)})"
            if times and not row["finish_time_s"] > 0
            else ""
        )
    )


def _result(row: Mapping[str, Any], scale: Scale, window: Window) -> Measured:
    name = "result_pct"
    reason = why_left_out(row)
    if reason:
        return unknown(name, reason)
    if not scale.name:
        reason = "no race has a finish time with an expected or reference time, nor a place"
        return unknown(name, reason)
    raw = _raw(row, scale.name)
    times = file_times(window) if scale.name in TIMES else None
    if raw is None:
        return unknown(name, _unlike(row, scale.name) or _lacking(row, scale, times))
    if scale.name == "reference_time" and _kind(row) != scale.reference:
        others = scale.reference or "not named"
        return unknown(
            name,
            f"its reference time is {_kind(row) or 'not named'}, that of the races compared is "
            f"{others}",
        )
    if scale.name != "expected_time" and scale.races < 2:
        what = scale.name.replace("_", " ")
        return unknown(name, f"only one race has a {what}, so there is no usual one to compare")
    value, basis = _value(row, raw, scale)
    if times and abs(times.elapsed_s - row["finish_time_s"]) < 0.5:
        basis += "; the finish time is the time of its file"
    caveat = BY_PLACE if scale.name == "place" else ""
    return Measured(name, value, basis=basis, days=(row["date"],), caveat=caveat)


def _value(row: Mapping[str, Any], raw: float, scale: Scale) -> tuple[float, str]:
    """(the result [%], how it was made) of a race's own figure on the scale."""
    races = number_of(scale.races, "race")
    if scale.name == "place":
        spread = PUBLISHED.outcome.field_spread_pct.value
        return (raw - scale.usual) * spread, (
            f"place {row['place']:.0f} of {row['field_size']:.0f} is a normal score of {raw:+.2f}; "
            f"the usual one is {scale.usual:+.2f}, the median of {races}; one standard deviation "
            f"of a field is taken as {spread:g}% of time"
        )
    finish = clock(row["finish_time_s"])
    if scale.name == "expected_time":
        source = row.get("expected_source") or ""
        named = f" ({source})" if isinstance(source, str) and source else ""
        expected = (about if named else clock)(row["expected_time_s"])
        return 100 * (1 - raw), f"{finish} against an expected {expected}{named}"
    return 100 * (1 - raw / scale.usual), (
        f"{finish} is {raw:.3f} of {clock(row['reference_time_s'])} "
        f"({row['reference'] or 'the reference'}); the athlete's usual ratio is "
        f"{scale.usual:.3f}, the median of {races}"
    )


def _rpe(row: Mapping[str, Any], window: Window) -> Measured:
    """The journal's word, else the session RPE that the race's file holds."""
    name = "race_rpe"
    reason = why_left_out(row, name)
    if reason:
        return unknown(name, reason)
    typed = row["race_rpe"]
    if typed == typed:
        return Measured(name, float(typed), basis="from the journal", days=(window.day0,))
    legs = window.race_day_legs
    rated = legs.where(legs.known("session_rpe"))
    if not len(rated):
        return unknown(name, "neither the journal nor the race's file tells it", (window.day0,))
    value = float(rated["session_rpe"].max())
    basis = f"session RPE {show(name, value)} in {holder_of(rated)}"
    return Measured(name, value, basis=basis, days=(window.day0,), legs=rated.ids)
