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
