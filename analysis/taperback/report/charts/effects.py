"""The four effects in one chart: what published studies expect, and the same with the races."""

from __future__ import annotations

from typing import Any

from taperback.report.charts.layout import intervals, note, still_layout
from taperback.report.sections.factors import EffectsView

_ROW_PX = 50
_STUDIES, _RACES = 0.0, 0.22
"""How far below the name of its row each interval lies, in rows."""


def effects_chart(view: EffectsView) -> dict[str, Any]:
    """A row for each factor: its step in words, and below it both effects with their intervals."""
    published = [(row.published, row.published_text) for row in view.rows]
    personal = [(row.personal, row.personal_text) for row in view.rows]
    data = []
    for name, effects, below, symbol, colour, dash in (
        ("published studies", published, _STUDIES, "diamond", "@muted", "dot"),
        ("with your races", personal, _RACES, "circle", "@personal", "solid"),
    ):
        ys = [row + below for row in range(len(effects))]
        rounded = [[round(end, 3) for end in effect] for effect, _ in effects]
        line = {"color": colour, "width": 2, "dash": dash}
        data += intervals(name, ys, rounded, [text for _, text in effects], symbol, line)
    # zero and every interval with room beside it, so that each is seen to end
    ends = [0.0, *(end for row in view.rows for end in (*row.published, *row.personal))]
    room = 0.04 * (max(ends) - min(ends)) or 1.0
    side: dict[str, Any] = {
        "xref": "paper",
        "yref": "y",
        "size": 12,
        "xanchor": "left",
        "yanchor": "bottom",
    }
    return {
        "data": data,
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
            "annotations": [
                note(f"<b>{row.label}</b>: {row.more}", 0, place - 0.12, **side)
                for place, row in enumerate(view.rows)
            ],
        },
    }
