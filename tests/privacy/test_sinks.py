"""Wherever words go, they arrive as words: one list of places, an independent reader for each."""

from __future__ import annotations

import ast
import csv
import io
import json
import re
import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import html5lib
import pandas as pd
import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st

import taperback
from build import imported, journal, leg
from privacy.hostile_folder import FORMULAS, WORDS
from report.ahead import study_ahead
from taperback.common.lines import printable
from taperback.common.sinks import SINKS, json_text, toml_remark, toml_word
from taperback.importer.home import Home
from taperback.journal.columns import TABLES
from taperback.journal.draft import with_rows
from taperback.proposals.athlete_toml import first_athlete
from taperback.proposals.propose import propose
from taperback.report.calendar_file import next_week_ics
from taperback.report.render import environment, script_json
from taperback.report.take_along import words_csv
from taperback.report.words.wording import sport_word
from taperback.study.next_days import PlannedSession

PACKAGE = Path(taperback.__file__).parent
SETTINGS = "120\n[[thresholds]]\nsince = 2030-01-01\nmax_heart_rate_bpm = 150\n"
SPLIT = tuple(f"x{sign}{blank}=HYPERLINK(1)" for sign in ";,\t\r\n" for blank in ("", " ", '"'))
HOSTILE = (*WORDS, *FORMULAS, *SPLIT, SETTINGS, '"""', "\\", "\ud800", "\x9b2J", "＝1+2")
PAGES = environment()


def from_toml(word: str) -> object:
    ((name, found),) = tomllib.loads(f"name = {toml_word(word)}\n").items()
    assert name == "name"
    return found


def from_remark(word: str) -> object:
    text = toml_remark(word)
    assert tomllib.loads(f"{text}\n") == {}
    return text.removeprefix("# ")


def from_csv(word: str) -> object:
    """The cell, once no part of its line is computed at whichever sign a list is parted."""
    line = words_csv(pd.DataFrame({"name": [word], "cut": [-0.5]})).removeprefix('"name","cut"\n')
    assert line.count("\n") == 1
    assert [part for part in parts(line) if computed(part)] == []
    ((found, cut),) = csv.reader(io.StringIO(line))
    assert cut == "-0.5"
    return found.replace("'", "")


def parts(line: str) -> list[str]:
    """What a spreadsheet may take for a cell of the line."""
    whole = next(csv.reader(io.StringIO(line)))[0]
    return [whole, *re.split("[;\t]", line), *next(csv.reader(io.StringIO(line), delimiter=";"))]


def computed(cell: str) -> bool:
    return cell.lstrip(' "\n').startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠"))


def from_json(word: str) -> object:
    text = json_text({"name": word})
    assert re.findall("[\x00-\x09\x0b-\x1f\x7f-\x9f\ud800-\udfff]", text) == []
    return json.loads(text)["name"]


def from_calendar(word: str) -> object:
    """The text of an entry whose sport is the word, as a reader of calendar files has it."""
    session = PlannedSession(-1, word, 30, day=date(2031, 3, 29))
    week = replace(study_ahead().next_week, sessions=(session,))
    calendar = vobject.readOne(next_week_ics(week, word))
    (entry,) = calendar.vevent_list
    assert set(calendar.contents) == {"version", "prodid", "vevent"}
    assert len(entry.contents) == 7
    return entry.summary.value.removesuffix(" 30 min")


def from_html(word: str) -> object:
    page = PAGES.from_string("<p title='{{ page }}'>{{ page }}</p>").render(page=word)
    body = html5lib.parse(page, namespaceHTMLElements=False).find("body")
    (paragraph,) = list(body)
    assert (paragraph.tag, list(paragraph), set(paragraph.attrib)) == ("p", [], {"title"})
    return paragraph.text


def from_script(word: str) -> object:
    tree = html5lib.parse(f"<script>{script_json(word)}</script>", namespaceHTMLElements=False)
    (script,) = tree.iter("script")
    return json.loads(script.text)


def from_terminal(word: str) -> object:
    line = printable(word)
    assert line.isprintable()
    return line


def shown(word: str) -> str:
    """The word as a page shows it: what no page may hold is a mark, blanks stay."""
    return PAGES.finalize(word)


READERS: dict[str, tuple[Callable[[str], object], Callable[[str], object]]] = {
    "TOML": (from_toml, printable),
    "remark of TOML": (from_remark, printable),
    "CSV": (from_csv, lambda word: printable(word).replace("'", "")),
    "JSON": (from_json, lambda word: word),
    "calendar": (from_calendar, lambda word: printable(sport_word(word))),
    "terminal": (from_terminal, printable),
    "HTML": (from_html, lambda word: shown(word) or None),
    "script of a page": (from_script, lambda word: word),
}


def test_every_place_is_looked_at() -> None:
    assert READERS.keys() - SINKS.keys() == {"HTML", "script of a page"}
    assert SINKS.keys() <= READERS.keys()


@pytest.mark.parametrize("name", READERS)
@settings(max_examples=60, deadline=None)
@given(word=st.text() | st.lists(st.sampled_from(HOSTILE), max_size=3).map("".join))
def test_a_word_arrives_as_a_word(name: str, word: str) -> None:
    read, arrives = READERS[name]
    assert read(word) == arrives(word)


@pytest.mark.parametrize("name", READERS)
def test_hostile_words_arrive_as_words(name: str) -> None:
    read, arrives = READERS[name]
    assert [read(word) for word in HOSTILE] == [arrives(word) for word in HOSTILE]


def test_what_files_hold_never_becomes_a_setting() -> None:
    """Names of settings and sports come from files and from what was kept of them."""
    at = {"start_lat": 40.0, "start_lon": -8.0, "zone": "Europe/Lisbon"}
    legs = [
        leg(k, **at, sport=f"running{SETTINGS}", file_thresholds={f"max{SETTINGS}": 188.0})
        for k in range(-20, 0)
    ]
    legs.append(leg(-1, **at, file_thresholds={"max_heart_rate_bpm": 188.0}, sport=SETTINGS))
    files = imported(legs)
    athlete = first_athlete(files.legs, SETTINGS, Home("Europe/Lisbon"))
    book = replace(journal(), athlete=athlete)
    text = propose(files, replace(book, races=book.races.iloc[:0])).athlete_toml
    assert tomllib.loads(text).keys() == {"name", "home_zone", "sports"}
    assert text.count("\n# [[thresholds]]\n") == 1


def test_what_files_are_called_is_computed_in_no_drafted_table() -> None:
    row = {"date": "2030-06-30", "proposed": "asleep by x;=HYPERLINK(A1).fit"}
    for there in (b"", b"date;notes\n2030-06-01;mine\n"):
        text = with_rows(there, [row], TABLES["nights"]).decode()
        assert [part for part in re.split("[;,\n]", text) if computed(part)] == []
    assert "x;'=HYPERLINK(A1).fit" in text


def test_no_command_speaks_but_through_one_door() -> None:
    spoken = {
        path.name
        for path in (PACKAGE / "cli").glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in ("echo", "secho")
    }
    assert spoken == {"tell.py"}
