"""What an athlete may set: every limit of panic training, within its range."""

from __future__ import annotations

from pathlib import Path

import pytest

from taperback.common.limits import LIMITS
from taperback.journal.athlete import FILE, read_athlete

USUAL = vars(LIMITS.panic)
RANGES = vars(LIMITS.panic_ranges)


@pytest.mark.parametrize("name", USUAL)
def test_a_limit_lies_within_what_may_be_set(name: str) -> None:
    low, high = RANGES.get(name, RANGES["other"])
    assert low <= USUAL[name] <= high


def test_every_range_is_of_a_limit_that_there_is() -> None:
    assert set(RANGES) - {"other"} <= set(USUAL)


@pytest.mark.parametrize("name", USUAL)
def test_every_limit_can_be_set(tmp_path: Path, name: str) -> None:
    (tmp_path / FILE).write_text(f'home_zone = "Europe/Lisbon"\n[panic]\n{name} = {USUAL[name]}\n')
    athlete, notices = read_athlete(tmp_path)
    assert notices == []
    assert athlete.panic_limits == {name: USUAL[name]}


def test_days_that_run_backwards_leave_the_other_limits_as_set(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text(
        'home_zone = "Europe/Lisbon"\n[panic]\nlast_day = -12\nlate_first_day = -4\n'
    )
    athlete, (notice,) = read_athlete(tmp_path)
    assert str(notice).startswith("athlete.toml, panic, last_day: the days from -10 to -12 run")
    assert athlete.panic_limits == {"late_first_day": -4.0}
