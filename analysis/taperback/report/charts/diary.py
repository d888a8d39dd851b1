"""A race's diary as small charts below one another, on the axis of the strip above them."""

from __future__ import annotations

from typing import Any

from taperback.report.charts.layout import Panel, three_weeks_layout, usual_line, week_edges
from taperback.report.sections.diary import DiaryView
from taperback.report.sections.diary import Panel as Quantity

_HEIGHT_PX = 34
"""Pixels of a small chart."""


def diary_chart(view: DiaryView) -> dict[str, Any]:
    """Each rating, the resting heart rate, and the days with a massage or a note."""
    kinds = (("massage", "◆", "diamond", view.massages), ("note", "□", "square-open", view.noted))
    marks = [kind for kind in kinds if kind[-1]]
    data, panels, shapes = [], [], week_edges()
    for n, quantity in enumerate(view.panels, 1):
        axis = f"y{n if n > 1 else ''}"
        low, high = quantity.ends
        room = 0.12 * (high - low) or 1.0
        ticks = tuple(dict.fromkeys(quantity.ends))
        panels.append(Panel(axis, quantity.label, _HEIGHT_PX, (low - room, high + room), ticks))
        data.append(_line(quantity) | {"yaxis": axis})
        if quantity.usual is not None:
            shapes.append(usual_line(quantity.usual, axis, "@muted"))
    if marks:
        axis = f"y{len(panels) + 1 if panels else ''}"
        names = " · ".join(f"{sign} {name}" for name, sign, _, _ in marks)
        panels.append(Panel(axis, names, _HEIGHT_PX, (0.5 - len(marks), 0.5)))
        for line, (name, _, symbol, days) in enumerate(marks):
            mark = {
                "type": "scatter",
                "mode": "markers",
                "name": name,
                "x": list(days),
                "y": [-line] * len(days),
                "marker": {"symbol": symbol, "size": 8, "color": "@ink"},
                "cliponaxis": False,
                "hovertemplate": f"{name}<extra></extra>",
                "yaxis": axis,
            }
            data.append(mark)
    return {"data": data, "layout": three_weeks_layout(panels, left=34, shapes=shapes)}


def _line(quantity: Quantity) -> dict[str, Any]:
    """A line through the typed days; a day that was not typed is a gap."""
    values = dict(quantity.points)
    return {
        "type": "scatter",
        "mode": "lines+markers",
        "name": quantity.label,
        "x": list(range(-21, 1)),
        "y": [values.get(k) for k in range(-21, 1)],
        "connectgaps": False,
        "line": {"color": "@ink", "width": 1.5},
        "marker": {"color": "@ink", "size": 4},
        "cliponaxis": False,
        "hovertemplate": f"{quantity.label} %{{y}}<extra></extra>",
    }
