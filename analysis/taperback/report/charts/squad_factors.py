"""One factor over a squad as a chart, in plain values that plotly draws."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from taperback.common.quantities import QUANTITIES
from taperback.evidence.squad import SquadFactor
from taperback.report.charts.layout import intervals, plain, still_layout
from taperback.report.sections.factors import four_digits
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
    own = range(3, 3 + len(names))
    alone, together = ([y + apart for y in own] for apart in (-0.16, 0.16))
    rows = (
        ("published studies", [1], [factor.published], "@muted", 3, "diamond"),
        ("the squad", [2], [factor.shared], "@ink", 4, "diamond"),
        ("alone", alone, [one.alone for one in athletes], "@muted", 1, "circle-open"),
        ("with the squad", together, [one.together for one in athletes], "@personal", 3, "circle"),
    )
    scale = QUANTITIES["result_pct"].scale
    data = []
    for name, ys, estimates, colour, width, symbol in rows:
        effects = [
            four_digits(scale * end for end in (one.mean, one.low, one.high)) for one in estimates
        ]
        texts = [interval(DIFFERENCE, one) for one in estimates]
        data += intervals(name, ys, effects, texts, symbol, {"color": colour, "width": width})
    # zero and every interval with room beside it, so that each is seen to end
    all_of_them = [one for _, _, estimates, *_ in rows for one in estimates]
    low = min(0.0, *(one.low for one in all_of_them))
    high = max(0.0, *(one.high for one in all_of_them))
    room = _ROOM * (high - low)
    reach = four_digits(scale * end for end in (low - room, high + room))
    row_px = _ROW_PX if len(names) < _FEWEST_FOR_THIN_ROWS else _THIN_ROW_PX
    return {"data": data, "layout": _layout(labels, 70 + row_px * len(labels), reach)}


def _layout(labels: list[str], height: int, reach: Sequence[float]) -> dict[str, Any]:
    return {
        **still_layout(height, left=_NAMES_PX, top=8),
        "xaxis": {
            "title": {"text": "effect on the result (% faster)", "standoff": 8},
            "gridcolor": "@line",
            "zeroline": True,
            "zerolinecolor": "@muted",
            "range": list(reach),
            "fixedrange": True,
            "nticks": 7,
        },
        "yaxis": {
            "tickvals": list(range(1, len(labels) + 1)),
            "ticktext": labels,
            "range": [len(labels) + 0.6, 0.4],
            "showgrid": False,
            "zeroline": False,
            "fixedrange": True,
        },
    }
