"""What every chart of the pages has in common: it stands still, and wears the page's colours."""

from __future__ import annotations

from typing import Any

FONT = "system-ui, -apple-system, 'Segoe UI', 'Liberation Sans', sans-serif"


def still_layout(height: int, *, left: int, top: int, right: int = 14) -> dict[str, Any]:
    """Plotly's layout for a chart that is read and not played with; sizes in pixels."""
    return {
        "height": height,
        "margin": {"l": left, "r": right, "t": top, "b": 46},
        "showlegend": False,
        "dragmode": False,
        "hovermode": "closest",
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "font": {"family": FONT, "size": 12, "color": "@muted"},
        "hoverlabel": {"bgcolor": "@raised", "bordercolor": "@line", "font": {"color": "@ink"}},
    }


def three_weeks(anchor: str) -> dict[str, Any]:
    """The axis of the days before a race, the same under every chart; `anchor` is the axis that it
    stands at the foot of."""
    return {
        "range": [-21.7, 0.9],
        "tickvals": [-21, -14, -7, 0],
        "ticktext": ["−21 d", "−14", "−7", "race"],
        "showgrid": False,
        "zeroline": False,
        "fixedrange": True,
        "anchor": anchor,
        "ticks": "outside",
        "ticklen": 4,
        "tickcolor": "@line",
    }


def upright(x: float, dash: str, colour: str) -> dict[str, Any]:
    """A line from the foot to the head of a chart, as a shape."""
    return {
        "type": "line",
        "xref": "x",
        "yref": "paper",
        "x0": x,
        "x1": x,
        "y0": 0,
        "y1": 1,
        "line": {"color": colour, "width": 1, "dash": dash},
    }
