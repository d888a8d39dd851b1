"""Tables for a spreadsheet: numbers stay numbers, typed words stay words."""

from __future__ import annotations

import csv

import pandas as pd
import pytest

from taperback.report.take_along import words_csv


def cells(table: pd.DataFrame) -> list[dict[str, str]]:
    return list(csv.DictReader(words_csv(table).splitlines()))


@pytest.mark.parametrize("word", ["=1+2", "+44 race", "-A1", "@SUM(1)"])
def test_a_word_that_would_be_computed_stays_a_word(word: str) -> None:
    (row,) = cells(pd.DataFrame({"name": [word], "volume_cut": [-0.25]}))
    assert row == {"name": f"'{word}", "volume_cut": "-0.25"}


def test_all_else_is_as_it_is() -> None:
    table = pd.DataFrame({"name": ["Three = Valleys", None], "races": [1, 2], "rpe": [7.0, None]})
    assert words_csv(table) == ('"name","races","rpe"\n"Three = Valleys",1,7.0\n"",2,""\n')
