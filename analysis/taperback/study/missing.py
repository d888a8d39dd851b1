"""What is missing for which race, and what adding it would make known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from taperback.common.dates import day_month_year
from taperback.common.limits import LIMITS
from taperback.common.quantities import PRIMARY_FACTORS, QUANTITIES
from taperback.common.wording import number_of, some
from taperback.journal.model import DEFAULT_FILES
from taperback.raceweek.factors.sleep import RACE_NIGHTS
from taperback.raceweek.model import Measured, RaceWeek
from taperback.raceweek.window.window import baseline_days

ASKED = ("result_pct", "race_rpe", *PRIMARY_FACTORS)
"""The measures that evidence rests on, in the order they are given."""

PERIODS = (
    "periods.csv says why: rest (days off on purpose, counted as rest days), illness or injury "
    "(days off, and the weeks they touch are no usual weeks), no records (nothing is known of "
    "these days)"
)
"""Every kind of period and what it does, as the end of a remedy."""


@dataclass(frozen=True)
class Gap:
    """One measure of one race that is unknown.

    Attributes:
        race_id, race: the race.
        measure: name of the measure; label: what sentences call it.
        reason: why it is unknown.
        add: what to add and where, as a phrase; empty where nothing would help.
        or_period: whether a period that says why nobody trained would do as well.
        also: what is lacking beside it, as a clause; mostly empty.
        remedy: all of it, and what that would make known, as a sentence.
        lost_to: names of the earlier races for which it is unknown, and would not be if they were
            typed as tune-ups.
    """

    race_id: str
    race: str
    measure: str
    label: str
    reason: str
    add: str
    or_period: bool
    remedy: str
    lost_to: tuple[str, ...] = ()
    also: str = ""


def gaps(weeks: tuple[RaceWeek, ...], files: Mapping[str, str] = DEFAULT_FILES) -> tuple[Gap, ...]:
    """Every unknown measure that evidence rests on, in order of race; a race left out lacks none.

    Args:
        weeks: one per race.
        files: table of the journal -> the file that holds it.
    """
    return tuple(
        _gap(week, measured, files)
        for week in weeks
        if not week.race.get("leave_out")
        for name in ASKED
        if (measured := week.measures[name]) and not measured.known
    )


def _gap(week: RaceWeek, measured: Measured, files: Mapping[str, str]) -> Gap:
    label = QUANTITIES[measured.name].label
    words, table = {
        "result_pct": (_result, "races"),
        "race_rpe": (_rpe, "races"),
        "sleep_change_h": (_nights, "nights"),
        "body_clock_lag_h": (_trip, "trips"),
        "intensity_kept": (_intensity, "sessions"),
    }.get(measured.name, (_files, ""))
    add = words(week, files.get(table, ""))
    remedy = f"{add} would make {label} known for {week.name}" if add else ""
    or_period = bool(add) and words in (_files, _intensity) and week.number("volume_cut") is None
    if or_period:
        remedy += f"; where nobody trained, {PERIODS}"
    also = _also(week, add, files["sessions"]) if measured.name == "intensity_kept" else ""
    remedy += f"; {also}" if also else ""
    lost_to = week.lost_to if measured.name == "volume_cut" else ()
    if lost_to:
        add = (
            f"tune-up under aim in {files['races']}, for those that were trained through of "
            f"{some(lost_to)},"
        )
        remedy, or_period = f"{add} would make {label} known for {week.name}", False
    return Gap(
        race_id=week.race_id,
        race=week.name,
        measure=measured.name,
        label=label,
        reason=measured.reason,
        add=add,
        or_period=or_period,
        remedy=remedy,
        lost_to=lost_to,
        also=also,
    )


def _row(week: RaceWeek, file: str) -> str:
    """Where the race's row is; one that only the files show gets it from `draft`."""
    row = week.race["row"]
    return f"row {row} of {file}" if row else f"the row that taperback draft writes to {file}"


def _result(week: RaceWeek, file: str) -> str:
    """What the race's row lacks, or has wrong; nothing where it was not finished."""
    if week.race.get("status") != "finished":
        return ""
    if wrong := week.doubted_column:
        # an expected time in doubt is an estimate, and nothing that stands in the row
        which = "an" if wrong == "expected_time" else "the right"
        return f"{which} {wrong} in {_row(week, file)}"
    lacking = [
        words
        for words, names in (
            ("a finish_time", ("finish_time_s",)),
            ("an expected_time or a reference_time", ("expected_time_s", "reference_time_s")),
        )
        if all(pd.isna(week.race.get(name)) for name in names)
    ]
    if not lacking:
        return ""
    stages = ", and in those of its other stages," if week.race.get("event") else ""
    return f"{' and '.join(lacking)} in {_row(week, file)}{stages}"


def _rpe(week: RaceWeek, file: str) -> str:
    if week.race.get("status") != "finished":
        return ""
    if not pd.isna(week.race.get("race_rpe")):  # typed, and not believed on that date
        return f"the right date in {_row(week, file)}"
    return f"a race_rpe from 0 to 10 in {_row(week, file)}"


def _nights(week: RaceWeek, file: str) -> str:
    """How many nights are lacking, and between which days."""
    limits = LIMITS.sleep
    wanted = []
    for span, needed in (
        (RACE_NIGHTS, limits.fewest_race_nights),
        (baseline_days(), limits.fewest_baseline_nights),
    ):
        days = week.days[week.days["days_to_race"].between(*span)]
        empty = days[days["sleep_h"].isna()]
        lacking = needed - (len(days) - len(empty))
        if lacking > 0 and len(empty):
            wanted.append(f"{number_of(lacking, 'night')} between {_between(empty)}")
    return f"{' and '.join(wanted)} in {file}" if wanted else ""


def _trip(week: RaceWeek, file: str) -> str:
    day = day_month_year(week.day0)
    return (
        f"a trip that ends before {day} in {file}, or that table with its header alone where you "
        "made none,"
    )


def _intensity(week: RaceWeek, file: str) -> str:
    """The days that are lacking, else what tells hard from easy; nothing where both were told
    apart and there is nothing hard to be kept."""
    if week.number("volume_cut") is None:
        return _files(week, file)
    return "" if week.number("baseline_hard_min") is not None else f"{_TELLS.format(file)},"


def _also(week: RaceWeek, add: str, file: str) -> str:
    """What the race lacks beside days: said at once, so that nobody who has typed the days is then
    asked for the other."""
    share = week.number("known_intensity_share")
    enough = share is not None and share >= LIMITS.intensity.fewest_known_share
    if not add or enough or week.number("volume_cut") is not None:
        return ""
    return f"what tells hard from easy is lacking, too: {_TELLS.format(file)}"


_TELLS = (
    "files with heart rate or power and, under [[thresholds]] in athlete.toml, a "
    "second_threshold_heart_rate_bpm or critical_power_w, or hard_min in {}"
)


def _files(week: RaceWeek, _: str) -> str:
    """Which days hold neither a file nor a word; nothing where files merely say too little."""
    days = week.days[week.days["days_to_race"] < 0]
    blank = days[days["state"] == "unknown"]
    if not len(blank):
        return ""
    days = f"{number_of(len(blank), 'day')} between {_between(blank)}"
    return f"activity files of {days}, or sessions.csv with what no watch recorded,"


def _between(days: pd.DataFrame) -> str:
    return f"{day_month_year(days['day'].iloc[0])} and {day_month_year(days['day'].iloc[-1])}"
