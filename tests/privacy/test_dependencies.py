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
BUILD = PROJECT["build-system"]["requires"]
PINS = {path.stem: path.read_text(encoding="utf-8") for path in (ROOT / "shared/pins").iterdir()}
"""What installs the tool, what runs its tests on top of that, and what soaks it by hand."""
NOT_IMPORTED = {"tzdata"}
"""Data that Python's own zoneinfo finds."""


def pins(*files: str) -> dict[str, str]:
    """Library -> the one version that these files of `shared/pins/` allow here."""
    text = "".join(PINS[file] for file in files).replace("\\\n", "")
    wanted = (Requirement(line.split("--hash")[0]) for line in text.splitlines() if line[0] != "#")
    return {
        canonicalize_name(each.name): str(each.specifier).removeprefix("==")
        for each in wanted
        if each.marker is None or each.marker.evaluate()
    }


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


@pytest.mark.parametrize(
    ("files", "needs"),
    [
        (["run"], [*CORE, *BUILD]),
        (["run", "tests"], [*CORE, *BUILD, *EXTRAS["dev"], *EXTRAS["cluster"]]),
    ],
    ids=["run", "tests"],
)
def test_what_is_installed_is_pinned_and_nothing_else_is(
    files: list[str], needs: list[str]
) -> None:
    try:
        needed = closure(needs)
    except PackageNotFoundError as missing:
        pytest.fail(f"{missing}: set up anew with `sh tests/run`, which installs what is pinned")
    assert pins(*files) == needed, "run `python shared/pin.py`, then `sh tests/run`"


def test_no_library_is_pinned_twice() -> None:
    assert len(pins("run")) + len(pins("tests")) == len(pins("run", "tests"))


def test_pins_know_each_file_by_its_hash_and_name_no_place_to_fetch_it_from() -> None:
    for text in PINS.values():
        entries = [line for line in text.replace("\\\n", "").splitlines() if line[0] != "#"]
        assert entries
        for entry in entries:
            pin = r"[a-z0-9.-]+==[\w.]+( ; [^-]+)?"
            assert re.fullmatch(pin + r" +(--hash=sha256:[0-9a-f]{64} *)+", entry), entry


def test_the_core_is_small() -> None:
    assert len(CORE) <= 18
    assert len(closure(CORE)) <= 38


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
