"""What once broke a reader breaks it no more, and the fuzzer starts from files that work."""

from __future__ import annotations

from pathlib import Path

import pytest

from soak.seeds import seeds
from soak.targets import JOURNAL, TARGETS

CRASHES = sorted((Path(__file__).parent / "crashes").iterdir())
SAMPLE = Path(__file__).parents[2] / "sample_data" / "tove"


@pytest.mark.parametrize("path", CRASHES, ids=lambda path: path.name)
def test_a_mended_input_stays_mended(path: Path) -> None:
    TARGETS[path.name.partition("-")[0]](path.read_bytes())


@pytest.mark.parametrize("target", TARGETS)
def test_every_seed_passes(target: str) -> None:
    found = seeds(target, SAMPLE)
    assert found
    for data in found.values():
        TARGETS[target](data)


def test_a_target_sees_a_line_that_is_none() -> None:
    with pytest.raises(AssertionError, match="not one line"):
        from soak.targets import one_line

        one_line("a\nb")


def test_a_journal_is_all_its_files_in_one() -> None:
    for seed in seeds("journal", SAMPLE).values():
        assert seed.count(b"\0\0\0") == len(JOURNAL) - 1
