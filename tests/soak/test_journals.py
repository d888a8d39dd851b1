"""Seasons as hurried people type them are answered, or refused in a line."""

from __future__ import annotations

from pathlib import Path

import pytest

from soak.journals import of_numbers, try_one


@pytest.mark.parametrize("seed", range(6))
def test_a_hurried_journal_is_answered_or_refused(seed: int, tmp_path: Path) -> None:
    assert try_one(seed, tmp_path) in ("used", "refused")


def test_a_number_that_is_none_is_seen() -> None:
    of_numbers("cut 40%, 'nan' was typed")
    with pytest.raises(AssertionError, match="nan in: cut nan%"):
        of_numbers("cut nan%")
