"""Each race week day by day: training, sleep, travel and flags, all races on one axis."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator
from dataclasses import dataclass

from taperback.common.dates import day_month
from taperback.common.outcomes import Outcome
from taperback.common.quantities import QUANTITIES
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.window.counting import activity_words
from taperback.report.sections.diary import DiaryView, diary_view
from taperback.report.sections.glance import compared
from taperback.report.words.cells import UNKNOWN, Cell, RaceRef, measure_cell
from taperback.report.words.wording import sport_order, sport_word

FIRST_DAY = -21
WEEKLY_CUTS = ("volume_cut_week_3", "volume_cut_week_2", "volume_cut")
"""The cuts of the three weeks that a strip shows, in order."""
STATE_WORDS = {"unknown": "nothing known", "rest": "rest day"}
TRAVEL_WORDS = {"depart": "departed", "arrive": "arrived", "away": "away"}


@dataclass(frozen=True)
class DayRow:
    """One day of the table: its day, finished texts by column, remarks."""

    label: str
    date: str
    numbers: tuple[str, ...]
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
        race: the race. result: what it came to, with its name.
        sports: sports of the strip, in order.
        columns: heads of the table's numbers, with their units.
        rows: the table. points: the chart. flags: marks in the chart.
        usual_day_h: a usual week spread over its days, None where unknown.
        usual_night_h: sleep of a usual night, None where unknown.
        week_words: how the third, second and last week compare with a usual one; may be empty.
        facts: sentences that no measure carries.
        summary: what the chart shows, for those who cannot see it.
        diary: what was typed of its days; None where nothing was.
        foldable: whether a narrow screen shows its name alone until it is opened.
    """

    race: RaceRef
    result: Cell
    sports: tuple[str, ...]
    columns: tuple[str, ...]
    rows: tuple[DayRow, ...]
    points: tuple[DayPoint, ...]
    flags: tuple[FlagMark, ...]
    usual_day_h: float | None
    usual_night_h: float | None
    week_words: tuple[str, ...]
    facts: tuple[str, ...]
    summary: str
    diary: DiaryView | None
    foldable: bool

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

    @property
    def has_nights(self) -> bool:
        """Whether any night is known."""
        return any(not math.isnan(point.sleep_h) for point in self.points)


def strips(
    weeks: tuple[RaceWeek, ...],
    outcome: Outcome,
    refs: dict[str, RaceRef],
    sports_first: tuple[str, ...],
    flag_numbers: dict[str, tuple[int, ...]],
    never_folded: Container[str] = (),
) -> tuple[Strip, ...]:
    """One strip a race; `flag_numbers` gives the page's numbers of each race's flags in order.

    All but those of the races `never_folded` and the last one may be folded.
    """
    return tuple(
        _strip(
            week,
            outcome,
            refs[week.race_id],
            sports_first,
            flag_numbers[week.race_id],
            foldable=week.race_id not in never_folded and week is not weeks[-1],
        )
        for week in weeks
    )


def _strip(
    week: RaceWeek,
    outcome: Outcome,
    race: RaceRef,
    sports_first: tuple[str, ...],
    numbers: tuple[int, ...],
    *,
    foldable: bool,
) -> Strip:
    points = day_points(week)
    sports = tuple(sport_order((s for p in points for s in p.hours), sports_first))
    usual_week = week.number("baseline_weekly_h")
    flags = tuple(
        FlagMark(number, -flag.day_before, flag.rule.replace("_", " "))
        for number, flag in zip(numbers, week.flags, strict=True)
    )
    diary = diary_view(week, race)
    columns = _columns(points, sports)
    cells = [measure_cell(week, name) for name in ("volume_cut", "sleep_change_h")]
    values = ", ".join(f"{cell.label} {cell.text}" for cell in cells)
    return Strip(
        race=race,
        result=measure_cell(week, outcome.name),
        sports=sports,
        columns=(*columns, *(diary.columns if diary else ())),
        rows=_rows(week, points, columns, flags, diary),
        points=points,
        flags=flags,
        usual_day_h=None if usual_week is None else usual_week / 7,
        usual_night_h=week.number("usual_night_h"),
        week_words=tuple(
            "" if (cut := week.number(name)) is None else compared(name, -cut, "as usual")
            for name in WEEKLY_CUTS
        ),
        facts=week.facts,
        summary=(
            f"Chart of the three weeks before race {race.key}: training hours by sport and day, "
            f"hard minutes, sleep, travel and flags; {values}. The table below it holds the same "
            "numbers."
        ),
        diary=diary,
        foldable=foldable,
    )


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


def _columns(points: tuple[DayPoint, ...], sports: tuple[str, ...]) -> dict[str, list[str]]:
    """The table's columns of numbers, with a text for each day."""
    volume, other = QUANTITIES["volume_h"], QUANTITIES["other_h"]
    columns = {}
    for sport in sports:
        hours = [volume.number(p.hours[sport]) if sport in p.hours else "–" for p in points]
        columns[f"{sport_word(sport)}, h"] = [
            UNKNOWN if point.state == "unknown" else text
            for point, text in zip(points, hours, strict=True)
        ]
    columns["hard, min"] = [
        _known("hard_min", p.hard_min) if p.state == "recorded" and p.days_to_race < 0 else "–"
        for p in points
    ]
    if any(point.besides for point in points):
        columns["does not count, h"] = [
            ", ".join(
                f"{other.number(hours)} {activity_words(name)}"
                for name, hours in sorted(point.besides.items())
            )
            or "–"
            for point in points
        ]
    if any(not math.isnan(point.sleep_h) for point in points):
        columns["slept, h"] = [_known("sleep_h", point.sleep_h) for point in points]
    return columns


def _rows(
    week: RaceWeek,
    points: tuple[DayPoint, ...],
    columns: dict[str, list[str]],
    flags: tuple[FlagMark, ...],
    diary: DiaryView | None,
) -> tuple[DayRow, ...]:
    dates = dict(zip(week.days["days_to_race"], week.days["day"], strict=True))
    return tuple(
        DayRow(
            label="race day" if point.days_to_race == 0 else f"{-point.days_to_race}",
            date=day_month(dates[point.days_to_race]),
            numbers=(
                *numbers,
                *(diary.numbers_of(point.days_to_race) if diary else ()),
            ),
            remarks=", ".join(_remarks(point, flags, diary)),
            in_race_week=-7 <= point.days_to_race <= -1,
        )
        for point, numbers in zip(points, zip(*columns.values(), strict=True), strict=True)
    )


def _remarks(
    point: DayPoint, flags: tuple[FlagMark, ...], diary: DiaryView | None
) -> Iterator[str]:
    if point.days_to_race and point.state in STATE_WORDS:
        yield STATE_WORDS[point.state]
    if point.travel in TRAVEL_WORDS:
        yield TRAVEL_WORDS[point.travel]
    for flag in flags:
        if flag.days_to_race == point.days_to_race < 0:
            yield f"flag {flag.number} ({flag.rule})"
    if diary and point.days_to_race in diary.massage_words:
        yield diary.massage_words[point.days_to_race]


def _known(name: str, value: float) -> str:
    return UNKNOWN if math.isnan(value) else QUANTITIES[name].number(value)


def legend(strips: tuple[Strip, ...]) -> tuple[tuple[str, str], ...]:
    """(class of the sign, what it means) of every sign that stands in any strip."""
    points = [point for strip in strips for point in strip.points]
    trained = {sport for strip in strips for sport in strip.sports}
    own = [sport for sport in ("swimming", "cycling", "running") if sport in trained]
    signs = (
        *((f"l-{sport}", sport_word(sport), True) for sport in own),
        ("l-other", "other sport", bool(trained - set(own))),
        ("l-number", "hard minutes", any(point.hard_min >= 0.5 for point in points)),
        ("l-band", "a usual day", any(strip.usual_day_h for strip in strips)),
        ("l-night", "a usual night", any(s.usual_night_h and s.has_nights for s in strips)),
        ("l-flag", "panic flag", any(strip.flags for strip in strips)),
        ("l-away", "away from home", any(point.travel for point in points)),
        ("l-dot", "rest day", any(point.state == "rest" for point in points)),
        ("l-ask", "day unknown", any(point.state == "unknown" for point in points)),
    )
    return tuple((sign, words) for sign, words, there in signs if there)
