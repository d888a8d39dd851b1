"""The table of faults in reports/FAULTS.md; made anew by: python tests/faults/table.py."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "sample_data", "tests")]

from faults.cases import FAULTS, Outcome, outcome  # noqa: E402

PATH = TOP / "reports" / "FAULTS.md"
_HEAD = """# What may befall a run, and what came of it

Made by `python tests/faults/table.py`; `tests/faults/` provokes each fault anew and compares.

- *Said*: the lines on the error stream; *noted*: what the report says among its remarks.
- *Lost*: files of the athlete's that are not byte for byte as before, the fault's own doing aside.
  Rows that `draft` adds leave every typed row as it was. An earlier report that is no longer whole
  fails the test.
- *Next run*: the same command once the fault is over, compared with a run on a fresh copy.

| Fault | Command | Exit | Said or noted | Lost | Next run |
| --- | --- | --- | --- | --- | --- |
"""


def row(came: Outcome) -> str:
    """One line of the table."""
    lines = [f"`{line}`" for line in came.said] + [f"noted: `{line}`" for line in came.noted]
    said = "<br>".join(lines) or "nothing"
    lost = ", ".join(came.lost) or "nothing"
    whole = "whole" if came.next_is_whole else "NOT WHOLE"
    code = "killed" if came.code < 0 else str(came.code)
    return f"| {came.fault} | {came.command} | {code} | {said} | {lost} | {whole} |"


def text(outcomes: Iterable[Outcome]) -> str:
    """The whole table."""
    return _HEAD + "".join(f"{row(came)}\n" for came in outcomes)


def main() -> None:
    outcomes = []
    for fault in FAULTS:
        with tempfile.TemporaryDirectory(prefix="fault-") as place:
            outcomes.append(outcome(fault, Path(place)))
    PATH.write_text(text(outcomes), encoding="utf-8")


if __name__ == "__main__":
    main()
