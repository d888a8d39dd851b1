"""A folder that was handed over may hold modules; none of them is ever run.

Python itself imports a few modules of its own before any of ours when it is started with `-m`; of
these nothing here can speak, and the README names the command that is installed.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import taperback as package
from faults.stage import FILES, TYPED
from importer.test_folder import put

MARKERS = (
    *("joblib", "numpy", "pandas", "scipy", "statsmodels", "plotly", "jinja2", "fitdecode"),
    *("fastcrc", "msgspec", "platformdirs", "tzfpy", "tzdata", "typer", "click", "rich"),
    *("openpyxl", "cloudpickle", "dateutil", "patsy", "packaging", "sitecustomize"),
    *("tomllib", "pickle", "json", "csv", "decimal", "zoneinfo", "sqlite3", "resource", "queue"),
    *("subprocess", "multiprocessing", "concurrent", "gzip", "zipfile", "secrets"),
)
MARKER = """
import os
with open(os.environ["MARKED"], "a") as file:
    file.write(f"{__name__} in {os.getpid()}\\n")
"""
COMMANDS = {
    "review": ("review", "ada", "--out", "../report"),
    "check": ("check", "ada"),
    "draft --show": ("draft", "ada", "--show"),
    "draft": ("draft", "ada"),
    "explain": ("explain", "ada", "2030-05-01", "volume_h"),
    "squad": ("squad", ".", "--out", "../report"),
    "squad of one process": ("squad", ".", "--out", "../report", "--workers", "1"),
    "--version": ("--version",),
}
API = {
    "review": "taperback.review('ada')",
    "review_squad": "taperback.review_squad('.')",
}


@pytest.fixture
def squad(tmp_path: Path) -> Path:
    """Two athletes, one with more to read than one process reads by itself, and modules."""
    bomb = {"big.gpx": b"<gpx>" + b" " * 9_000_000}
    athletes = {"ada": {**TYPED, **FILES, **bomb}, "bo": {**TYPED, **FILES}}
    folder = tmp_path / "squad"
    for name, files in athletes.items():
        put(folder / name, files)
    put(folder, {f"{name}.py": MARKER.encode() for name in MARKERS[::2]})
    put(folder, {f"{name}/__init__.py": MARKER.encode() for name in MARKERS[1::2]})
    return folder


def run_in(squad: Path, *words: str) -> str:
    """Runs Python there; which modules of the folder were run."""
    marked = squad.parent / "marked"
    marked.touch()
    ours = str(Path(package.__file__).parents[1])
    ran = subprocess.run(
        [sys.executable, *words],
        cwd=squad,
        env=os.environ | {"PYTHONPATH": ours, "MARKED": str(marked)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Traceback" not in ran.stderr, ran.stderr
    assert ran.returncode in (0, 1), ran.stderr
    return marked.read_text(encoding="utf-8")


@pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS)
def test_no_command_runs_code_of_the_current_folder(squad: Path, words: tuple[str, ...]) -> None:
    assert run_in(squad, "-m", "taperback", *words) == ""


@pytest.mark.parametrize("call", API.values(), ids=API)
def test_the_python_api_runs_none(squad: Path, call: str) -> None:
    assert run_in(squad, "-c", f"import taperback; {call}") == ""


def test_the_markers_would_be_run(squad: Path) -> None:
    assert "joblib in" in run_in(squad, "-c", "import joblib")


def test_nothing_is_changed_for_whoever_calls(squad: Path) -> None:
    code = (
        "import sys, os, taperback\n"
        "def now(): return [*sys.path, *map(os.environ.get, ('PYTHONPATH', 'PYTHONSAFEPATH'))]\n"
        "before = now(); taperback.review_squad('.', workers=1); assert now() == before"
    )
    assert run_in(squad, "-c", code) == ""
