"""One race's three weeks as a chart, in plain values that plotly draws."""

from __future__ import annotations

from typing import Any

from taperback.common.quantity import MINUS
from taperback.report.charts.layout import (
    panel_axis,
    panel_name,
    stack,
    still_layout,
    three_weeks,
    upright,
)
from taperback.report.charts.theme import sport_colour
from taperback.report.sections.week_strips import DayPoint, Strip
from taperback.report.words.wording import sport_word

_HEADROOM = 1.5
"""Room above the longest day, for the hard minutes and the flags."""


_TRAINING, _SLEEP, _BESIDES = 104, 40, 24
"""Pixels of the panels, so that an hour is as high in every strip."""


_USUAL_NIGHTS = (4.6, 9.8)
"""What the axis of sleep shows [h], and more where a night lies outside."""


_PATTERN = {"swimming": ".", "running": "/", "cycling": ""}
"""What tells sports apart where there is no colour; all others are crossed."""


_BAR_D = 0.8
"""How wide a bar is [days]."""


def week_chart(strip: Strip, most_hours: float, most_besides: float = 0.0) -> dict[str, Any]:
    """Training by sport, hard minutes, sleep, travel and flags of one race's last three weeks.

    `most_hours` is the longest day of training of all races, so that every strip has one scale, and
    `most_besides` that of what does not count. Nights, and what does not count, have a panel of
    their own where there are any.
    """
    top = max(most_hours, 1.0) * _HEADROOM
    return {
        "data": [
            *_bars(strip),
            _hard_labels(strip.points),
            _still_days(strip.points),
            *([_sleep_line(strip.points)] if strip.has_nights else []),
            *([_besides(strip.points)] if strip.most_besides else []),
            *([_flag_marks(strip, top)] if strip.flags else []),
        ],
        "layout": _layout(strip, top, max(most_besides, 1.0)),
    }


def _bars(strip: Strip) -> list[dict[str, Any]]:
    training = [p for p in strip.points if p.days_to_race < 0]
    return [
        {
            "type": "bar",
            "name": sport_word(sport),
            "x": [p.days_to_race for p in training],
            "y": [round(p.hours.get(sport, 0.0), 2) for p in training],
            "marker": {
                "color": sport_colour(sport),
                "line": {"color": "@paper", "width": 1},
                "pattern": {
                    "shape": _PATTERN.get(sport, "x"),
                    "fgcolor": "@paper",
                    "fillmode": "overlay",
                    "size": 5,
                    "solidity": 0.25,
                },
            },
            "hovertemplate": f"{sport_word(sport)} %{{y:.1f}} h<extra></extra>",
        }
        for sport in strip.sports
    ]


def _besides(points: tuple[DayPoint, ...]) -> dict[str, Any]:
    """What does not count as training, in the panel below it."""
    held = [p for p in points if p.besides and p.days_to_race < 0]
    names = [
        ", ".join(f"{sport_word(name)} {hours:.1f} h" for name, hours in sorted(p.besides.items()))
        for p in held
    ]
    return {
        "type": "bar",
        "name": "does not count",
        "x": [p.days_to_race for p in held],
        "y": [round(sum(p.besides.values()), 2) for p in held],
        "yaxis": "y3",
        "width": _BAR_D,  # else a bar is as wide as the days between two of them
        "marker": {"color": "@muted"},
        "hovertemplate": [f"does not count: {name}<extra></extra>" for name in names],
    }


def _hard_labels(points: tuple[DayPoint, ...]) -> dict[str, Any]:
    """Minutes of hard work, as numbers on top of the day's bar."""
    hard = [p for p in points if p.hard_min >= 0.5 and p.days_to_race < 0]
    return {
        "type": "scatter",
        "mode": "text",
        "name": "hard minutes",
        "x": [p.days_to_race for p in hard],
        "y": [round(sum(p.hours.values()), 2) for p in hard],
        "text": [f"{p.hard_min:.0f}" for p in hard],
        "textposition": "top center",
        "textfont": {"size": 11, "color": "@ink"},
        "cliponaxis": False,
        "hovertemplate": "%{text} hard minutes<extra></extra>",
    }


def _still_days(points: tuple[DayPoint, ...]) -> dict[str, Any]:
    """A dot for a rest day, a question mark for a day of which nothing is known."""
    signs = {"rest": "·", "unknown": "?"}
    still = [p for p in points if p.state in signs and p.days_to_race < 0]
    return {
        "type": "scatter",
        "mode": "text",
        "name": "rest or unknown",
        "x": [p.days_to_race for p in still],
        "y": [0.0 for _ in still],
        "text": [signs[p.state] for p in still],
        "textposition": "top center",
        "textfont": {"size": 12, "color": "@muted"},
        "hovertemplate": [f"{p.state}<extra></extra>" for p in still],
    }


def _sleep_line(points: tuple[DayPoint, ...]) -> dict[str, Any]:
    """Hours slept in the night that ended on the day; a gap where unknown."""
    return {
        "type": "scatter",
        "mode": "lines+markers",
        "name": "sleep",
        "x": [p.days_to_race for p in points],
        "y": [None if p.sleep_h != p.sleep_h else round(p.sleep_h, 2) for p in points],
        "yaxis": "y2",
        "connectgaps": False,
        "line": {"color": "@sleep", "width": 1.5},
        "marker": {"color": "@sleep", "size": 4},
        "hovertemplate": "slept %{y:.1f} h<extra></extra>",
    }


def _flag_marks(strip: Strip, top: float) -> dict[str, Any]:
    """The page's number of each flag above its day, those of one day together.

    Where numbers of neighbouring days would run into one another, every other one stands lower.
    """
    days: dict[int, list[str]] = {}
    for flag in strip.flags:
        days.setdefault(flag.days_to_race, []).append(str(flag.number))
    texts = {day: ",".join(numbers) for day, numbers in days.items()}
    lowered: set[int] = set()
    for day in sorted(texts):
        wide = max(len(texts[day]), len(texts.get(day - 1, ""))) > 2
        if wide and day - 1 in texts and day - 1 not in lowered:
            lowered.add(day)
    return {
        "type": "scatter",
        "mode": "markers+text",
        "name": "panic flag",
        "x": list(texts),
        "y": [top * (0.7 if day in lowered else 0.82) for day in texts],
        "text": [f"<b>{text}</b>" for text in texts.values()],
        "textposition": "top center",
        "textfont": {"size": 13, "color": "@ink"},
        "marker": {"symbol": "triangle-down", "size": 9, "color": "@flag"},
        "cliponaxis": False,
        "hovertemplate": "flag %{text}<extra></extra>",
    }


def _layout(strip: Strip, top: float, most_besides: float) -> dict[str, Any]:
    nights = [p.sleep_h for p in strip.points if p.sleep_h == p.sleep_h]
    ends = (min([_USUAL_NIGHTS[0], *nights]), max([_USUAL_NIGHTS[1], *nights]))
    step = 1 if top <= 4 else 2 if top <= 8 else 4
    hours = list(range(0, int(top / _HEADROOM) + 1, step))
    panels = [("y", "training, h", _TRAINING, (0.0, top), hours)]
    if nights:
        panels.append(("y2", "sleep, h", _SLEEP, ends, [6, 8]))
    if strip.most_besides:
        below = ("y3", "does not count, h", _BESIDES, (0.0, most_besides), [int(most_besides)])
        panels.append(below)
    height, places = stack([pixels for _, _, pixels, _, _ in panels])
    axes = {
        axis.replace("y", "yaxis"): panel_axis(limits, place, ticks)
        for (axis, _, _, limits, ticks), place in zip(panels, places, strict=True)
    }
    names = [panel_name(panel[1], place.head) for panel, place in zip(panels, places, strict=True)]
    return {
        **still_layout(height + 50, left=26, top=4, right=12),
        "barmode": "stack",
        "bargap": 0.28,
        "xaxis": three_weeks(panels[-1][0]),
        **axes,
        "shapes": _shapes(strip),
        "annotations": [*names, *_travel_words(strip.points), *_week_words(strip)],
    }


def _shapes(strip: Strip) -> list[dict[str, Any]]:
    """The usual day behind the bars, the edge of race week, race day, and days away."""
    shapes: list[dict[str, Any]] = []
    if strip.usual_day_h is not None:
        shapes.append(_box(-21.5, -0.5, 0, round(strip.usual_day_h, 3), "y", "@band"))
    if strip.usual_night_h is not None and strip.has_nights:
        night = upright(0, "dot", "@sleep")
        ends = {"x0": -21.5, "x1": 0.5, "y0": strip.usual_night_h, "y1": strip.usual_night_h}
        shapes.append({**night, **ends, "yref": "y2", "layer": "below"})
    shapes.append(upright(-7.5, "dot", "@muted"))
    shapes.append(upright(0, "solid", "@ink"))
    away = [p.days_to_race for p in strip.points if p.travel]
    if away:
        line = upright(0, "solid", "@ink")
        ends = {"x0": min(away), "x1": 0, "y0": 1, "y1": 1}
        shapes.append({**line, **ends, "line": {"color": "@ink", "width": 2}})
    return shapes


def _box(x0: float, x1: float, y0: float, y1: float, yref: str, colour: str) -> dict[str, Any]:
    return {
        "type": "rect",
        "xref": "x",
        "yref": yref,
        "x0": x0,
        "x1": x1,
        "y0": y0,
        "y1": y1,
        "fillcolor": colour,
        "line": {"width": 0},
        "layer": "below",
    }


def _travel_words(points: tuple[DayPoint, ...]) -> list[dict[str, Any]]:
    """What the line of days away at the head means, written to the left of its start."""
    away = [p.days_to_race for p in points if p.travel]
    if not away:
        return []
    arrived = [p.days_to_race for p in points if p.travel == "arrive"]
    text = f"away, arrived {str(arrived[-1]).replace('-', MINUS)}" if arrived else "away"
    return [
        {
            "xref": "x",
            "yref": "paper",
            "x": min(away) - 0.25,
            "y": 1,
            "xanchor": "right",
            "yanchor": "top",
            "showarrow": False,
            "text": text,
            "font": {"size": 11, "color": "@ink"},
        }
    ]


def _week_words(strip: Strip) -> list[dict[str, Any]]:
    """How each of the three weeks compares with a usual one, under its days."""
    return [
        {
            "xref": "x",
            "yref": "paper",
            "x": middle,
            "y": 0,
            "yanchor": "top",
            "yshift": -21,
            "showarrow": False,
            "text": text,
            "font": {"size": 12, "color": "@ink"},
        }
        for middle, text in zip((-18, -11, -4), strip.week_words, strict=True)
        if text
    ]
