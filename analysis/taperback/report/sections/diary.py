"""The diary of a race's last three weeks, where one was typed: numbers, panels, marks, notes."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Any

from taperback.common.quantities import QUANTITIES
from taperback.common.wording import listing
from taperback.journal.columns import RATINGS
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import RaceRef
from taperback.report.words.wording import days_before, short

LONGEST_NOTE = 300
"""Letters of a note that the page shows; the whole note is in `study.json`."""

NUMBERS = {
    **{name: name.replace("_", " ") for name in RATINGS},
    "resting_hr_bpm": "resting heart rate, bpm",
    "on_feet_h": "on feet, h",
}
"""Columns of numbers and what they are called, in the table's order."""

DRAWN = (*RATINGS, "resting_hr_bpm")
"""The columns that have a panel; a rating's goes from 1 to 7."""


@dataclass(frozen=True)
class Panel:
    """One quantity day by day.

    Attributes:
        label: what it is.
        points: (days to the race, value) of each day that has one.
        ends: the least and the largest value that the panel shows.
        usual: the athlete's usual value; None where unknown.
    """

    label: str
    points: tuple[tuple[int, float], ...]
    ends: tuple[float, float]
    usual: float | None = None


@dataclass(frozen=True)
class DiaryView:
    """One race's diary.

    Attributes:
        place: where the chart stands.
        columns: the numbers that were typed, by name.
        numbers: one text for each column, by days to the race. panels: the chart.
        massage_words: whether there was a massage, by days to the race, where that was typed.
        massages, noted: days to the race with a massage, and with a note.
        notes: (day, words) of each note, in order of day.
        summary: what the chart shows, for those who cannot see it.
    """

    place: str
    columns: tuple[str, ...]
    numbers: Mapping[int, tuple[str, ...]]
    massage_words: Mapping[int, str]
    panels: tuple[Panel, ...]
    massages: tuple[int, ...]
    noted: tuple[int, ...]
    notes: tuple[tuple[str, str], ...]
    summary: str

    @property
    def drawn(self) -> bool:
        """Whether there is anything to draw; hours on feet stand in the table alone."""
        return bool(self.panels or self.massages or self.noted)

    def numbers_of(self, days_to_race: int) -> tuple[str, ...]:
        """What the table has for a day: a dash where nothing was typed."""
        return self.numbers.get(days_to_race, ("–",) * len(self.columns))


_MASSAGE = {True: "massage", False: "no massage"}


def diary_view(week: RaceWeek, race: RaceRef) -> DiaryView | None:
    """The diary of a race; None where nothing was typed."""
    diary = week.diary
    if not len(diary):
        return None
    days = {int(day["days_to_race"]): day for day in diary.to_dict("records")}
    typed = [name for name in NUMBERS if any(_known(day[name]) for day in days.values())]
    noted = {k: str(day["notes"]) for k, day in days.items() if day["notes"]}
    said = {k: _MASSAGE[day["massage"]] for k, day in days.items() if day["massage"] in _MASSAGE}
    panels = tuple(_panel(days, name, week) for name in DRAWN if name in typed)
    massages = tuple(k for k, words in said.items() if words == _MASSAGE[True])
    drawn = [panel.label.partition(",")[0] for panel in panels]
    drawn += [words for words, days in (("massages", massages), ("notes", noted)) if days]
    return DiaryView(
        place=f"chart-diary-{race.anchor}",
        columns=tuple(NUMBERS[name] for name in typed),
        numbers={
            k: tuple(_number(name, float(day[name])) for name in typed) for k, day in days.items()
        },
        massage_words=said,
        panels=panels,
        massages=massages,
        noted=tuple(noted),
        notes=tuple((days_before(-k), short(words, LONGEST_NOTE)) for k, words in noted.items()),
        summary=(
            f"Chart of the diary of the three weeks before race {race.key}: "
            f"{listing(drawn) or 'typed days'}. The table below it holds the same numbers."
        ),
    )


def _known(value: Any) -> bool:
    return value is not None and value == value


def _number(name: str, value: float) -> str:
    """A number as it was typed; what was not typed is a dash."""
    if value != value:
        return "–"
    return QUANTITIES[name].number(value) if name == "on_feet_h" else f"{value:.4g}"


def _panel(days: Mapping[int, Mapping[Hashable, Any]], name: str, week: RaceWeek) -> Panel:
    points = tuple((k, float(day[name])) for k, day in days.items() if _known(day[name]))
    if name in RATINGS:
        return Panel(NUMBERS[name], points, (1, 7))
    usual = week.number("usual_resting_hr_bpm")
    values = [value for _, value in points] + ([] if usual is None else [usual])
    return Panel(NUMBERS[name], points, (min(values), max(values)), usual)
