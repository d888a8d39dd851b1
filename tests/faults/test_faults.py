"""Whatever befalls a run: nothing of the athlete's is lost, a line tells it, the next is whole."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

from faults.boundary import CANNOT
from faults.cases import FAULTS, Fault, outcome
from faults.table import PATH, row, text

ENDS = {0, 1, -signal.SIGKILL}


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault.command}: {fault.name}")
def test_nothing_is_lost_and_the_next_run_is_whole(fault: Fault, tmp_path: Path) -> None:
    came = outcome(fault, tmp_path)
    if came.code == CANNOT:
        pytest.skip("this system lets no test mount a disk of its own or give up rights")
    assert came.lost == ()
    assert came.next_is_whole
    assert came.code in ENDS
    assert len(came.said) == fault.lines, came.said
    assert all(line.isprintable() for line in came.said)
    assert row(came) in PATH.read_text(encoding="utf-8").splitlines()


def test_the_table_has_a_row_for_every_fault_and_no_other() -> None:
    told = PATH.read_text(encoding="utf-8")
    assert told.count("\n| ") == len(FAULTS) + 2  # its head and the line below it, too
    assert told.startswith(text([]).splitlines()[0])
