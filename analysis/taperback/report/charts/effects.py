"""The four effects in one chart: what published studies expect, and the same with the races."""

from __future__ import annotations

from typing import Any

from taperback.report.charts.layout import still_layout
from taperback.report.sections.factors import EffectRow, EffectsView

_ROW_PX = 50
_STUDIES, _RACES = 0.0, 0.22
"""How far below the name of its row each interval lies, in rows."""


def effects_chart(view: EffectsView) -> dict[str, Any]:
    """A row for each factor: its step in words, and below it both effects with their intervals."""
    published = [(row.published, row.published_text) for row in view.rows]
    personal = [(row.personal, row.personal_text) for row in view.rows]
    # zero and every interval with room beside it, so that each is seen to end
    ends = [0.0, *(end for row in view.rows for end in (*row.published, *row.personal))]
    room = 0.04 * (max(ends) - min(ends)) or 1.0
    return {
        "data": [
            *_intervals(published, "published studies", "@muted", "diamond", _STUDIES),
            *_intervals(personal, "with your races", "@personal", "circle", _RACES),
        ],
        "layout": {
            **still_layout(_ROW_PX * len(view.rows) + 56, left=12, top=6),
            "xaxis": {
                "title": {"text": view.x_title, "standoff": 6},
                "gridcolor": "@line",
                "zeroline": True,
                "zerolinecolor": "@ink",
                "fixedrange": True,
                "nticks": 7,
                "range": [round(min(ends) - room, 3), round(max(ends) + room, 3)],
            },
            "yaxis": {
                "range": [len(view.rows) - 0.6, -0.5],
                "showticklabels": False,
                "showgrid": False,
                "zeroline": False,
                "fixedrange": True,
            },
            "annotations": [_name(row, place) for place, row in enumerate(view.rows)],
        },
    }


def _intervals(
    effects: list[tuple[tuple[float, float, float], str]],
    name: str,
    colour: str,
    symbol: str,
    below: float,
) -> list[dict[str, Any]]:
    xs: list[float | None] = []
    ys: list[float | None] = []
    for place, ((_, low, high), _) in enumerate(effects):
        xs += [round(low, 3), round(high, 3), None]
        ys += [place + below, place + below, None]
    line = {
        "type": "scatter",
        "mode": "lines",
        "name": f"{name}, 90% interval",
        "x": xs,
        "y": ys,
        "line": {"color": colour, "width": 2, "dash": "dot" if symbol == "diamond" else "solid"},
        "hoverinfo": "skip",
    }
    marks = {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": [round(mean, 3) for (mean, _, _), _ in effects],
        "y": [place + below for place in range(len(effects))],
        "marker": {"symbol": symbol, "size": 9, "color": colour},
        "hovertemplate": [f"{name}: {text}<extra></extra>" for _, text in effects],
    }
    return [line, marks]


def _name(row: EffectRow, place: int) -> dict[str, Any]:
    return {
        "xref": "paper",
        "yref": "y",
        "x": 0,
        "y": place - 0.12,
        "xanchor": "left",
        "yanchor": "bottom",
        "showarrow": False,
        "text": f"<b>{row.label}</b>: {row.more}",
        "font": {"size": 12, "color": "@ink"},
    }
