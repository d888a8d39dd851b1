"""One race's three weeks as a chart, in plain values that plotly draws."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from taperback.common.quantity import MINUS
from taperback.report.charts.layout import (
    Panel,
    band,
    note,
    three_weeks_layout,
    upright,
    usual_line,
    week_edges,
    words,
)
from taperback.report.charts.theme import sport_colour
from taperback.report.sections.week_strips import DayPoint, Strip
from taperback.report.words.wording import sport_word

_HEADROOM = 1.5
"""Room above the longest day, for the hard minutes and the flags."""

_TRAINING_PX, _SLEEP_PX, _BESIDES_PX = 104, 40, 24
"""Heights of the panels, so that an hour is as high in every strip."""

_USUAL_NIGHTS = (4.6, 9.8)
"""What the axis of sleep shows [h], and more where a night lies outside."""

_PATTERN = {"swimming": ".", "running": "/", "cycling": ""}
"""What tells sports apart where there is no colour; all others are crossed."""

_BAR_D = 0.8
"""How wide a bar is [days]."""

_SIGNS = {"rest": "·", "unknown": "?"}
"""What stands on a day without training."""


def scale_of(strips: Sequence[Strip]) -> tuple[float, float]:
    """The longest day of training of all strips, and that of what does not count [h]."""
    return (
        max((strip.most_hours for strip in strips), default=0.0),
        max((strip.most_besides for strip in strips), default=0.0),
    )


def week_chart(strip: Strip, most_hours: float, most_besides: float = 0.0) -> dict[str, Any]:
    """Training by sport, hard minutes, sleep, travel and flags of one race's last three weeks.

    `most_hours` and `most_besides` are what `scale_of` all strips gives, so that an hour is as high
    in each. Nights, and what does not count, have a panel of their own where there are any.
    """
    top = max(most_hours, 1.0) * _HEADROOM
    before = [p for p in strip.points if p.days_to_race < 0]
    return {
        "data": [
            *(_bars(sport, before) for sport in strip.sports),
            *_words_on_days(before),
            *([_sleep_line(strip.points)] if strip.has_nights else []),
            *([_besides(before)] if strip.most_besides else []),
            *([_flag_marks(strip, top)] if strip.flags else []),
        ],
        "layout": _layout(strip, top, max(most_besides, 1.0)),
    }


def _bars(sport: str, training: list[DayPoint]) -> dict[str, Any]:
    return {
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


def _besides(before: list[DayPoint]) -> dict[str, Any]:
    """What does not count as training, in the panel below it."""
    held = [p for p in before if p.besides]
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


def _words_on_days(before: list[DayPoint]) -> list[dict[str, Any]]:
    """Minutes of hard work on top of the day's bar; a dot for a rest day, a question mark for a
    day of which nothing is known."""
    hard = [p for p in before if p.hard_min >= 0.5]
    still = [p for p in before if p.state in _SIGNS]
    return [
        words(
            "hard minutes",
            [p.days_to_race for p in hard],
            [round(sum(p.hours.values()), 2) for p in hard],
            [f"{p.hard_min:.0f}" for p in hard],
            cliponaxis=False,
            hovertemplate="%{text} hard minutes<extra></extra>",
        ),
        words(
            "rest or unknown",
            [p.days_to_race for p in still],
            [0.0 for _ in still],
            [_SIGNS[p.state] for p in still],
            size=12,
            colour="@muted",
            hovertemplate=[f"{p.state}<extra></extra>" for p in still],
        ),
    ]


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
    return words(
        "panic flag",
        list(texts),
        [top * (0.7 if day in lowered else 0.82) for day in texts],
        [f"<b>{text}</b>" for text in texts.values()],
        size=13,
        mode="markers+text",
        marker={"symbol": "triangle-down", "size": 9, "color": "@flag"},
        cliponaxis=False,
        hovertemplate="flag %{text}<extra></extra>",
    )


def _layout(strip: Strip, top: float, most_besides: float) -> dict[str, Any]:
    """The panels; behind the bars the usual day, below them how each week was against it."""
    nights = [p.sleep_h for p in strip.points if p.sleep_h == p.sleep_h]
    step = 1 if top <= 4 else 2 if top <= 8 else 4
    hours = range(0, int(top / _HEADROOM) + 1, step)
    panels = [Panel("y", "training, h", _TRAINING_PX, (0.0, top), hours)]
    usual = []
    if strip.usual_day_h is not None:
        usual.append(band((-21.5, -0.5), (0, round(strip.usual_day_h, 3)), "y"))
    if nights:
        ends = (min([_USUAL_NIGHTS[0], *nights]), max([_USUAL_NIGHTS[1], *nights]))
        panels.append(Panel("y2", "sleep, h", _SLEEP_PX, ends, (6, 8)))
        if strip.usual_night_h is not None:
            usual.append(usual_line(strip.usual_night_h, "y2", "@sleep"))
    if strip.most_besides:
        whole = (int(most_besides),)
        panels.append(Panel("y3", "does not count, h", _BESIDES_PX, (0.0, most_besides), whole))
    away, away_words = _away(strip.points)
    week_words = [
        note(text, middle, 0, size=12, yanchor="top", yshift=-21)
        for middle, text in zip((-18, -11, -4), strip.week_words, strict=True)
        if text
    ]
    return three_weeks_layout(
        panels,
        left=26,
        shapes=[*usual, *week_edges(), *away],
        notes=[*away_words, *week_words],
        barmode="stack",
        bargap=0.28,
    )


def _away(points: tuple[DayPoint, ...]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """The line of days away at the head, and to the left of its start what it means."""
    away = [p.days_to_race for p in points if p.travel]
    if not away:
        return [], []
    arrived = [p.days_to_race for p in points if p.travel == "arrive"]
    text = f"away, arrived {str(arrived[-1]).replace('-', MINUS)}" if arrived else "away"
    ends = {"x0": min(away), "x1": 0, "y0": 1, "y1": 1, "line": {"color": "@ink", "width": 2}}
    line = upright(0, "solid", "@ink") | ends
    return [line], [note(text, min(away) - 0.25, 1, xanchor="right", yanchor="top")]
