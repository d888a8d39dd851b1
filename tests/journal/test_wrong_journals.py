"""Wrong journals, one folder a defect and named for it: each is told in one clear line.

A folder under `wrong/` is an athlete's journal; its `expected.txt` holds every line that is said.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from taperback.common.errors import InputError
from taperback.common.notices import Level
from taperback.journal.load import read_journal

WRONG = Path(__file__).parent / "wrong"
DEFECTS = sorted(path.name for path in WRONG.iterdir())


def said(folder: Path) -> list[str]:
    """Every line about what is wrong in a journal."""
    try:
        notices = read_journal(folder).notices
    except InputError as error:
        return [str(error).replace(str(folder), folder.name)]
    return [str(notice) for notice in notices if notice.level is not Level.NOTE]


def expected(defect: str) -> list[str]:
    return (WRONG / defect / "expected.txt").read_text(encoding="utf-8").splitlines()


@pytest.mark.parametrize("defect", DEFECTS)
def test_a_wrong_journal_is_told_in_these_words(defect: str) -> None:
    assert said(WRONG / defect) == expected(defect)


@pytest.mark.parametrize("defect", DEFECTS)
def test_a_line_names_the_place_what_was_found_and_what_to_do(defect: str) -> None:
    for line in expected(defect):
        place, _, rest = line.partition(": ")
        found, _, remedy = rest.partition("; ")
        assert re.fullmatch(r"[\w.-]+(, row \d+)?(, [\w ]+)*", place), "file, row and column"
        assert found, "what was found"
        assert remedy, "what is expected and what to do"
        if (WRONG / defect / "races.csv").exists() and place.startswith("races.csv"):
            assert ", row " in place


def test_there_are_enough_of_them() -> None:
    assert len(DEFECTS) >= 85
