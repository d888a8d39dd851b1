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


def note(
    text: str,
    x: float,
    y: float,
    *,
    xref: str = "x",
    yref: str = "paper",
    size: int = 11,
    **side: Any,
) -> dict[str, Any]:
    """Words at a place as an annotation; `side` says on which side of it they stand."""
    return {
        "xref": xref,
        "yref": yref,
        "x": x,
        "y": y,
        **side,
        "showarrow": False,
        "text": text,
        "font": {"size": size, "color": "@ink"},
    }


def words(
    name: str,
    x: Sequence[float],
    y: Sequence[float],
    text: Sequence[str],
    *,
    position: str | Sequence[str] = "top center",
    size: int = 11,
    colour: str = "@ink",
    mode: str = "text",
    **more: Any,
) -> dict[str, Any]:
    """Words at points as a trace, which a touch may explain as an annotation cannot."""
    return {
        "type": "scatter",
        "mode": mode,
        "name": name,
        "x": x,
        "y": y,
        "text": text,
        "textposition": position,
        "textfont": {"size": size, "color": colour},
        **more,
    }


def intervals(
    name: str,
    ys: Sequence[float],
    effects: Sequence[Sequence[float]],
    texts: Sequence[str],
    symbol: str,
    line: dict[str, Any],
) -> list[dict[str, Any]]:
    """Effects as (mean, low, high) at their heights as traces: a line each, and a mark on it."""
    ends: list[float | None] = []
    heights: list[float | None] = []
    for y, (_, low, high) in zip(ys, effects, strict=True):
        ends += [low, high, None]
        heights += [y, y, None]
    lines = {
        "type": "scatter",
        "mode": "lines",
        "name": f"{name}, 90% interval",
        "x": ends,
        "y": heights,
        "line": line,
        "hoverinfo": "skip",
    }
    marks = {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": [mean for mean, _, _ in effects],
        "y": ys,
        "marker": {"symbol": symbol, "size": 9, "color": line["color"]},
        "hovertemplate": [f"{name}: {text}<extra></extra>" for text in texts],
    }
    return [lines, marks]


def band(x: tuple[float, float], y: tuple[float, float], yref: str) -> dict[str, Any]:
    """An area behind all that is drawn, as a shape."""
    return {
        "type": "rect",
        "xref": "x",
        "yref": yref,
        "x0": x[0],
        "x1": x[1],
        "y0": y[0],
        "y1": y[1],
        "fillcolor": "@band",
        "line": {"width": 0},
        "layer": "below",
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


def week_edges() -> list[dict[str, Any]]:
    """Where race week begins, and race day, as shapes."""
    return [upright(-7.5, "dot", "@muted"), upright(0, "solid", "@ink")]


def usual_line(y: float, axis: str, colour: str) -> dict[str, Any]:
    """A dotted line across three weeks at what is usual, behind what was measured, as a shape."""
    ends = {"x0": -21.5, "x1": 0.5, "y0": y, "y1": y}
    return upright(0, "dot", colour) | ends | {"yref": axis, "layer": "below"}


HEAD, GAP = 17, 7
"""Pixels of the name above a panel, and of the room below it."""


class Panel(NamedTuple):
    """One of several charts below one another.

    `axis` is its upright axis as traces name it, `name` its name with the unit; `limits` are what
    the axis shows, with a line at each of `ticks`.
    """

    axis: str
    name: str
    height_px: int
    limits: tuple[float, float]
    ticks: Sequence[float] = ()


def three_weeks_layout(
    panels: Sequence[Panel],
    *,
    left: int,
    shapes: list[dict[str, Any]],
    notes: Sequence[dict[str, Any]] = (),
    **bars: Any,
) -> dict[str, Any]:
    """The panels, each under its name, on the axis of the days before a race, which is the same
    under every chart; `bars` say how bars of one day stand together."""
    total = sum(HEAD + panel.height_px + GAP for panel in panels)
    axes, names, top = {}, [], 0
    for panel in panels:
        low, high = (1 - (top + HEAD + below) / total for below in (panel.height_px, 0))
        axes[panel.axis.replace("y", "yaxis")] = {
            "range": list(panel.limits),
            "domain": [max(low, 0.0), high],
            "tickvals": list(panel.ticks),
            "ticktext": [f"{tick:.3g}" for tick in panel.ticks],
            "gridcolor": "@line",
            "gridwidth": 1,
            "zeroline": False,
            "fixedrange": True,
        }
        names.append(note(panel.name, -21.5, 1 - top / total, xanchor="left", yanchor="top"))
        top += HEAD + panel.height_px + GAP
    return {
        **still_layout(total + 50, left=left, top=4, right=12),
        **bars,
        "xaxis": {
            "range": [-21.7, 0.9],
            "tickvals": [-21, -14, -7, 0],
            "ticktext": ["−21 d", "−14", "−7", "race"],
            "showgrid": False,
            "zeroline": False,
            "fixedrange": True,
            "anchor": panels[-1].axis,
            "ticks": "outside",
            "ticklen": 4,
            "tickcolor": "@line",
        },
        **axes,
        "shapes": shapes,
        "annotations": [*names, *notes],
    }
