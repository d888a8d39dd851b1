"""What the tool stands on is little, named with its reason, and pinned to the last library."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

import taperback

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
CORE = PROJECT["project"]["dependencies"]
EXTRAS = PROJECT["project"]["optional-dependencies"]
CONSTRAINTS = (ROOT / "shared" / "constraints.txt").read_text(encoding="utf-8")
NOT_IMPORTED = {"tzdata"}
"""Data that Python's own zoneinfo finds."""


def pins() -> dict[str, str]:
    """Library -> the one version that the constraints allow."""
    lines = [line for line in CONSTRAINTS.splitlines() if line and not line.startswith("#")]
    pairs = [line.split("==") for line in lines]
    assert all(len(pair) == 2 for pair in pairs), "each line is name==version"
    return {canonicalize_name(name): version.strip() for name, version in pairs}


def closure(requirements: list[str]) -> dict[str, str]:
    """Every installed library that these need here, in turn, with its version."""
    found: dict[str, str] = {}
    seen: set[tuple[str, str]] = set()
    waiting = [Requirement(text) for text in requirements]
    while waiting:
        wanted = waiting.pop()
        name = canonicalize_name(wanted.name)
        found[name] = distribution(name).version
        for extra in {"", *wanted.extras} - {extra for known, extra in seen if known == name}:
            seen.add((name, extra))
            needs = map(Requirement, distribution(name).requires or [])
            waiting += [
                need
                for need in needs
                if need.marker is None or need.marker.evaluate({"extra": extra})
            ]
    return found


def names(requirements: list[str]) -> set[str]:
    return {canonicalize_name(Requirement(text).name) for text in requirements}


@pytest.mark.parametrize("group", ["core", "cluster", "dev"])
def test_every_library_needed_is_pinned_to_what_is_installed(group: str) -> None:
    needed = closure(CORE if group == "core" else EXTRAS[group])
    told = pins()
    wrong = {name: v for name, v in needed.items() if told.get(name) != v}
    assert wrong == {}, "pin these in shared/constraints.txt"


def test_no_pin_is_left_over() -> None:
    # what builds the package is installed only where it is built, which is elsewhere in a pip run
    builds = [
        text for text in PROJECT["build-system"]["requires"] if installed(Requirement(text).name)
    ]
    wanted = [*CORE, *builds, *EXTRAS["cluster"], *EXTRAS["dev"]]
    left_over = set(pins()) - set(closure(wanted))
    soak = [text for text in EXTRAS["soak"] if installed(Requirement(text).name)]
    # what the soak tests alone need is not installed where they are not run
    assert {name for name in left_over if installed(name)} <= set(closure(soak))


def installed(name: str) -> bool:
    try:
        distribution(name)
    except PackageNotFoundError:
        return False
    return True


def test_the_core_is_small() -> None:
    assert len(CORE) <= 14
    assert len(closure(CORE)) <= 35


def test_each_library_is_named_with_its_reason() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = text[text.index("## What it stands on") : text.index("## study.json")]
    told = dict(re.findall(r"^\| ([a-z0-9]+) \| (.+) \|$", section, re.MULTILINE))
    told.pop("library")
    assert set(told) == names(CORE)
    assert all(len(reason) > 15 for reason in told.values())


def test_the_code_imports_what_is_declared_and_nothing_else() -> None:
    imported = set()
    for path in Path(taperback.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                imported.add((node.module or "").split(".")[0])
    foreign = imported - set(sys.stdlib_module_names) - {"taperback"}
    through_others = {"markupsafe": "jinja2"}
    declared = {through_others.get(name, name) for name in foreign}
    optional = {"distributed", "dask"}
    assert declared - optional == names(CORE) - NOT_IMPORTED
