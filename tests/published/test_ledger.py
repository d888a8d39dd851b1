"""The ledger of outside checks in `reports/` is what the tests of this folder find today."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter

import pytest

from published import ledger

MADE_BY = "make it anew: python tests/published/ledger.py"


@pytest.fixture(scope="module")
def committed() -> list[dict[str, str]]:
    return ledger.read(ledger.ROOT / ledger.TABLE)


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, str]]:
    """The rows of a run of all outside checks, now."""
    out = tmp_path_factory.mktemp("ledger")
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST")}
    command = [sys.executable, str(ledger.ROOT / "tests/published/ledger.py"), "--out", str(out)]
    done = subprocess.run(
        command, env=kept, cwd=ledger.ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout[-3000:]
    return ledger.read(out / ledger.TABLE)


def test_the_ledger_has_each_check_of_the_run_and_no_row_without_one(committed, fresh) -> None:
    named = [{row["measure"]: row["test"] for row in rows} for rows in (committed, fresh)]
    assert named[0] == named[1], MADE_BY
    assert len(committed) == len(fresh), MADE_BY


def test_every_row_is_up_to_date(committed, fresh) -> None:
    now = {row["measure"]: row for row in fresh}
    for row in committed:
        other = now[row["measure"]]
        for name in ("area", "unit", "reference", "tolerance", "source", "status"):
            assert row[name] == other[name], (row["measure"], name, MADE_BY)
        if row["difference"] == "same":
            assert row["ours"] == other["ours"], (row["measure"], MADE_BY)
        else:
            room = float(row["tolerance"]) / 100
            expected = pytest.approx(float(other["ours"]), rel=2e-6, abs=room)
            assert float(row["ours"]) == expected, (row["measure"], MADE_BY)


def test_no_two_rows_are_the_same_check(committed) -> None:
    assert [
        name for name, times in Counter(r["measure"] for r in committed).items() if times > 1
    ] == []


def test_the_ledger_is_long_enough_and_all_within_tolerance(committed) -> None:
    assert len(committed) >= 40
    assert [row["measure"] for row in committed if not ledger.within(row)] == []
    assert {row["area"] for row in committed} == set(ledger.AREAS)


def test_the_page_is_made_of_the_table(committed) -> None:
    assert (ledger.ROOT / ledger.PAGE).read_text(encoding="utf-8") == ledger.page(committed), (
        MADE_BY
    )


def test_a_row_outside_its_tolerance_is_seen() -> None:
    cells = {"measure": "m", "unit": "", "reference": 2.0, "tolerance": 0.1}
    cells |= {"source": "s", "status": "published"}
    assert ledger.within(ledger.row("files", "t", ours=2.05, **cells))
    assert not ledger.within(ledger.row("files", "t", ours=2.2, **cells))
    assert not ledger.within(ledger.row("files", "t", **(cells | {"ours": "b", "reference": "a"})))
