"""One race's three weeks as a chart, in plain values that plotly draws."""

from __future__ import annotations

from typing import Any

from taperback.common.quantity import MINUS
from taperback.report.charts.layout import still_layout, three_weeks, upright
from taperback.report.charts.theme import sport_colour
from taperback.report.sections.week_strips import DayPoint, Strip
from taperback.report.words.wording import sport_word

_TRAINING, _SLEEP = (0.0, 0.64), (0.74, 1.0)
_TRAVEL_AT = 0.69
"""Height of the line that shows days away: between training and sleep."""


_HEADROOM = 1.28
"""Room above the longest day, for the hard minutes and the flags."""


_LIFTED, _BELOW = (0.2, 0.64), (0.0, 0.13)
"""Where training lies when what does not count has a panel of its own below it."""


_BAR_D = 0.8
"""How wide a bar is [days]."""


def week_chart(strip: Strip, most_hours: float, most_besides: float = 0.0) -> dict[str, Any]:
    """Training by sport, hard minutes, sleep, travel and flags of one race's last three weeks.

    `most_hours` is the longest day of training of all races, so that every strip has one scale, and
    `most_besides` that of what does not count, which has a panel of its own where there is any.
    """
    top = max(most_hours, 1.0) * _HEADROOM
    return {
        "data": [
            *_bars(strip),
            *([_besides(strip.points)] if most_besides else []),
            _hard_labels(strip.points),
            _still_days(strip.points),
            _sleep_line(strip.points),
            _flag_marks(strip, top),
        ],
        "layout": _layout(strip, top, most_besides),
    }


def _bars(strip: Strip) -> list[dict[str, Any]]:
    training = [p for p in strip.points if p.days_to_race < 0]
    return [
        {
            "type": "bar",
            "name": sport_word(sport),
            "x": [p.days_to_race for p in training],
            "y": [round(p.hours.get(sport, 0.0), 2) for p in training],
            "marker": {"color": sport_colour(sport), "line": {"color": "@paper", "width": 1}},
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
    """The page's number of each flag, those of one day together, under the sleep line."""
    days: dict[int, list[str]] = {}
    for flag in strip.flags:
        days.setdefault(flag.days_to_race, []).append(str(flag.number))
    return {
        "type": "scatter",
        "mode": "markers+text",
        "name": "panic flag",
        "x": list(days),
        "y": [top * 0.93 for _ in days],
        "text": [f"<b>{','.join(numbers)}</b>" for numbers in days.values()],
        "textposition": "middle right",
        "textfont": {"size": 12, "color": "@flag"},
        "marker": {"symbol": "triangle-down", "size": 10, "color": "@flag"},
        "cliponaxis": False,
        "hovertemplate": "flag %{text}<extra></extra>",
    }


def _layout(strip: Strip, top: float, most_besides: float) -> dict[str, Any]:
    lowest = max(most_besides, 1.0)
    below = _y_axis([0, lowest], _BELOW, [int(lowest)]) if most_besides else None
    return {
        **still_layout(240, left=34, top=6, right=12),
        "barmode": "stack",
        "bargap": 0.28,
        "xaxis": three_weeks("y3" if below else "y"),
        "yaxis": _y_axis([0, top], _LIFTED if below else _TRAINING, _ticks(top)),
        "yaxis2": _y_axis([4.6, 9.8], _SLEEP, [6, 8]),
        **({"yaxis3": below} if below else {}),
        "shapes": _shapes(strip),
        "annotations": [*_travel_words(strip.points), *_week_words(strip)],
    }


def _ticks(top: float) -> list[int]:
    step = 1 if top <= 4 else 2 if top <= 8 else 4
    return list(range(0, int(top / _HEADROOM) + 1, step))


def _y_axis(limits: list[float], domain: tuple[float, float], ticks: list[int]) -> dict[str, Any]:
    return {
        "range": limits,
        "domain": list(domain),
        "tickvals": ticks,
        "ticktext": [f"{tick} h" for tick in ticks],
        "gridcolor": "@line",
        "gridwidth": 1,
        "zeroline": False,
        "fixedrange": True,
    }


def _shapes(strip: Strip) -> list[dict[str, Any]]:
    """The usual day behind the bars, the edge of race week, race day, and days away."""
    shapes: list[dict[str, Any]] = []
    if strip.usual_day_h is not None:
        shapes.append(_box(-21.5, -0.5, 0, round(strip.usual_day_h, 3), "y", "@band"))
    if strip.usual_night_h is not None:
        night = upright(0, "dot", "@sleep")
        ends = {"x0": -21.5, "x1": 0.5, "y0": strip.usual_night_h, "y1": strip.usual_night_h}
        shapes.append({**night, **ends, "yref": "y2", "layer": "below"})
    shapes.append(upright(-7.5, "dot", "@muted"))
    shapes.append(upright(0, "solid", "@ink"))
    away = [p.days_to_race for p in strip.points if p.travel]
    if away:
        line = upright(0, "solid", "@ink")
        ends = {"x0": min(away), "x1": 0, "y0": _TRAVEL_AT, "y1": _TRAVEL_AT}
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
    """What the line of days away means, written to the left of its start."""
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
            "y": _TRAVEL_AT,
            "xanchor": "right",
            "yanchor": "middle",
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
