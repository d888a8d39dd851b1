"""`taperback explain`: where one number came from, down to days, files and rules."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from taperback.cli.by_week import leg_lines, week_lines
from taperback.cli.progress import reading_bar
from taperback.cli.tell import tell
from taperback.common.errors import UsageError
from taperback.common.lines import printable
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import number_of
from taperback.raceweek.ahead import RaceAhead
from taperback.raceweek.model import Measured, RaceWeek
from taperback.study.measure import measure_folder
from taperback.study.missing import gaps

FEW_LEGS = 10
"""So many files are always listed; more only where all are asked for."""


def explain(folder: Path, race: str, measure: str, *, every_file: bool) -> None:
    """Says what a number means, and which weeks, days and files it was made from."""
    with reading_bar() as progress:
        measured = measure_folder(folder, progress=progress)
    week = find_race(measured.weeks, printable(race), measured.ahead)
    wanted = find_measure(week, measure)
    for line in explained(measured.imported.legs, week, wanted, every_file=every_file):
        tell(line)
    for gap in gaps((week,), measured.journal.files):
        if gap.measure == wanted.name and gap.remedy:
            tell(f"what would help: {gap.remedy}")


def find_race(weeks: Sequence[RaceWeek], typed: str, ahead: Sequence[RaceAhead] = ()) -> RaceWeek:
    """The race meant by a date, by its whole name or by part of it; what fits exactly wins.

    Raises:
        UsageError: none or several races are meant, or one that lies ahead.
    """
    word = typed.casefold()
    meant = [week for week in weeks if week.race_id == typed]
    meant = meant or [week for week in weeks if week.name.casefold() == word]
    meant = meant or [week for week in weeks if word in f"{week.race_id} {week.name}".casefold()]
    coming = [race for race in ahead if word in f"{race.race_id} {race.name}".casefold()]
    if coming and not meant:
        raise UsageError(
            f"{coming[0].name}, {coming[0].race_id}, lies ahead: it is after the last recorded "
            f"day, {coming[0].last_day}, so nothing of it can be explained yet; name an earlier one"
        )
    if len(meant) != 1:
        known = ", ".join(f"{week.race_id} {week.name}" for week in meant or weeks) or "none"
        found = "several races are" if meant else "no race is"
        raise UsageError(f"{found} called '{typed}'; name one of: {known}")
    return meant[0]


def find_measure(week: RaceWeek, typed: str) -> Measured:
    """The measure of that name, as a column has it or as the page calls it, or of part of it.

    Raises:
        UsageError: there is no such measure, or several have that in their names.
    """
    labels = {name: QUANTITIES[name].label for name in week.measures}
    names = {label.casefold(): name for name, label in labels.items()} | {n: n for n in labels}
    names["panic flags"] = "panic_sessions"  # as the page heads its column
    wanted = " ".join(typed.casefold().split())
    if wanted in names:
        return week.measures[names[wanted]]
    meant = dict.fromkeys(name for known, name in names.items() if wanted and wanted in known)
    if len(meant) == 1:
        return week.measures[next(iter(meant))]
    if meant:
        which = "; ".join(labels[name] for name in meant)
        raise UsageError(f"several measures are called '{typed}'; name one of: {which}")
    close = difflib.get_close_matches(wanted, names, n=1)
    advice = f"did you mean {close[0]}?" if close else f"known are {'; '.join(labels.values())}"
    raise UsageError(f"there is no measure '{typed}'; {advice}")


def explained(
    legs: pd.DataFrame, week: RaceWeek, measured: Measured, *, every_file: bool = False
) -> list[str]:
    """The lines that say where a number came from; `legs` are all that there are."""
    quantity = QUANTITIES[measured.name]
    value = measured.value
    if value is None:
        value = f"unknown: {measured.reason}"
    elif not isinstance(value, str):
        value = f"{quantity.show(value)} (stored as {value:.6g})"
    lines = [f"{week.name}, {week.race_id}", f"{quantity.label}: {value}"]
    lines.append(f"meaning: {quantity.meaning}")
    if measured.basis:
        lines.append(f"made from: {measured.basis}")
    used = legs[legs["leg_id"].isin(measured.legs)]
    by_week = week_lines(week, measured, used) if measured.days else []
    if measured.days and not by_week:
        days = pd.to_datetime(pd.Series(sorted(set(measured.days))))
        unbroken = days.groupby((days.diff() != pd.Timedelta(days=1)).cumsum())
        ends = (
            dict.fromkeys(f"{day:%Y-%m-%d}" for day in run.iloc[[0, -1]]) for _, run in unbroken
        )
        lines.append(f"days: {', '.join(map(' to '.join, ends))}")
    lines += by_week
    if len(used):
        hours = used["moving_s"].sum() / 3600
        total = f"files: {number_of(len(used), 'leg')}, {hours:.2f} h of moving time"
        if untimed := int(used["moving_s"].isna().sum()):
            total += f", that of {number_of(untimed, 'leg')} unknown"
        shown = every_file or len(used) <= FEW_LEGS
        lines += [total, *leg_lines(used)] if shown else [f"{total}; --all lists them"]
    return lines
