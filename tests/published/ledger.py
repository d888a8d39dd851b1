"""The ledger of outside checks: what the tests found beside what the outside says.

    python tests/published/ledger.py

runs the tests of this folder and writes `reports/outside_checks.csv` and the page made of it,
`reports/OUTSIDE_CHECKS.md`. A row comes into being only where a test asserts it, through the
fixture `outside` of `conftest.py`; nothing here holds a number of its own.

Rounding: numbers stand with seven significant digits; a difference below 1e-9 of the reference is
the arithmetic's and stands as 0.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from importlib.metadata import version
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TABLE = Path("reports/outside_checks.csv")
PAGE = Path("reports/OUTSIDE_CHECKS.md")
PROPERTY = "outside check"

COLUMNS = (
    "area", "measure", "unit", "reference", "ours", "difference", "tolerance", "source", "status",
    "test",
)  # fmt: skip

AREAS = ("files", "measures", "statistics")

STATUSES = {
    "published": "seen in a stored copy of the paper, its abstract, a standard or a table",
    "reference library": "what another, independent program makes of the same input",
    "recomputed": "a published formula, or a figure known from memory, computed again here",
    "from memory": "widely quoted, and not seen in print by us",
    "common practice, no source": "a fact of the trade",
}

_HEAD = """# Outside checks

What Taperback computes beside what the outside says. Every row is asserted by the test it names; \
`python tests/published/ledger.py` runs them and makes this page and `outside_checks.csv` anew, \
and a test compares.

{count} checks: {areas}. {inside} of {count} are within their tolerance. Numbers stand with seven \
significant digits; a difference below 1e-9 of the reference is told as 0. Where the outside gives \
a range, the reference is its middle and the tolerance half its width.

| status | what it means | checks |
| --- | --- | --- |
{statuses}
"""


def row(area: str, test: str, **cells: object) -> dict[str, str]:
    """One check as the table holds it, all text."""
    reference, ours = cells["reference"], cells["ours"]
    difference: object = "same" if ours == reference else "another"
    if not isinstance(reference, str):
        difference = float(ours) - float(reference)  # type: ignore[arg-type]
        if abs(difference) <= 1e-9 * max(1.0, abs(float(reference))):  # type: ignore[arg-type]
            difference = 0.0
    given = {"area": area, "test": test, "difference": difference} | cells
    return {name: printed(given[name], 2 if name == "difference" else 7) for name in COLUMNS}


def printed(value: object, digits: int) -> str:
    """A number with that many significant digits; anything else as it is."""
    if isinstance(value, str):
        return value
    return f"{float(value):.{digits}g}"  # type: ignore[arg-type]


def library(package: str, part: str) -> str:
    """A source that is a library: its installed version, and what of it was asked.

    >>> library("scipy", "stats.norm.ppf")[:6]
    'scipy '
    """
    return f"{package} {version(package)}, {part}"


def read(path: Path) -> list[dict[str, str]]:
    """The rows of a table on disk."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def write(folder: Path, rows: Iterable[dict[str, str]]) -> None:
    """The table and its page, under `folder`."""
    ordered = sorted(rows, key=lambda cells: (AREAS.index(cells["area"]), cells["test"]))
    (folder / TABLE).parent.mkdir(parents=True, exist_ok=True)
    with (folder / TABLE).open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(ordered)
    (folder / PAGE).write_text(page(ordered), encoding="utf-8")


def within(cells: dict[str, str]) -> bool:
    """Whether the row, as it stands, is inside its tolerance."""
    if cells["difference"] in ("same", "another"):
        return cells["difference"] == "same"
    tolerance = float(cells["tolerance"])
    return abs(float(cells["difference"])) <= tolerance * 1.05 + 1e-12


def page(rows: Sequence[dict[str, str]]) -> str:
    """The readable page of the rows."""
    by_area = Counter(cells["area"] for cells in rows)
    by_status = Counter(cells["status"] for cells in rows)
    head = _HEAD.format(
        count=len(rows),
        inside=sum(map(within, rows)),
        areas=", ".join(f"{by_area[area]} of {area}" for area in AREAS),
        statuses="\n".join(
            f"| {name} | {meaning} | {by_status[name]} |" for name, meaning in STATUSES.items()
        ),
    )
    return head + "".join(_section(area, rows) for area in AREAS)


def _section(area: str, rows: Sequence[dict[str, str]]) -> str:
    lines = [
        f"\n## {area.capitalize()}\n",
        "| measure | outside | ours | difference | tolerance | source | status | test |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for cells in rows:
        if cells["area"] == area:
            unit = f" [{cells['unit']}]" if cells["unit"] else ""
            told = [cells["measure"] + unit, *(cells[name] for name in COLUMNS[3:9])]
            test = cells["test"].removeprefix("tests/published/")
            lines.append("| " + " | ".join([*map(_safe, told), f"`{test}`"]) + " |")
    return "\n".join(lines) + "\n"


def _safe(text: str) -> str:
    return text.replace("|", "\\|")


class Collector:
    """A pytest plugin that keeps the rows which the tests recorded."""

    def __init__(self) -> None:
        self.rows: list[dict[str, str]] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Takes the rows of a test once it has passed."""
        if report.when == "call" and report.passed:
            self.rows += [dict(kept) for name, kept in report.user_properties if name == PROPERTY]


def main(arguments: Sequence[str]) -> int:
    """Runs the outside checks and writes the ledger; another code than 0 where one failed."""
    parser = argparse.ArgumentParser(description="Runs the outside checks, writes their ledger.")
    parser.add_argument("--out", type=Path, default=ROOT, help="folder that holds reports/")
    out = parser.parse_args(arguments).out
    collector = Collector()
    here = str(Path(__file__).parent)
    skipped = str(Path(__file__).parent / "test_ledger.py")
    options = ["-q", "--rootdir", str(ROOT), "-c", str(ROOT / "pyproject.toml")]
    code = pytest.main([*options, "--ignore", skipped, here], plugins=[collector])
    if code == 0:
        write(out, collector.rows)
    return int(code)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
