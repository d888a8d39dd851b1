"""Hand-made squads: what the tests of the coach's page start from."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from report.hostile import WORDS, hostile
from report.studies import nothing_known, study
from taperback.common.notices import Level, Notice
from taperback.evidence.points import points_of
from taperback.evidence.squad import assess_squad
from taperback.squad.members import member_of, races_of
from taperback.squad.model import Broken, Member, NextRace, Squad
from taperback.squad.weeks import weeks_of
from taperback.study.missing import Gap
from taperback.study.review import Study

NAMES = ("Wren Alder", "Ottilie Marsh", "Tarn Hollow", "Piet Sallow", "Junia Reed", "Basil Fenn")
VERSIONS = {"taperback": "0.1.0", "python": "3.11.9"}


def member(place: int, made: Study | None = None) -> Member:
    """One athlete, with results of their own."""
    name = NAMES[place % len(NAMES)]
    one = replace(member_of(f"folder-{name[:4].strip().lower()}", made or study()), name=name)
    rng = np.random.default_rng(place)
    table = one.table.copy()
    for column, spread in (("volume_cut", 0.1), ("sleep_change_h", 0.4), ("result_pct", 1.0)):
        table[column] = table[column].astype(float) + rng.normal(0, spread, len(table))
    told = table[table["result_pct"].notna()]
    return replace(
        one,
        weeks=weeks_of(table),
        points=points_of(told, told["result_pct"]),
        next_race=NextRace("Gullmouth", date(2031, 5, 1 + place), 60 + place, 5.2, 26.0),
        last_day=date(2031, 3, 2),
    )


def together(*members: Member, broken: tuple[Broken, ...] = ()) -> Squad:
    """These athletes as a squad."""
    evidence = assess_squad({m.key: races_of(m) for m in members})
    return Squad(members, evidence, broken, (), dict(VERSIONS))


def squad() -> Squad:
    """Five athletes with races, one without any, and a folder that could not be used."""
    nobody = replace(member_of("zeno", nothing_known()), name="Zeno Larch")
    sleepless = Gap(
        "2029-09-09",
        "Three Valleys",
        "sleep_change_h",
        "sleep change",
        "2 of 7 nights are known",
        "4 nights between 3 September 2029 and 8 September 2029 in nights.csv",
        False,
        "4 nights between 3 September 2029 and 8 September 2029 in nights.csv would make sleep "
        "change known for Three Valleys",
    )
    first = replace(member(0), gaps=(sleepless,))
    lost = Notice(
        "notes", 0, "", "athlete", "athlete.toml is missing", "draft writes one", Level.FAULT
    )
    others = (member(place) for place in range(1, 5))
    return together(first, *others, nobody, broken=(Broken("notes", lost),))


def folder_name(place: int, word: str) -> str:
    """A folder of that name, as far as a disk can hold it."""
    return f"{place} {word[:60]}".replace("/", "").replace("\x00", "").replace("\ud800", "\udc80")


def hostile_squad() -> Squad:
    """A squad whose every typed word is an attack, a flood or a puzzle for the page."""
    members = tuple(
        replace(
            member(place, hostile()),
            key=folder_name(place, word),
            name=word,
            next_race=NextRace(word, date(2031, 5, 1), 60),
            gaps=(Gap("x", word, "sleep_change_h", word, word, word, False, word),),
        )
        for place, word in enumerate(WORDS)
    )
    why = Notice(WORDS[0], 0, "", "athlete", WORDS[0], WORDS[1])
    return together(*members, broken=(Broken(WORDS[0], why),))


def empty_squad() -> Squad:
    """No athlete could be used."""
    why = Notice("notes", 0, "", "athlete", "it is empty")
    return Squad((), None, (Broken("notes", why),), (), dict(VERSIONS))
