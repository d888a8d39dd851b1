"""Whatever a file or a cell holds, what is said of it is one line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperback.common.errors import InputError
from taperback.common.lines import printable
from taperback.common.notices import Notice


@given(st.text())
def test_any_text_becomes_one_printable_line(text: str) -> None:
    assert printable(text).isprintable()


def test_plain_text_stays_as_it_is() -> None:
    assert printable("Süd, 5 km!") == "Süd, 5 km!"


@pytest.mark.parametrize("typed", ["6\n7", "6\x1b[2J", "6\x00", "6\u2028"])
def test_what_was_typed_cannot_break_a_remark_or_an_error(typed: str) -> None:
    shown = printable(typed)
    assert str(Notice("races.csv", 3, "date", "unreadable", typed)) == (
        f"races.csv, row 3, date: {shown}"
    )
    assert str(InputError(typed, "write a day", "races.csv")) == f"races.csv: {shown}; write a day"
