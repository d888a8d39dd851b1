"""A race's diary as small charts below one another, on the axis of the strip above them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from taperback.report.charts.layout import (
    panel_axis,
    panel_name,
    stack,
    still_layout,
    three_weeks,
    upright,
)
from taperback.report.sections.diary import DiaryView, Panel

_HIGH = 34
"""Pixels of a small chart."""


@dataclass(frozen=True)
class _Small:
    """One small chart: its name, traces, what its axis shows, and its usual value, if any."""

    name: str
    traces: tuple[dict[str, Any], ...]
    ends: tuple[float, float]
    ticks: tuple[float, ...] = ()
    usual: float | None = None


def diary_chart(view: DiaryView) -> dict[str, Any]:
    """Each rating, the resting heart rate, and the days with a massage or a note."""
    smalls = [*map(_of_panel, view.panels), *_of_marks(view)]
    height, places = stack([_HIGH] * len(smalls))
    data: list[dict[str, Any]] = []
    axes: dict[str, Any] = {}
    shapes = [upright(-7.5, "dot", "@muted"), upright(0, "solid", "@ink")]
    for n, (small, place) in enumerate(zip(smalls, places, strict=True)):
        number = str(n + 1) if n else ""
        axes[f"yaxis{number}"] = panel_axis(small.ends, place, small.ticks)
        data += [trace | {"yaxis": f"y{number}"} for trace in small.traces]
        if small.usual is not None:  # a dotted line, as the strip has for sleep
            ends = {"x0": -21.5, "x1": 0.5, "y0": small.usual, "y1": small.usual}
            line = upright(0, "dot", "@muted")
            shapes.append(line | ends | {"yref": f"y{number}", "layer": "below"})
    return {
        "data": data,
        "layout": {
            **still_layout(height + 50, left=34, top=4, right=12),
            "xaxis": three_weeks(f"y{len(smalls) if len(smalls) > 1 else ''}"),
            **axes,
            "shapes": shapes,
            "annotations": [
                panel_name(small.name, place.head)
                for small, place in zip(smalls, places, strict=True)
            ],
        },
    }


def _of_panel(panel: Panel) -> _Small:
    """A line through the typed days; a day that was not typed is a gap."""
    values = dict(panel.points)
    low, high = panel.ends
    room = 0.12 * (high - low) or 1.0
    line = {
        "type": "scatter",
        "mode": "lines+markers",
        "name": panel.label,
        "x": list(range(-21, 1)),
        "y": [values.get(k) for k in range(-21, 1)],
        "connectgaps": False,
        "line": {"color": "@ink", "width": 1.5},
        "marker": {"color": "@ink", "size": 4},
        "cliponaxis": False,
        "hovertemplate": f"{panel.label} %{{y}}<extra></extra>",
    }
    ticks = tuple(dict.fromkeys((low, high)))
    return _Small(panel.label, (line,), (low - room, high + room), ticks, panel.usual)


def _of_marks(view: DiaryView) -> tuple[_Small, ...]:
    """The days that have a mark and no number, a kind of mark on each line."""
    kinds = (("massage", "◆", "diamond", view.massages), ("note", "□", "square-open", view.noted))
    shown = [kind for kind in kinds if kind[-1]]
    if not shown:
        return ()
    traces = tuple(
        {
            "type": "scatter",
            "mode": "markers",
            "name": name,
            "x": list(days),
            "y": [-line] * len(days),
            "marker": {"symbol": symbol, "size": 8, "color": "@ink"},
            "cliponaxis": False,
            "hovertemplate": f"{name}<extra></extra>",
        }
        for line, (name, _, symbol, days) in enumerate(shown)
    )
    names = " · ".join(f"{sign} {name}" for name, sign, _, _ in shown)
    return (_Small(names, traces, (0.5 - len(shown), 0.5)),)
