"""A first `athlete.toml`, from what activity files tell of the athlete."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pandas as pd

from taperback.common.lines import printable
from taperback.common.resources import shared_toml
from taperback.importer.model import Imported
from taperback.journal.model import NIGHT_COLUMNS, RACE_COLUMNS, TRIP_COLUMNS, Athlete, Journal
from taperback.proposals.races import race_rows, with_races
from taperback.raceweek.effort.thresholds import Thresholds, highest_by_sport, thresholds_by_race
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.window import baseline_days


def athlete_toml(imported: Imported, name: str) -> str:
    """A first `athlete.toml`; empty where no file tells where home is.

    What files say of thresholds stands there as remarks, since a device's setting is often stale,
    and so does what best efforts before each race let estimate, since few of them are all-out.
    """
    legs = imported.legs
    zones = legs.loc[legs["zone"] != "", "zone"]
    if not len(zones):
        return ""
    hours = legs[legs["sport"] != "transition"].groupby("sport")["moving_s"].sum()
    least = shared_toml("limits.toml")["draft"]["least_sport_share"]
    sports = hours[hours >= least * hours.sum()].sort_values(ascending=False).index
    known = [sport for sport in sports if sport in ("swimming", "cycling", "running", "rowing")]
    lines = [
        "# Proposed from the activity files; put right what is wrong.",
        f"name = {_quoted(name)}",
        f"home_zone = {_quoted(zones.mode().iloc[0])}",
        f"sports = [{', '.join(map(_quoted, known))}]",
        *_threshold_remarks(legs),
        *_estimate_remarks(imported, Athlete(name, zones.mode().iloc[0])),
    ]
    return "\n".join(lines) + "\n"


def _quoted(word: str) -> str:
    """The word in TOML's quotes; a folder may have a name that no line and no encoding holds."""
    escaped = printable(word).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _threshold_remarks(legs: pd.DataFrame) -> Iterator[str]:
    """Settings that the files hold, each from the first day it was seen, as remarks."""
    last: dict[tuple[str, str], float] = {}
    for leg in legs.itertuples():
        for name, value in leg.file_thresholds.items():
            if last.get((leg.sport, name)) == value:
                continue
            last[leg.sport, name] = value
            yield from (
                "",
                f"# A file of {leg.local_day} says so; take the marks away to make it yours.",
                "# [[thresholds]]",
                f"# since = {leg.local_day}",
                f'# sport = "{leg.sport}"',
                f"# {name} = {value:g}",
            )


def _estimate_remarks(imported: Imported, athlete: Athlete) -> Iterator[str]:
    """Thresholds estimated before each proposed race, each with the day it holds from."""
    tables = (pd.DataFrame(columns=list(c)) for c in (RACE_COLUMNS, NIGHT_COLUMNS, TRIP_COLUMNS))
    weeks = windows(imported, with_races(Journal(athlete, *tables), race_rows(imported.legs)))
    by_race = thresholds_by_race(weeks, highest_by_sport(weeks))
    first, last = baseline_days()
    lines = [
        f"#   {week.day0 + timedelta(days=last)}, {sport}: "
        f"{found.signal.second} = {found.steps[-1].second:.{found.signal.decimals}f}"
        for week in weeks
        for sport, found in by_race[week.race_id].items()
        if isinstance(found, Thresholds) and found.source == "estimate"
    ]
    if lines:
        yield ""
        yield f"# Estimated from the best efforts {-first} to {-last} days before each race, and"
        yield "# too low if none was all-out; a tested one, written as [[thresholds]] with since,"
        yield "# sport and its name, is used instead."
        yield from lines
