"""The house has one direction: a module imports only what lies below it."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import taperback

PACKAGE = Path(taperback.__file__).parent

# From the ground up. A module may import from its own storey and from lower ones that it may know.
GROUND = {"common"}
MAY_KNOW = {
    "common": set[str](),
    "importer": GROUND,
    "evidence": GROUND,
    "journal": GROUND | {"importer"},
    "raceweek": GROUND | {"importer", "journal"},
    "proposals": GROUND | {"importer", "journal", "raceweek"},
    "study": GROUND | {"importer", "journal", "evidence", "raceweek"},
}
MAY_KNOW["squad"] = MAY_KNOW["study"] | {"study"}
MAY_KNOW["report"] = MAY_KNOW["squad"] | {"squad"}
MAY_KNOW["cli"] = MAY_KNOW["report"] | {"report", "proposals"}
ONE_HOME = {
    "fitdecode": {"importer/fit/decode.py", "importer/fit/records.py"},
    "xml": {"importer/formats/xml_files.py"},
    "sqlite3": {"importer/store/store.py", "importer/store/tables.py"},
    "distributed": {"importer/readers/cluster.py"},
    "joblib": {"squad/review.py"},
    "statsmodels": {"evidence"},
    "scipy": {"evidence"},
    "plotly": {"report/charts/figures.py"},
    "jinja2": {"report/render.py"},
    "openpyxl": {"journal/workbook.py"},
    "typer": {"cli"},
    "rich": {"cli"},
}
MODULES = sorted(PACKAGE.rglob("*.py"))


def imported_names(path: Path) -> set[str]:
    """Every module that the file imports, lazily or for typing only, too."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names.add(node.module or "")
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
    return names


def storey(path: Path) -> str:
    """The room that the file belongs to."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_no_import_looks_up(path: Path) -> None:
    here = storey(path)
    if here in ("__init__", "__main__"):
        return
    ours = {name.split(".")[1] for name in imported_names(path) if name.startswith("taperback.")}
    ours -= {"__version__"}
    allowed = MAY_KNOW[here] | {here}
    assert ours <= allowed, f"{here} must not know {sorted(ours - allowed)}"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_each_library_has_one_home(path: Path) -> None:
    place = path.relative_to(PACKAGE).as_posix()
    for library in {name.split(".")[0] for name in imported_names(path)} & ONE_HOME.keys():
        homes = ONE_HOME[library]
        assert place in homes or place.split("/")[0] in homes, f"{library} does not live in {place}"


def test_init_files_below_the_root_are_empty() -> None:
    for path in PACKAGE.rglob("__init__.py"):
        if path.parent != PACKAGE:
            assert path.read_text(encoding="utf-8") == "", f"{path} is not empty"
