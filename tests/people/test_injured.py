"""Days off before a race: each word for them does something else, and all are named."""

from __future__ import annotations

import pytest

from people.folders import Person, day
from taperback.study.missing import PERIODS


def injured(folder, kind: str = "") -> Person:
    """26 days without a session, 40 to 15 days before the race; 1 h a day otherwise."""
    person = Person(folder, "Ines")
    for k in range(-60, 9):
        if not -40 <= k <= -15:
            person.session(k, "running", 0.5 if -7 <= k < 0 else 1.0)
    if kind:
        person.table("periods.csv", [{"first": day(-40), "last": day(-15), "kind": kind}])
    person.write({"date": day(0), "name": "Open", "sports": "running"})
    return person


def test_check_names_every_kind_of_period(tmp_path, say):
    told = say("check", injured(tmp_path / "ines").folder).out
    assert "volume cut is unknown" in told
    assert PERIODS in told


@pytest.mark.parametrize("kind", ["rest", "injury"])
def test_a_usual_week_of_days_off_is_doubtful_and_an_injury_is_none(tmp_path, say, same, kind):
    person = injured(tmp_path / "ines", kind)
    it = say.through(person.folder, "Open", "volume_cut")
    study = it.study
    measures = study["races"][0]["measures"]
    if kind == "rest":
        weeks = sorted(person.between(first, first + 6) for first in range(-56, -20, 7))
        same(study["races"][0], "baseline_weekly_h", (weeks[2] + weeks[3]) / 2)
        assert "in doubt" in measures["baseline_weekly_h"]["basis"]
    else:
        same(study["races"][0], "volume_cut", None)
        assert "the journal says injury" in measures["volume_cut"]["reason"]
