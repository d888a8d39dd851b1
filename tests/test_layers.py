"""The house has one direction: what stands on a floor knows only what stands below it.

What a person decides stands in the two tables; all else is read off the code: which modules there
are, who imports whom, and the floors of the modules that lie loose in a room.
"""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

import taperback

PACKAGE = Path(taperback.__file__).parent
ROOT = Path(__file__).parents[1]
MODULES = sorted(PACKAGE.rglob("*.py"))
SOURCES = sorted(
    path
    for room in ("analysis", "tests", "sample_data", "shared")
    for path in (ROOT / room).rglob("*.py")
)

# The rooms of the house, and whom each may know besides itself.
GROUND = {"common"}
MAY_KNOW = {
    "common": set[str](),
    "importer": GROUND,
    "evidence": GROUND,
    "journal": GROUND | {"importer"},
    "raceweek": GROUND | {"importer", "journal"},
    "proposals": GROUND | {"importer", "journal", "raceweek"},
    "study": GROUND | {"importer", "journal", "evidence", "raceweek", "proposals"},
}
MAY_KNOW["squad"] = MAY_KNOW["study"] | {"study"}
MAY_KNOW["report"] = MAY_KNOW["squad"] | {"squad"}
MAY_KNOW["cli"] = MAY_KNOW["report"] | {"report"}
# The rooms inside a room, from the ground up; those of one floor do not know each other.
FLOORS = {
    "common": [{"files"}],
    "importer": [{"fit", "summary"}, {"formats"}, {"file"}, {"store"}, {"readers"}],
    "journal": [{"faults"}],
    "raceweek": [{"window"}, {"effort", "result", "travel"}, {"factors"}],
    "report": [{"words"}, {"sections"}, {"squad"}, {"charts"}],
}
ONE_HOME = {
    "fitdecode": {"importer/fit/decode.py", "importer/fit/records.py"},
    "xml": {"importer/formats/xml_files.py"},
    "sqlite3": {"importer/store/store.py", "importer/store/tables.py"},
    "msgspec": {
        "common/sinks.py",
        "importer/store/codec.py",
        "importer/store/tables.py",
        "squad/codec.py",
    },
    "platformdirs": {"importer/store/place.py"},
    "distributed": {"importer/readers/cluster.py"},
    "joblib": {"squad/review.py"},
    "statsmodels": {"evidence"},
    "scipy": {"evidence"},
    "plotly": {"report/charts/figures.py"},
    "icalendar": {"report/calendar_file.py"},
    "jinja2": {"report/render.py"},
    "openpyxl": {"journal/workbook.py"},
    "typer": {"cli"},
    "rich": {"cli"},
}
MOST_MODULES, MOST_LINES, MOST_LINES_OF_A_FUNCTION = 15, 400, 50


@cache
def imported_names(path: Path) -> frozenset[str]:
    """Every module that the file imports or loads by its name, lazily or for typing only, too."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names.add(node.module or "")
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Constant) and str(node.value).startswith("taperback."):
            names.add(node.value)  # for import_module, or a process that starts with it
    return frozenset(names)


def parts(path: Path) -> tuple[str, ...]:
    """The rooms that lead to the module, and its own name: `("importer", "fit", "read")`."""
    return path.relative_to(PACKAGE).with_suffix("").parts


KNOWN = {"taperback." + ".".join(parts(path)): path for path in MODULES}
KNOWN["taperback"] = PACKAGE / "__init__.py"


def known_to(path: Path) -> set[Path]:
    """Our modules that this one imports."""
    return {KNOWN[name] for name in imported_names(path) if name in KNOWN} - {path}


def inside(room: tuple[str, ...]) -> dict[str, set[str]]:
    """What stands directly in the room, modules and rooms, and which of these each one knows."""
    arrows: dict[str, set[str]] = {}
    depth = len(room)
    for path in MODULES:
        if parts(path)[:depth] != room or path.name == "__init__.py":
            continue
        here = arrows.setdefault(parts(path)[depth], set())
        there = [parts(other) for other in known_to(path)]
        here |= {other[depth] for other in there if other[:depth] == room}
    return {name: known - {name, "__init__"} for name, known in arrows.items()}


def circle(arrows: dict[str, set[str]]) -> set[str]:
    """What is left when all that knows nobody, or is known to nobody, is taken away by and by."""
    left = dict(arrows)
    while True:
        known = set().union(*left.values())
        loose = [name for name, below in left.items() if not below & left.keys()]
        if not (loose := loose + [name for name in left if name not in known]):
            return set(left)
        for name in set(loose):
            del left[name]


ROOMS = sorted({parts(path)[:-1] for path in MODULES})


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_no_import_looks_up(path: Path) -> None:
    here = parts(path)[0]
    if here in ("__init__", "__main__"):
        return
    ours = {parts(other)[0] for other in known_to(path)}
    allowed = MAY_KNOW[here] | {here}
    assert ours <= allowed, f"{here} must not know {sorted(ours - allowed)}"


@pytest.mark.parametrize("room", FLOORS)
def test_no_room_inside_a_room_looks_up(room: str) -> None:
    floor = {name: n for n, names in enumerate(FLOORS[room]) for name in names}
    for name, known in inside((room,)).items():
        up = {other for other in known & floor.keys() if floor[other] >= floor.get(name, 99)}
        assert not up, f"{room}/{name} must not know {sorted(up)}"


def test_every_room_has_its_floor() -> None:
    assert {room[0] for room in ROOMS if room} == MAY_KNOW.keys()
    rooms = {(room, name) for room, floors in FLOORS.items() for names in floors for name in names}
    assert {room for room in ROOMS if len(room) > 1} == rooms


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: "/".join(room) or "taperback")
def test_nothing_in_a_room_stands_in_a_circle(room: tuple[str, ...]) -> None:
    assert circle(inside(room)) == set()


def test_no_module_is_in_a_circle() -> None:
    arrows = {str(path): {str(other) for other in known_to(path)} for path in MODULES}
    assert circle(arrows) == set()


def test_every_module_is_reached_from_a_door() -> None:
    """A module that nobody loads is a step that was forgotten, or code that is dead."""
    reached = {KNOWN["taperback"], KNOWN["taperback.__main__"]}
    while further := {other for path in reached for other in known_to(path)} - reached:
        reached |= further
    unreached = {path for path in MODULES if path.name != "__init__.py"} - reached
    assert not unreached, [path.relative_to(PACKAGE).as_posix() for path in unreached]


def test_a_circle_is_seen() -> None:
    assert circle({"a": {"b"}, "b": set()}) == set()
    assert circle({"a": {"b"}, "b": {"c"}, "c": {"b"}, "d": set()}) == {"b", "c"}


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_each_library_has_one_home(path: Path) -> None:
    place = path.relative_to(PACKAGE).as_posix()
    for library in {name.split(".")[0] for name in imported_names(path)} & ONE_HOME.keys():
        homes = ONE_HOME[library]
        assert place in homes or place.split("/")[0] in homes, f"{library} does not live in {place}"


def test_every_home_is_lived_in() -> None:
    for library, homes in ONE_HOME.items():
        for home in homes:
            there = [path for path in MODULES if path.is_relative_to(PACKAGE / home)]
            names = {name.split(".")[0] for path in there for name in imported_names(path)}
            assert library in names, f"nobody in {home} needs {library}"


def test_init_files_below_the_root_are_empty() -> None:
    for path in PACKAGE.rglob("__init__.py"):
        if path.parent != PACKAGE:
            assert path.read_text(encoding="utf-8") == "", f"{path} is not empty"


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: "/".join(room) or "taperback")
def test_no_room_is_crowded(room: tuple[str, ...]) -> None:
    modules = [path for path in PACKAGE.joinpath(*room).glob("*.py") if path.stem != "__init__"]
    assert len(modules) <= MOST_MODULES, "make rooms inside it"


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_no_module_and_no_function_is_long(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= MOST_LINES, "tell it in two modules"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            lines = (node.end_lineno or 0) - node.lineno + 1
            assert lines <= MOST_LINES_OF_A_FUNCTION, f"{node.name} has {lines} lines"


def test_the_map_shows_every_room() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    drawn = text[text.index("analysis/taperback/\n") : text.index("\nshared/ ")]
    shown: list[tuple[str, ...]] = []
    for indent, name in re.findall(r"^( +)(\w+)/ ", drawn, re.MULTILINE):
        shown.append((*(shown[-1][:1] if len(indent) == 4 and shown else ()), name))
    folders = {path.relative_to(PACKAGE).parts for path in PACKAGE.rglob("*/") if path.is_dir()}
    assert set(shown) == {folder for folder in folders if folder and "__pycache__" not in folder}
    assert len(shown) == len(set(shown))


def test_no_benchmark_has_the_name_of_a_room_of_tests() -> None:
    tests = Path(__file__).parent
    rooms = {path.name for path in tests.iterdir() if path.is_dir()}
    # the benchmarks come first on the path of tests that use them, and would be taken for the room
    assert not rooms & {path.stem for path in (tests / "benchmarks").glob("*.py")}
