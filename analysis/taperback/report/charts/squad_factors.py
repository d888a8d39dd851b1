"""One factor over a squad as a chart, in plain values that plotly draws."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from taperback.common.quantities import QUANTITIES
from taperback.evidence.model import Estimate
from taperback.evidence.squad import SquadFactor
from taperback.report.charts.layout import plain, still_layout
from taperback.report.squad.factors import DIFFERENCE
from taperback.report.words.wording import interval, short

_ROW_PX = 26
_LONGEST_NAME, _NAMES_PX = 15, 112
"""Letters of a name beside its row, and the room that they take."""
_FEWEST_FOR_THIN_ROWS, _THIN_ROW_PX = 60, 14
_ROOM = 0.03
"""Of the axis, left free at either end."""


def squad_factor_chart(factor: SquadFactor, names: Mapping[str, str]) -> dict[str, Any]:
    """Published, squad and every athlete on one axis, by name; `names` are the athletes by key."""
    athletes = [factor.athletes[key] for key in names]
    labels = ["published", "squad", *(plain(short(name, _LONGEST_NAME)) for name in names.values())]
    own = list(range(3, 3 + len(names)))
    data = [
        *_spans([1], [factor.published], "published studies", "@muted", 3, "diamond"),
        *_spans([2], [factor.shared], "the squad", "@ink", 4, "diamond"),
        *_spans(
            [y - 0.16 for y in own],
            [a.alone for a in athletes],
            "alone",
            "@muted",
            1,
            "circle-open",
        ),
        *_spans(
            [y + 0.16 for y in own],
            [a.together for a in athletes],
            "with the squad",
            "@personal",
            3,
            "circle",
        ),
    ]
    row = _ROW_PX if len(names) < _FEWEST_FOR_THIN_ROWS else _THIN_ROW_PX
    estimates = [factor.published, factor.shared]
    estimates += [one for athlete in athletes for one in (athlete.alone, athlete.together)]
    return {"data": data, "layout": _layout(labels, 70 + row * len(labels), _reach(estimates))}


def _spans(
    ys: list[float], estimates: list[Estimate], name: str, colour: str, width: int, symbol: str
) -> list[dict[str, Any]]:
    """Intervals as lines and means as marks, in the outcome's unit on the page."""
    xs: list[float | None] = []
    heights: list[float | None] = []
    for y, one in zip(ys, estimates, strict=True):
        xs += [_four_digits(one.low), _four_digits(one.high), None]
        heights += [y, y, None]
    line = {
        "type": "scatter",
        "mode": "lines",
        "name": f"{name}, 90% interval",
        "x": xs,
        "y": heights,
        "line": {"color": colour, "width": width},
        "hoverinfo": "skip",
    }
    marks = {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": [_four_digits(one.mean) for one in estimates],
        "y": list(ys),
        "marker": {"symbol": symbol, "size": 9, "color": colour},
        "hovertemplate": [
            f"{name}: {interval(DIFFERENCE, one)}<extra></extra>" for one in estimates
        ],
    }
    return [line, marks]


def _four_digits(value: float) -> float:
    return float(f"{value * QUANTITIES['result_pct'].scale:.4g}")


def _reach(estimates: list[Estimate]) -> list[float]:
    """The axis: zero and every interval with room beside it, so that each is seen to end."""
    low = min(0.0, *(one.low for one in estimates))
    high = max(0.0, *(one.high for one in estimates))
    room = _ROOM * (high - low)
    return [_four_digits(low - room), _four_digits(high + room)]


def _layout(labels: list[str], height: int, reach: list[float]) -> dict[str, Any]:
    places = list(range(1, len(labels) + 1))
    return {
        **still_layout(height, left=_NAMES_PX, top=8),
        "xaxis": {
            "title": {"text": "effect on the result (% faster)", "standoff": 8},
            "gridcolor": "@line",
            "zeroline": True,
            "zerolinecolor": "@muted",
            "range": reach,
            "fixedrange": True,
            "nticks": 7,
        },
        "yaxis": {
            "tickvals": places,
            "ticktext": labels,
            "range": [len(labels) + 0.6, 0.4],
            "showgrid": False,
            "zeroline": False,
            "fixedrange": True,
        },
    }
