"""The sample is what its generator writes, the same bytes each time."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

import generate
from sample_folder import write_athlete
from tove import TOVE

SAMPLE = Path(generate.__file__).parent


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("sample")
    generate.main(into)
    return into


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".taperback" not in path.parts
    }


def test_the_committed_sample_is_what_the_generator_writes(written: Path) -> None:
    made, kept = contents(written / "tove"), contents(SAMPLE / "tove")
    assert made.keys() == kept.keys()
    assert [name for name in made if made[name] != kept[name]] == []
    assert (written / "TRUTH.toml").read_bytes() == (SAMPLE / "TRUTH.toml").read_bytes()


def test_the_sample_stays_small_enough_for_git(written: Path) -> None:
    assert sum(map(len, contents(written).values())) < 10_000_000


def test_the_sample_holds_what_devices_really_write(written: Path) -> None:
    names = contents(written / "tove")
    assert {Path(name).suffix for name in names} >= {".fit", ".tcx", ".gpx", ".gz", ".zip", ".csv"}
    assert [name for name, data in names.items() if not data] == [
        "2024/2024-04-02-0000-running.fit"
    ]
    assert any(name.endswith("-cut.fit") for name in names)
    assert any(name.endswith("-again.gpx") for name in names)
    assert sum(bool(re.search(r"-race\.fit$", name)) for name in names) == 4


def test_another_seed_is_another_athlete(tmp_path: Path) -> None:
    one = replace(TOVE, races=TOVE.races[:1])
    write_athlete(one, tmp_path / "a")
    write_athlete(replace(one, seed=1), tmp_path / "b")
    first, second = contents(tmp_path / "a"), contents(tmp_path / "b")
    assert first.keys() == second.keys()
    assert any(first[name] != second[name] for name in first)
