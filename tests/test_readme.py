"""What the README promises: its guide runs, its commands exist, its first words state the job."""

from __future__ import annotations

import csv
import re
import shlex
import shutil
import sys
from pathlib import Path

import pytest

import generate
from taperback.cli.main import run

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SAMPLE = Path(generate.__file__).parent / "tove"
ALLOWED = {
    "README.md", "DEVELOPERS.md", "pyproject.toml",
    "analysis", "tests", "sample_data", "reports", "shared",
}  # fmt: skip


def guide() -> list[list[str]]:
    """The commands of the guide, in order."""
    text = README[README.index("## From an empty folder") : README.index("## What you get")]
    blocks = re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
    return [shlex.split(line) for block in blocks for line in block.split("\n") if line.strip()]


def command(monkeypatch: pytest.MonkeyPatch, words: list[str]) -> int:
    monkeypatch.setattr(sys, "argv", words)
    try:
        run()
    except SystemExit as stop:
        return int(str(stop.code or 0))
    return 0


def type_results(folder: Path) -> int:
    """Types into the proposed races what the sample's athlete knows; says how many values."""
    with (SAMPLE / "races.csv").open(encoding="utf-8") as file:
        known = {row["date"]: row for row in csv.DictReader(file)}
    path = folder / "races.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    typed = 0
    for row in rows:
        for name in ("finish_time", "expected_time"):
            row[name] = known[row["date"]][name]
            typed += 1
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    return typed


def test_the_guide_leads_from_a_bare_folder_to_a_report(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    kept = shutil.ignore_patterns("*.csv", "athlete.toml", ".taperback")
    shutil.copytree(SAMPLE, tmp_path / "my-seasons", ignore=kept)
    draft, *rest = guide()
    assert draft == ["taperback", "draft", "my-seasons"]
    assert command(monkeypatch, draft) == 0
    assert type_results(tmp_path / "my-seasons") == 10
    for words in rest:
        assert command(monkeypatch, words) == 0, words
    page = (tmp_path / "my-seasons-report" / "report.html").read_text(encoding="utf-8")
    assert page.count("2024") > 5
    rule = page.split("What to do next time")[1]
    assert re.search(r"In the last seven days, train [\d.]+ to [\d.]+\sh", rule), "the first rule"


def test_the_first_paragraph_states_the_job() -> None:
    title, paragraph = README.split("\n\n")[:2]
    assert title == "# Taperback"
    assert paragraph.startswith("Taperback looks back at an endurance athlete's past race weeks")
    assert "\n" not in paragraph


def test_the_top_level_holds_only_what_belongs_there() -> None:
    made_by_tools = {"build", "dist"}
    there = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert there - made_by_tools <= ALLOWED


def test_links_of_the_readme_lead_somewhere() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert "://" in target or (ROOT / target).exists(), target
