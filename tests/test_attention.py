"""Whom of a squad to look at first: a near race, a fault, panic, data that are missing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from report.squads import member, together
from taperback.common.notices import Level, Notice
from taperback.squad.attention import attention, in_order
from taperback.squad.model import Member, NextRace, PastRace, SeenFlag
from taperback.study.missing import Gap

FLAG = SeenFlag("late", 2, "bike ride")
GAP = Gap("x", "x", "sleep_change_h", "sleep change", "", "", False, "")
FAULT = Notice("races.csv", 2, "date", "x", "x", "x", Level.FAULT)


def calm(key: str) -> Member:
    """An athlete with nothing to look at."""
    day = date(2029, 9, 9)
    return replace(
        member(0),
        key=key,
        next_race=None,
        gaps=(),
        notices=(),
        races=(PastRace("A", day, ()), PastRace("B", day, ())),
        results=5,
    )


def race_in(days: int) -> NextRace:
    return NextRace("C", date(2031, 5, 1), days)


SQUAD = (
    calm("nothing"),
    replace(calm("far race"), next_race=race_in(29)),
    replace(calm("one gap"), gaps=(GAP,)),
    replace(calm("two gaps"), gaps=(GAP, GAP)),
    replace(calm("few results"), results=2),
    replace(calm("panic once"), races=(PastRace("A", None, (FLAG, FLAG)),)),
    replace(calm("panic twice"), races=(PastRace("A", None, (FLAG,)),) * 2),
    replace(calm("fault"), notices=(FAULT,)),
    replace(calm("race in 28"), next_race=race_in(28)),
    replace(calm("race in 3"), next_race=race_in(3)),
)
WANTED = [
    *("race in 3", "race in 28", "fault", "panic twice", "panic once"),
    *("few results", "two gaps", "one gap", "nothing", "far race"),
]


@pytest.mark.parametrize("way", [1, -1])
def test_the_order_is_near_race_fault_panic_missing_data(way: int) -> None:
    order = [m.key for m in in_order(together(*SQUAD[::way]))]
    assert order[:-2] == WANTED[:-2]
    assert order[-2:] == WANTED[-2:][::way], "who has nothing stays in the order of the folders"


def test_what_there_is_to_look_at_is_counted() -> None:
    races = (PastRace("A", None, (FLAG, FLAG)), PastRace("B", None, (FLAG,), False))
    found = attention(replace(calm("x"), races=races, gaps=(GAP, GAP, GAP), results=2))
    assert (found.flags, found.flagged_races, found.unseen_races) == (3, 2, 1)
    assert (found.unknown, found.few_results, found.race_near_d) == (3, True, None)
