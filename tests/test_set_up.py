"""Which Python the two commands and `.ci/run` take, on machines that have other ones."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
NAMES = ("python3", "python3.11", "python3.12", "python3.13")


def on_a_machine_with(place: Path, pythons: dict[str, str], script: str) -> tuple[str, str, int]:
    """What the script says where just these commands are Pythons, each of that version."""
    for name in NAMES:
        command = place / name
        version = pythons.get(name)
        command.write_text(f"#!/bin/sh\necho {version}\n" if version else "#!/bin/sh\nexit 127\n")
        command.chmod(0o755)
    path = os.pathsep.join([str(place), os.environ["PATH"]])
    environment = os.environ | {"PATH": path, "PYENV_ROOT": str(place / "none")}
    environment.pop("PYTHON", None)
    words = ["sh", "-c", f". shared/set-up.sh; {script}"]
    done = subprocess.run(
        words, cwd=ROOT, env=environment, capture_output=True, text=True, check=False
    )
    return done.stdout.strip(), done.stderr.strip(), done.returncode


@pytest.mark.parametrize(
    ("pythons", "taken"),
    [
        ({"python3": "3.12", "python3.12": "3.12", "python3.13": "3.13"}, "python3"),
        ({"python3": "3.9", "python3.11": "3.11", "python3.13": "3.13"}, "python3.13"),
        ({"python3": "3.9", "python3.12": "3.12"}, "python3.12"),
        ({"python3.11": "3.11"}, "python3.11"),
    ],
)
def test_python3_is_taken_where_it_is_tried_else_the_newest_that_is(
    tmp_path: Path, pythons: dict[str, str], taken: str
) -> None:
    assert on_a_machine_with(tmp_path, pythons, "usual_python") == (taken, "", 0)


def test_one_newer_than_all_that_are_tried_is_taken_and_said(tmp_path: Path) -> None:
    said, warned, _ = on_a_machine_with(tmp_path, {"python3": "3.99"}, "usual_python")
    assert said == "python3"
    assert "tried with Python 3.11 3.12 3.13 only, and here with 3.99" in warned


def test_a_machine_without_python_is_told_what_is_needed(tmp_path: Path) -> None:
    said, warned, code = on_a_machine_with(tmp_path, {}, "set_up tests")
    assert (said, code) == ("", 1)
    assert "Python 3.11 or newer is needed" in warned


@pytest.mark.parametrize(
    ("pythons", "both"),
    [
        ({"python3": "3.12", "python3.11": "3.11", "python3.13": "3.13"}, "python3.11 python3.13"),
        ({"python3": "3.11", "python3.12": "3.12"}, "python3 python3.12"),
        ({"python3": "3.12", "python3.12": "3.12"}, "python3 python3"),
    ],
)
def test_ci_takes_the_oldest_and_the_newest_of_those_promised(
    tmp_path: Path, pythons: dict[str, str], both: str
) -> None:
    assert on_a_machine_with(tmp_path, pythons, "oldest_and_newest") == (both, "", 0)
