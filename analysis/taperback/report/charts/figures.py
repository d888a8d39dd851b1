"""The report's charts as plotly figures, for the page and for a notebook."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any

from plotly.offline import get_plotlyjs

from taperback.report.charts.diary import diary_chart
from taperback.report.charts.effects import effects_chart
from taperback.report.charts.factors import factor_chart
from taperback.report.charts.theme import coloured
from taperback.report.charts.weeks import scale_of, week_chart
from taperback.report.sections.factors import effects_view, factor_views
from taperback.report.sections.panic import flag_numbers
from taperback.report.sections.week_strips import Strip, strips
from taperback.report.words.cells import race_refs
from taperback.study.review import Study

if TYPE_CHECKING:
    from plotly.graph_objects import Figure


_GUARD = re.compile(r'if\(!document\.getElementById\("([0-9a-f]{64})"\)\)')


@cache
def plotly_script() -> str:
    """Plotly's own script, as its package ships it; megabytes that every page holds."""
    script: str = get_plotlyjs()
    return script


def foreign_style_ids(script: str) -> tuple[str, ...]:
    """Ids of elements whose presence keeps plotly's map library from adding its style sheet.

    The page draws no maps, and its security policy would refuse the sheet with an error.
    """
    return tuple(dict.fromkeys(_GUARD.findall(script)))


def race_week_figures(study: Study) -> dict[str, Figure]:
    """Each race's last three weeks as a plotly figure, by race id, all on one scale."""
    shown = _strips(study)
    scale = scale_of(shown)
    return {strip.race.race_id: _figure(week_chart(strip, *scale)) for strip in shown}


def diary_figures(study: Study) -> dict[str, Figure]:
    """The diary of each race of which one was typed as a plotly figure, by race id."""
    return {
        strip.race.race_id: _figure(diary_chart(strip.diary))
        for strip in _strips(study)
        if strip.diary and strip.diary.drawn
    }


def factor_figures(study: Study) -> dict[str, Figure]:
    """Each primary factor against the outcome asked for as a plotly figure, by factor."""
    views = factor_views(study.asked, race_refs(study.weeks), study.weeks)
    return {view.factor: _figure(factor_chart(view)) for view in views}


def effects_figure(study: Study) -> Figure:
    """The effects of all four factors on the outcome asked for, as a plotly figure."""
    return _figure(effects_chart(effects_view(study.asked)))


def _strips(study: Study) -> tuple[Strip, ...]:
    refs, numbers = race_refs(study.weeks), flag_numbers(study.weeks)
    sports = study.journal.athlete.sports
    return strips(study.weeks, study.outcome, refs, sports, numbers)


def _figure(chart: dict[str, Any]) -> Figure:
    """The chart in the light colours; plotly checks every key of it."""
    # plotly's figure classes take longer to import than the whole page takes to build.
    from plotly.graph_objects import Figure

    return Figure(coloured(chart))
