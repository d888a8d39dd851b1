"""The pages of people with unusual seasons have no sentence that loses its reader."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from people.folders import Person
from people.test_calendars import rider, swimmer
from people.test_injured import injured
from report.sentences import offenders
from report.test_page import parsed

PEOPLE: dict[str, Callable[[Path], Person]] = {
    "fortnightly races": lambda folder: rider(folder, ["main"] * 15),
    "fortnightly tune-ups": lambda folder: rider(folder, ["tune-up"] * 14 + ["main"]),
    "meets of three days": swimmer,
    "weeks without a session": injured,
    "an injury": lambda folder: injured(folder, "injury"),
}


@pytest.mark.parametrize("who", PEOPLE)
def test_every_sentence_can_be_read_in_one_breath(who: str, tmp_path, say) -> None:
    person = PEOPLE[who](tmp_path / "person")
    _, _, page = say.review(person.folder)
    assert offenders(parsed(page)) == []
