"""Whatever a person typed or a file is called is shown, and never run, drawn or computed."""

from __future__ import annotations

import csv
import io
import json
import shutil
import sys
from contextlib import redirect_stderr, redirect_stdout, suppress
from dataclasses import dataclass
from pathlib import Path

import html5lib
import pytest

from privacy.hostile_folder import FORMULAS, IMAGE, SCRIPT, TEMPLATE, build
from taperback.cli.main import run
from taperback.report.charts.figures import plotly_script

HTML = "{http://www.w3.org/1999/xhtml}"


@dataclass(frozen=True)
class Came:
    """What came of the hostile folder: the reports' folders, the pages, all that was said."""

    out: Path
    squad: Path
    pages: list[str]
    told: dict[str, str]
    drafted: dict[str, str]


@pytest.fixture(scope="module")
def came(tmp_path_factory: pytest.TempPathFactory) -> Came:
    """All commands over the folder; then a draft over the same files without their journal."""
    place = tmp_path_factory.mktemp("hostile")
    folder, bare = build(place / "athletes" / IMAGE), place / "bare"
    out, squad = place / "report", place / "squad"
    told = {
        "review": said("review", folder, "--out", out),
        "check": said("check", folder),
        "explain": said("explain", folder, "2030-06-30", "volume_h"),
        "explain another": said("explain", folder, "2030-09-15", "volume_h"),
        "explain no race": said("explain", folder, "nowhere", "volume_h"),
        "draft": said("draft", folder),
        "squad": said("squad", place / "athletes", "--out", squad),
    }
    shutil.copytree(folder, bare, ignore=shutil.ignore_patterns("*.csv", "*.toml", ".taperback"))
    told["draft bare"] = said("draft", bare)
    drafted = {path.name: path.read_text() for path in bare.glob("*.csv")}
    pages = [(out / "report.html"), squad / "squad.html", squad / IMAGE / "report.html"]
    return Came(out, squad, [page.read_text(encoding="utf-8") for page in pages], told, drafted)


def said(*words: object) -> str:
    """All that a command says on both streams."""
    told = io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(told), redirect_stderr(told):
        patch.setattr(sys, "argv", ["taperback", *map(str, words)])
        with suppress(SystemExit):
            run()
    assert "Traceback" not in told.getvalue()
    return told.getvalue()


def tree_of(page: str):
    return html5lib.HTMLParser(strict=True).parse(page.replace(plotly_script(), "plotly"))


def test_the_page_holds_our_elements_only(came: Came) -> None:
    for page in came.pages:
        tree = tree_of(page)
        assert not list(tree.iter(f"{HTML}img"))
        assert len(list(tree.iter(f"{HTML}script"))) <= 5
        assert not [e for e in tree.iter() for name in e.attrib if name.startswith("on")]
        for word in (IMAGE, SCRIPT):
            assert word not in page


def test_the_words_are_shown_as_typed(came: Came) -> None:
    text = " ".join(tree_of(came.pages[0]).itertext())
    for word in (IMAGE, SCRIPT, TEMPLATE):
        assert word in text
    assert "49" not in text.split(TEMPLATE)[0][-20:]


def test_the_diary_shows_its_notes_and_nothing_of_them_reaches_a_chart(came: Came) -> None:
    tree = tree_of(came.pages[0])
    notes = [" ".join("".join(item.itertext()).split()) for item in tree.iter(f"{HTML}li")]
    assert f"3 days before: {SCRIPT}" in notes
    scripts = " ".join("".join(script.itertext()) for script in tree.iter(f"{HTML}script"))
    assert "chart-diary-week-2030-06-30" in scripts
    assert "alert(2)" not in scripts


def test_files_that_could_not_be_used_are_named_on_the_page(came: Came) -> None:
    text = " ".join(tree_of(came.pages[0]).itertext())
    assert f"{IMAGE}-0.gpx" in text


def test_no_command_sends_a_control_character_to_the_terminal(came: Came) -> None:
    for name, text in came.told.items():
        strange = {letter for letter in text if not letter.isprintable()} - {"\n"}
        assert strange == set(), (name, strange)


def test_what_was_wrong_was_said(came: Came) -> None:
    assert "is not a date; write it as" in came.told["review"]
    assert "\\x1b[31mred" in came.told["review"]


TABLES = ("race_weeks.csv", "next_week.csv", "squad.csv", "squad_race_weeks.csv")


@pytest.mark.parametrize("name", TABLES)
def test_no_cell_of_a_table_is_computed_by_a_spreadsheet(came: Came, name: str) -> None:
    folder = came.squad if name.startswith("squad") else came.out
    with (folder / name).open(encoding="utf-8", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert [cell for cell in cells if computed(cell)] == []
    if name == "race_weeks.csv":
        assert {f"'{formula}" for formula in FORMULAS if not formula.startswith("\t")} <= set(cells)


def test_no_cell_of_a_drafted_journal_is_computed_by_a_spreadsheet(came: Came) -> None:
    assert IMAGE in came.drafted["races.csv"]
    for name, text in came.drafted.items():
        cells = [cell for row in csv.reader(text.splitlines()) for cell in row]
        assert [cell for cell in cells if computed(cell)] == [], name


def computed(cell: str) -> bool:
    """Whether a spreadsheet computes the cell: a formula's sign, and no number."""
    return cell.startswith(("=", "+", "-", "@", "\t", "\r")) and not number(cell)


def number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_study_json_holds_the_words_as_typed(came: Came) -> None:
    told = json.loads((came.out / "study.json").read_text(encoding="utf-8"))
    names = [race["name"] for race in told["races"]]
    assert IMAGE + SCRIPT in names
    assert "=1+2" in names


def test_the_folders_files_are_where_they_were(came: Came) -> None:
    """Names in an archive that lead out of the folder lead nowhere."""
    outside = {path.name for path in came.out.parent.iterdir()}
    assert outside == {"athletes", "bare", "report", "squad"}
