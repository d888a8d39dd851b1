"""What each command loads: somebody who asks for help or mistypes a word is answered at once."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import taperback as package
from taperback.common.files.left_out import LEFT_OUT

ROOT = Path(__file__).parents[2]
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
LIBRARIES = {
    name.split(">")[0] for name in PYPROJECT["project"]["dependencies"] if "tzdata" not in name
}
AT_THE_DOOR = {"typer"}
READING = AT_THE_DOOR | {
    "fastcrc",
    "fitdecode",
    "msgspec",
    "numpy",
    "pandas",
    "platformdirs",
    "tzfpy",
    "tzlocal",
}
REPORTING = READING | {"icalendar", "jinja2", "plotly", "scipy", "statsmodels"}
MAY_LOAD = {
    (): AT_THE_DOOR,
    ("--help",): AT_THE_DOOR,
    ("--version",): AT_THE_DOOR,
    ("--show-completion",): AT_THE_DOOR,
    ("reviwe", "{folder}"): AT_THE_DOOR,
    ("review", "{folder}", "--workrs", "2"): AT_THE_DOOR,
    ("review", "{folder}", "--outcome", "place"): AT_THE_DOOR,
    ("review", "{folder}/not-there"): AT_THE_DOOR,
    ("squad", "--help"): AT_THE_DOOR,
    ("draft", "{folder}", "--show"): READING,
    ("check", "{folder}"): READING,
    ("explain", "{folder}", "2024-07-28", "volume cut"): READING,
    ("review", "{folder}", "--out", "{out}"): REPORTING,
}
"""The words of a command, and the libraries of `pyproject.toml` that it may load for them."""

SAYS_WHAT_IT_LOADED = """
import sys
from taperback.__main__ import main
sys.argv = ["taperback", *sys.argv[1:]]
try:
    main()
finally:
    print("\\nloaded:", *(name for name, module in sys.modules.items() if module))
"""


def loaded(*words: str, environment: dict[str, str] | None = None) -> set[str]:
    """The libraries that a process has loaded in the end which runs the command."""
    ran = subprocess.run(
        [sys.executable, "-c", SAYS_WHAT_IT_LOADED, *words],
        env=os.environ
        | {"PYTHONPATH": str(Path(package.__file__).parents[1]), "SHELL": "/bin/bash"}
        | (environment or {}),
        capture_output=True,
        text=True,
        check=False,
    )
    names = ran.stdout.rpartition("loaded:")[2].split()
    assert "taperback.cli.main" in names, ran.stderr
    return {name.split(".")[0] for name in names} & (LIBRARIES | set(LEFT_OUT))


@pytest.mark.parametrize("words", MAY_LOAD, ids=lambda words: " ".join(words) or "no words")
def test_a_command_loads_what_it_needs(
    words: tuple[str, ...], folder: Path, tmp_path: Path
) -> None:
    there = {"folder": folder, "out": tmp_path / "out"}
    found = loaded(*(word.format(**there) for word in words))
    assert found <= MAY_LOAD[words]
    assert "typer" in found


def test_a_word_is_completed_at_once() -> None:
    asked = {
        "_TAPERBACK_COMPLETE": "complete_bash",
        "COMP_WORDS": "taperback review --re",
        "COMP_CWORD": "2",
    }
    assert loaded(environment=asked) <= AT_THE_DOOR


def test_the_package_loads_no_library_before_a_name_is_asked_for() -> None:
    code = "import sys, taperback; dir(taperback); print(*sys.modules)"
    told = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"PYTHONPATH": str(Path(package.__file__).parents[1])},
        capture_output=True,
        text=True,
        check=True,
    )
    assert not {name.split(".")[0] for name in told.stdout.split()} & LIBRARIES


def test_every_command_stands_in_the_list() -> None:
    from taperback.cli.main import app

    commands = {command.callback.__name__ for command in app.registered_commands}
    assert commands <= {words[0] for words in MAY_LOAD if words}
