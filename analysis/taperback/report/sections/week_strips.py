"""Each race week day by day: training, sleep, travel and flags, all races on one axis."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from taperback.common.dates import day_month
from taperback.common.outcomes import Outcome
from taperback.common.quantities import PRIMARY_FACTORS, QUANTITIES
from taperback.raceweek.model import RaceWeek
from taperback.report.sections.diary import DiaryView, diary_view
from taperback.report.sections.glance import RULE_WORDS
from taperback.report.words.cells import (
    UNKNOWN,
    Cell,
    RaceRef,
    cell_of,
    measure_cell,
)
from taperback.report.words.wording import is_nothing, sport_order, sport_word

FIRST_DAY = -21
WEEKLY_CUTS = ("volume_cut_week_3", "volume_cut_week_2", "volume_cut")
"""The cuts of the three weeks that a strip shows, in order."""
TRAVEL_WORDS = {"depart": "departed", "arrive": "arrived", "away": "away"}


@dataclass(frozen=True)
class DayRow:
    """One day of the table: finished texts, one of `hours` per sport of the strip; `besides`
    is what does not count as training."""

    label: str
    date: str
    hours: tuple[str, ...]
    besides: str
    hard: str
    sleep: str
    remarks: str
    in_race_week: bool


@dataclass(frozen=True)
class DayPoint:
    """One day as the chart needs it; NaN where unknown."""

    days_to_race: int
    state: str
    hours: dict[str, float]
    hard_min: float
    sleep_h: float
    travel: str
    besides: dict[str, float]


@dataclass(frozen=True)
class FlagMark:
    """Where a flag stands in the strip: its number on the page, the day, and the rule's name."""

    number: int
    days_to_race: int
    rule: str


@dataclass(frozen=True)
class Strip:
    """One race's three weeks.

    Attributes:
        race: the race. key_cells: outcome and the compared measures. measures: all of them.
        sports: sports of the strip, in order; sport_names: what they are called.
        rows: the table. points: the chart. flags: marks in the chart.
        usual_day_h: a usual week spread over its days, None where unknown.
        usual_night_h: sleep of a usual night, None where unknown.
        week_words: how the third, second and last week compare with a usual one; may be empty.
        facts: sentences that no measure carries.
        summary: what the chart shows, for those who cannot see it.
        diary: what was typed of its days; None where nothing was.
    """

    race: RaceRef
    key_cells: tuple[Cell, ...]
    measures: tuple[Cell, ...]
    sports: tuple[str, ...]
    sport_names: tuple[str, ...]
    rows: tuple[DayRow, ...]
    points: tuple[DayPoint, ...]
    flags: tuple[FlagMark, ...]
    usual_day_h: float | None
    usual_night_h: float | None
    week_words: tuple[str, ...]
    facts: tuple[str, ...]
    summary: str
    diary: DiaryView | None

    @property
    def place(self) -> str:
        """Where the chart stands."""
        return f"chart-{self.race.anchor}"

    @property
    def most_hours(self) -> float:
        """The longest day of training in the strip [h]."""
        return max((sum(point.hours.values()) for point in self.points), default=0.0)

    @property
    def most_besides(self) -> float:
        """The longest day before the race of what does not count [h]; 0 where there is nothing."""
        before = (point for point in self.points if point.days_to_race < 0)
        return max((sum(point.besides.values()) for point in before), default=0.0)


def strips(
    weeks: tuple[RaceWeek, ...],
    outcome: Outcome,
    refs: dict[str, RaceRef],
    sports_first: tuple[str, ...],
    flag_numbers: dict[str, tuple[int, ...]],
) -> tuple[Strip, ...]:
    """One strip a race; `flag_numbers` gives the page's numbers of each race's flags in order."""
    return tuple(
        _strip(week, outcome, refs[week.race_id], sports_first, flag_numbers[week.race_id])
        for week in weeks
    )


def _strip(
    week: RaceWeek,
    outcome: Outcome,
    race: RaceRef,
    sports_first: tuple[str, ...],
    numbers: tuple[int, ...],
) -> Strip:
    points = day_points(week)
    sports = sport_order((s for p in points for s in p.hours), sports_first)
    dates = dict(zip(week.days["days_to_race"], week.days["day"], strict=True))
    usual_week = week.number("baseline_weekly_h")
    flags = _flag_marks(week, numbers)
    return Strip(
        race=race,
        key_cells=tuple(measure_cell(week, name) for name in (outcome.name, *PRIMARY_FACTORS)),
        measures=tuple(cell_of(measured) for measured in week.measures.values()),
        sports=tuple(sports),
        sport_names=tuple(sport_word(sport) for sport in sports),
        rows=tuple(_row(point, dates[point.days_to_race], sports, flags) for point in points),
        points=points,
        flags=flags,
        usual_day_h=None if usual_week is None else usual_week / 7,
        usual_night_h=week.number("usual_night_h"),
        week_words=tuple(_against_usual(week, name) for name in WEEKLY_CUTS),
        facts=week.facts,
        summary=_summary(week, race),
        diary=diary_view(week, race),
    )


def _flag_marks(week: RaceWeek, numbers: tuple[int, ...]) -> tuple[FlagMark, ...]:
    return tuple(
        FlagMark(number, -flag.day_before, RULE_WORDS.get(flag.rule, flag.rule))
        for number, flag in zip(numbers, week.flags, strict=True)
    )


def _against_usual(week: RaceWeek, name: str) -> str:
    """How a week compares with a usual one, such as "46% less"; empty where unknown."""
    cut = week.number(name)
    if cut is None:
        return ""
    quantity = QUANTITIES[name]
    if is_nothing(quantity, cut):
        return "as usual"
    return f"{quantity.show(abs(cut))} {'less' if cut > 0 else 'more'}"


def day_points(week: RaceWeek) -> tuple[DayPoint, ...]:
    """The days from three weeks before the race to race day, as far as the table has them."""
    return tuple(
        DayPoint(
            int(row.days_to_race),
            str(row.state),
            {sport: float(hours) for sport, hours in row.hours.items() if hours > 0},
            float(row.hard_min),
            float(row.sleep_h),
            str(row.travel),
            {name: float(hours) for name, hours in row.besides.items() if hours > 0},
        )
        for row in week.days.itertuples()
        if row.days_to_race >= FIRST_DAY
    )


def _row(point: DayPoint, day: date, sports: list[str], flags: tuple[FlagMark, ...]) -> DayRow:
    here = [f"flag {f.number} ({f.rule})" for f in flags if f.days_to_race == point.days_to_race]
    trained = point.state == "recorded" and point.days_to_race < 0
    state = {"unknown": "nothing known", "rest": "rest day"}.get(point.state, "")
    remarks = [state, TRAVEL_WORDS.get(point.travel, ""), *here]
    if point.days_to_race == 0:
        remarks = ["race (its own hours are left out)", TRAVEL_WORDS.get(point.travel, "")]
    return DayRow(
        label="race day" if point.days_to_race == 0 else f"{-point.days_to_race}",
        date=day_month(day),
        hours=tuple(_hours(point, sport) for sport in sports),
        besides=_besides(point),
        hard=_known("hard_min", point.hard_min) if trained else "–",
        sleep=_known("sleep_h", point.sleep_h),
        remarks=", ".join(text for text in remarks if text),
        in_race_week=-7 <= point.days_to_race <= -1,
    )


def _hours(point: DayPoint, sport: str) -> str:
    if point.state == "unknown":
        return UNKNOWN
    hours = point.hours.get(sport)
    return QUANTITIES["volume_h"].show(hours) if hours else "–"


def _besides(point: DayPoint) -> str:
    """What does not count, in hours with its names."""
    told = (
        f"{QUANTITIES['other_h'].show(hours)} {name.replace('_', ' ')}"
        for name, hours in sorted(point.besides.items())
    )
    return ", ".join(told) or "–"


def _known(name: str, value: float) -> str:
    return UNKNOWN if math.isnan(value) else QUANTITIES[name].show(value)


def _summary(week: RaceWeek, race: RaceRef) -> str:
    cells = [measure_cell(week, name) for name in ("volume_cut", "sleep_change_h")]
    values = ", ".join(f"{cell.label} {cell.text}" for cell in cells)
    return (
        f"Chart of the three weeks before race {race.key}: training hours by sport and day, hard "
        f"minutes, sleep, travel and flags; {values}. The table below it holds the same numbers."
    )
