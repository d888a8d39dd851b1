"""What is wrong within a row of the races: times and places that cannot belong to one race."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, fault
from taperback.journal.cells import quoted
from taperback.journal.expected import kilometres
from taperback.journal.times import clock

TOO_SHORT = "too-short"

_MOST_EVENTS = 100
"""More words than these are not held against each other, which takes time by the square."""


def within_races(races: pd.DataFrame, file: str) -> tuple[pd.DataFrame, list[Notice]]:
    """The races, finish times too short for theirs unknown, events in one spelling; what is wrong.

    Places beyond the field and times that cannot belong to one race are said, and stay.
    """
    rules = (_impossible, _seconds)
    notices = [said for race in races.itertuples() for rule in rules for said in rule(race, file)]
    short = races["row"].isin({notice.row for notice in notices if notice.code == TOO_SHORT})
    spelling: dict[str, str] = {}
    for event in races["event"]:
        spelling.setdefault(_plain(event), event)
    read = races.assign(
        finish_time_s=races["finish_time_s"].mask(short, float("nan")),
        event=[spelling[_plain(event)] for event in races["event"]],
    )
    rows = read[read["event"] != ""].drop_duplicates("event", keep=False)
    several = sorted(set(read["event"]) - {"", *rows["event"]})[:_MOST_EVENTS]
    for race in rows.head(_MOST_EVENTS).itertuples():
        if close := difflib.get_close_matches(race.event, several, n=1, cutoff=0.8):
            found = f"{quoted(race.event)} stands in no other row"
            remedy = f"did you mean {quoted(close[0])}?"
            notices.append(Notice(file, race.row, "event", "event", found, remedy))
    return read, notices


def _plain(event: str) -> str:
    """An event's word, whatever its letters' case and its blanks."""
    return " ".join(event.casefold().split())


def _seconds(race: Any, file: str) -> Iterable[Notice]:
    """A finish time under a minute: `42.30` may be meant as 42 minutes and 30 seconds."""
    if not race.finish_time_s < 60:
        return
    whole, rest = f"{race.finish_time_s:05.2f}".split(".")
    remedy = f"write {whole}:{rest} for minutes" if int(rest) < 60 else "write h:mm:ss for minutes"
    speed_mps = 1000 * kilometres(race.distance) / race.finish_time_s
    if len(race.sports) > 1 or speed_mps > LIMITS.journal.fastest_mps:
        found = f"{clock(race.finish_time_s)} is read as seconds, too short for this race"
        yield fault(file, race.row, "finish_time", TOO_SHORT, found, remedy)
    elif speed_mps != speed_mps:
        found = f"{clock(race.finish_time_s)} is read as seconds"
        yield Notice(file, race.row, "finish_time", "seconds", found, remedy)


def _impossible(race: Any, file: str) -> Iterable[Notice]:
    """A place beyond the field, and times that cannot belong to one race."""
    if race.place > race.field_size:
        found = f"place {race.place:g} is larger than the field of {race.field_size:g}"
        yield fault(file, race.row, "place", "place", found, "correct one of them")
    low, high = LIMITS.journal.finish_share
    for name in ("expected_time", "reference_time"):
        typed = getattr(race, f"{name}_s")
        ratio = typed / race.finish_time_s
        if not (ratio != ratio or low < ratio < high):
            other, finish = clock(typed), clock(race.finish_time_s)
            found = f"{other} cannot belong to a finish time of {finish}"
            yield fault(file, race.row, name, "time", found, "write both as h:mm:ss")
