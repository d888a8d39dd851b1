"""What every chart of the pages has in common: it stands still, and wears the page's colours."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

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


def plain(text: str) -> str:
    """The text as plotly prints it, which reads some tags of HTML.

    >>> plain("Ada <b>&</b>")
    'Ada &lt;b&gt;&amp;&lt;/b&gt;'
    """
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


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


HEAD, GAP = 17, 7
"""Pixels of the name above a panel, and of the room below it."""


class Place(NamedTuple):
    """Where a panel lies: the share of the chart's height that it takes, and the head of its
    name."""

    domain: tuple[float, float]
    head: float


def stack(heights: Sequence[int]) -> tuple[int, tuple[Place, ...]]:
    """Panels of so many pixels below one another, each under its name: height and places."""
    total = sum(heights) + (HEAD + GAP) * len(heights)
    places, top = [], 0
    for height in heights:
        low, high = (1 - (top + HEAD + below) / total for below in (height, 0))
        places.append(Place((max(low, 0.0), high), 1 - top / total))
        top += HEAD + height + GAP
    return total, tuple(places)


def panel_name(text: str, head: float) -> dict[str, Any]:
    """The name of a panel at its head, as an annotation."""
    return {
        "xref": "x",
        "yref": "paper",
        "x": -21.5,
        "y": head,
        "xanchor": "left",
        "yanchor": "top",
        "showarrow": False,
        "text": text,
        "font": {"size": 11, "color": "@ink"},
    }


def panel_axis(limits: Sequence[float], place: Place, ticks: Sequence[float]) -> dict[str, Any]:
    """The upright axis of a panel, with a line at each tick; its name says the unit."""
    return {
        "range": list(limits),
        "domain": list(place.domain),
        "tickvals": list(ticks),
        "ticktext": [f"{tick:.3g}" for tick in ticks],
        "gridcolor": "@line",
        "gridwidth": 1,
        "zeroline": False,
        "fixedrange": True,
    }
