"""A first `athlete.toml`, from what activity files say of the athlete."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

import pandas as pd

from taperback.common.lines import printable
from taperback.common.sinks import toml_remark, toml_word
from taperback.importer.home import Home
from taperback.journal.athlete import THRESHOLD_NAMES
from taperback.journal.model import Athlete
from taperback.raceweek.effort.thresholds import Thresholds, highest_by_sport, thresholds_by_race
from taperback.raceweek.window.counting import hours_by_activity, hours_words
from taperback.raceweek.window.window import Window, baseline_days


def first_athlete(legs: pd.DataFrame, name: str, home: Home) -> Athlete:
    """The athlete as far as activity files know: endurance sports, most hours first; no more.

    Args:
        legs: columns `PLACED_COLUMNS`.
        name: such as the folder's; it may hold what no line and no encoding holds.
        home: what the files say of it.
    """
    training, _ = hours_by_activity(legs, ())
    return Athlete(printable(name), home.zone, tuple(training), typed=False, home_guess=home.guess)


def athlete_toml(athlete: Athlete, legs: pd.DataFrame, windows: Sequence[Window]) -> str:
    """What a first `athlete.toml` says.

    What files say of thresholds stands there as remarks, since a device's setting is often stale,
    and so does what best efforts before each race let estimate, since few of them are all-out.
    """
    guess = athlete.home_guess
    training, besides = hours_by_activity(legs, ())
    counts = f"These count as training: {hours_words(training)}."
    counts_not = f"These do not, unless you add them: {hours_words(besides)}."
    lines = [
        "# Proposed from the activity files; put right what is wrong.",
        f"name = {toml_word(athlete.name)}",
        *([toml_remark(f"A guess, {guess}; put it right.")] if guess else []),
        f"home_zone = {toml_word(athlete.home_zone)}",
        f"sports = [{', '.join(map(toml_word, athlete.sports))}]",
        *([toml_remark(counts)] if training else []),
        *([toml_remark(counts_not)] if besides else []),
        *_threshold_remarks(legs),
        *_estimate_remarks(windows),
    ]
    return "\n".join(lines) + "\n"


def _threshold_remarks(legs: pd.DataFrame) -> Iterator[str]:
    """Settings that the files hold, each from the first day it was seen, as remarks."""
    last: dict[tuple[str, str], float] = {}
    for leg in legs.itertuples():
        for name, value in leg.file_thresholds.items():
            if name not in THRESHOLD_NAMES or last.get((leg.sport, name)) == value:
                continue
            last[leg.sport, name] = value
            yield ""
            yield from map(
                toml_remark,
                (
                    f"A file of {leg.local_day} says so; take the marks away to make it yours.",
                    "[[thresholds]]",
                    f"since = {leg.local_day}",
                    f"sport = {toml_word(leg.sport)}",
                    f"{name} = {value:g}",
                ),
            )


def _estimate_remarks(windows: Sequence[Window]) -> Iterator[str]:
    """Thresholds estimated before each race, each with the day it holds from."""
    by_race = thresholds_by_race(windows, highest_by_sport(windows))
    first, last = baseline_days()
    lines = [
        toml_remark(
            f"  {window.day0 + timedelta(days=last)}, {sport}: "
            f"{limits.signal.second} = {limits.steps[-1].second:.{limits.signal.decimals}f}"
        )
        for window in windows
        for sport, limits in by_race[window.race_id].items()
        if isinstance(limits, Thresholds) and limits.source == "estimate"
    ]
    if lines:
        yield ""
        yield f"# Estimated from the best efforts {-first} to {-last} days before each race, and"
        yield "# too low if none was all-out; a tested one, written as [[thresholds]] with since,"
        yield "# sport and its name, is used instead."
        yield from lines
