"""What a chart is: plain data with a place on the page, which fails by itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

Chart = dict[str, Any]
"""`data` and `layout` as plotly takes them, its colours by name (`@ink`)."""

Charts = Mapping[str, Chart | None]
"""Every chart of a page by the id of its place; None where it could not be made."""


def make_each(makers: Mapping[str, Callable[[], Chart]]) -> Charts:
    """The charts by their places; one that fails is None and costs none of the others."""
    charts: dict[str, Chart | None] = {}
    for place, maker in makers.items():
        try:
            charts[place] = maker()
        except Exception:  # the page says so in its place; sentences and tables need no chart
            charts[place] = None
    return charts


class Places:
    """The places that a page has given to its charts, as its templates ask for them."""

    def __init__(self, charts: Charts) -> None:
        self._charts = charts
        self._asked: list[str] = []

    def drawn(self, place: str) -> bool:
        """Whether there is a chart to draw in this place.

        Raises:
            ValueError: no chart names this place, or it was given away before.
        """
        if place not in self._charts or place in self._asked:
            why = "twice on the page" if place in self._asked else "without a chart"
            raise ValueError(f"the place {place!r} is {why}")
        self._asked.append(place)
        return self._charts[place] is not None

    def expect_all_asked(self) -> None:
        """Refuses a page that has no place for a chart.

        Raises:
            ValueError: a chart names a place that is not on the page.
        """
        lost = sorted(self._charts.keys() - set(self._asked))
        if lost:
            raise ValueError(f"charts without a place on the page: {', '.join(lost)}")
