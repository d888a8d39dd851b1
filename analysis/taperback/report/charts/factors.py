"""One factor against the outcome as a chart, in plain values that plotly draws."""

from __future__ import annotations

import math
from typing import Any

from taperback.report.charts.layout import band, still_layout, words
from taperback.report.sections.factors import FactorView, Ribbon


def factor_chart(view: FactorView) -> dict[str, Any]:
    """The races as letters, both estimates with their bands, and the range of the rule."""
    data: list[dict[str, Any]] = []
    if view.published:
        data += _ribbon(view.published, "published studies", "@muted", "dash", 0.16)
    if view.personal:
        data += _ribbon(view.personal, "with your races", "@personal", "solid", 0.18)
    data += _races(view)
    limits, shapes = _x_range(view), []
    if limits and any(point.events for point in view.points):
        data.append(_events(view, sum(limits) / 2))
    if view.rule_range and limits:
        column = max(view.rule_range[0], limits[0]), min(view.rule_range[1], limits[1])
        shapes.append(band(column, (0, 1), "paper"))
    layout = {
        **still_layout(320, left=48, top=12),
        "xaxis": _axis(view.x_title, limits),
        "yaxis": _axis(view.y_title, _y_range(view)),
        "shapes": shapes,
    }
    return {"data": data, "layout": layout}


def _ribbon(
    ribbon: Ribbon, name: str, colour: str, dash: str, opacity: float
) -> list[dict[str, Any]]:
    edge = {
        "type": "scatter",
        "mode": "lines",
        "x": list(ribbon.x) + list(reversed(ribbon.x)),
        "y": list(ribbon.high) + list(reversed(ribbon.low)),
        "fill": "toself",
        "fillcolor": colour,
        "opacity": opacity,
        "line": {"width": 0},
        "hoverinfo": "skip",
        "name": f"{name}, 90% interval",
    }
    middle = {
        "type": "scatter",
        "mode": "lines",
        "x": list(ribbon.x),
        "y": list(ribbon.y),
        "line": {"color": colour, "width": 2, "dash": dash},
        "hoverinfo": "skip",
        "name": name,
    }
    return [edge, middle]


def _races(view: FactorView) -> list[dict[str, Any]]:
    """A letter for each race, and a ring around the one with most weight."""
    points = view.points
    heaviest = [point for point in points if point.weighs]
    rings = {
        "type": "scatter",
        "mode": "markers",
        "name": "most weight",
        "x": [point.x for point in heaviest],
        "y": [point.y for point in heaviest],
        "marker": {
            "symbol": "circle-open",
            "size": 20,
            "color": "@flag",
            "line": {"width": 2, "color": "@flag"},
        },
        "hoverinfo": "skip",
    }
    letters = words(
        "races",
        [point.x for point in points],
        [point.y for point in points],
        [f"<b> {point.key} </b>" for point in points],
        position=letter_places(view),
        size=14,
        mode="markers+text",
        marker={"size": 10, "color": "@ink", "line": {"width": 1.5, "color": "@paper"}},
        cliponaxis=False,
        hovertemplate=[
            f"race {point.key}: {point.x_text}, {point.y_text}<extra></extra>" for point in points
        ],
    )
    return [rings, letters]


def _events(view: FactorView, middle: float) -> dict[str, Any]:
    """What else was far from usual before a race, in small print below its dot."""
    held = [point for point in view.points if point.events]
    return words(
        "what else was unusual",
        [point.x for point in held],
        [point.y for point in held],
        ["<br>".join(("", *point.events)) for point in held],
        position=["bottom left" if point.x > middle else "bottom right" for point in held],
        colour="@muted",
        cliponaxis=False,
        hoverinfo="skip",
    )


_NEAR = (0.09, 0.10)
"""Share of each axis within which a letter beside one dot would cover another."""


def letter_places(view: FactorView) -> list[str]:
    """On which side of its dot each letter stands, so that letters of close races can be read.

    Of dots that lie close, the leftmost has its letter on the left, the rightmost on the right,
    and those between above and below.
    """
    wide, high = (
        limits[1] - limits[0] if limits else 0.0 for limits in (_x_range(view), _y_range(view))
    )
    order = sorted(range(len(view.points)), key=lambda n: (view.points[n].x, n))
    places = [""] * len(order)
    for rank, n in enumerate(order):
        here = view.points[n]
        near = {
            m: abs(view.points[m].x - here.x) < _NEAR[0] * wide
            and abs(view.points[m].y - here.y) < _NEAR[1] * high
            for m in order
        }
        before = any(near[m] for m in order[:rank])
        after = any(near[m] for m in order[rank + 1 :])
        between = "top center" if rank % 2 else "bottom center"
        places[n] = between if before and after else "middle left" if after else "middle right"
    return places


def _axis(title: str, limits: list[float] | None) -> dict[str, Any]:
    axis: dict[str, Any] = {
        "title": {"text": title, "standoff": 8},
        "gridcolor": "@line",
        "zeroline": False,
        "fixedrange": True,
        "nticks": 6,
    }
    return axis if limits is None else {**axis, "range": limits}


def _x_range(view: FactorView) -> list[float] | None:
    """What races and rule span, and a margin; a curve may be known much further out."""
    if not view.points:
        return None
    xs = [point.x for point in view.points]
    if view.rule_range:
        xs += [edge for edge in view.rule_range if math.isfinite(edge)]
    margin = (max(xs) - min(xs) or 1.0) * 0.1
    return [min(xs) - margin, max(xs) + margin]


def _y_range(view: FactorView) -> list[float] | None:
    """The races and the personal line, not the ends of wide bands, which would flatten all."""
    if not view.points:
        return None
    ys = [point.y for point in view.points]
    spread = max(max(ys) - min(ys), 1.0)
    return [min(ys) - 0.6 * spread, max(ys) + 0.6 * spread]
