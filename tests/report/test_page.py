"""The page and the files beside it: one piece, the same bytes, every number from the study."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import html5lib
import pytest
from jinja2 import UndefinedError

from report.ahead import study_ahead
from report.hostile import SCRIPT, hostile
from report.numbers import printed_numbers, told_by
from report.studies import nothing_known, study
from taperback.report.charts.figures import foreign_style_ids, plotly_script
from taperback.report.page import charts, page_html, write_report
from taperback.report.render import page_text, policy, script_json
from taperback.report.view import page_view
from taperback.study.review import Study
from taperback.study.to_json import to_json

HTML = "{http://www.w3.org/1999/xhtml}"


@pytest.fixture(scope="module")
def html() -> str:
    return page_html(page_view(study()))


def parsed(text: str):
    """The page as a conforming HTML parser sees it; any parse error raises.

    Plotly's own script is taken out first: it is not ours, and it holds control characters.
    """
    return html5lib.HTMLParser(strict=True).parse(text.replace(plotly_script(), "plotly"))


def visible_text(text: str) -> str:
    """What a reader with script off reads."""
    tree = parsed(text)
    for parent in tree.iter():
        for child in list(parent):
            if child.tag in (f"{HTML}script", f"{HTML}style", f"{HTML}head"):
                child.text = ""
                for inner in list(child):
                    child.remove(inner)
    return " ".join(" ".join(tree.itertext()).split())


@pytest.mark.parametrize("made", [study(), study("strong", "rpe"), nothing_known(), hostile()])
def test_a_conforming_parser_finds_no_fault(made: Study) -> None:
    tree = parsed(page_html(page_view(made)))
    assert tree.find(f".//{HTML}h1") is not None


def test_the_same_study_gives_the_same_bytes(tmp_path: Path) -> None:
    first = write_report(study(), tmp_path / "a")
    second = write_report(study(), tmp_path / "b")
    assert [path.name for path in first] == [
        "report.html",
        "race_weeks.csv",
        "study.json",
        "next_week.csv",
    ]
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in second]


@pytest.mark.parametrize("made", [study(), study("strong", "rpe"), nothing_known(), study_ahead()])
def test_every_number_on_the_page_is_in_the_study(made: Study) -> None:
    told = told_by(to_json(made))
    strange = [
        n for n in printed_numbers(visible_text(page_html(page_view(made)))) if n not in told
    ]
    assert strange == []


def test_a_number_that_is_not_in_the_study_would_be_found() -> None:
    told = told_by(to_json(study()))
    assert printed_numbers("a cut of 46.7% or −3.3 h") == ["46.7", "−3.3"]
    assert not {"46.7", "−3.3"} & told


def test_sections_come_in_their_order(html: str) -> None:
    ids = re.findall(r'<section id="([a-z-]+)"', html)
    assert ids == [
        *("rule", "next", "glance", "weeks", "factors", "panic"),
        *("unused", "made-from", "method", "cautions"),
    ]


def test_the_usual_week_is_told_as_it_is_made(html: str) -> None:
    """The weeks of a race and of the days after it are out; those before it are not."""
    told = " ".join(visible_text(html).split())
    assert (
        "those that hold another race or the week after it, illness, injury or missing records "
        "are left out, while a week of easing off before another race counts." in told
    )


def test_links_lead_somewhere_and_ids_are_unique(html: str) -> None:
    ids = [element.get("id") for element in parsed(html).iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    targets = [e.get("href") for e in parsed(html).iter(f"{HTML}a")]
    inside = {target[1:] for target in targets if target.startswith("#")}
    assert inside <= set(ids)
    outside = [target for target in targets if not target.startswith("#")]
    assert all(target.startswith("https://doi.org/10.") for target in outside)


def test_nothing_is_asked_of_anyone(html: str) -> None:
    tree = parsed(html)
    assert not [e for e in tree.iter() if e.get("src") or e.tag in (f"{HTML}link", f"{HTML}form")]
    found = tree.find(f".//{HTML}meta[@http-equiv='Content-Security-Policy']")
    assert found is not None
    rules = dict(rule.split(" ", 1) for rule in found.get("content").split("; "))
    assert rules["default-src"] == "'none'"
    assert "unsafe" not in rules["script-src"] + rules["style-src-elem"]
    assert not [e for e in tree.iter() for name in e.attrib if name.startswith("on")]


def test_the_policy_names_each_script_by_its_digest() -> None:
    # The digest of the empty string, as the content-security-policy standard's examples print it.
    assert "script-src 'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='" in policy(("",), ())


def test_plotlys_map_library_is_kept_from_adding_its_style(html: str) -> None:
    ids = foreign_style_ids(plotly_script())
    assert ids
    assert all(f'<template id="{name}">' in html for name in ids)


def test_the_page_is_light_beside_plotly(html: str) -> None:
    assert len(html.encode()) - len(plotly_script().encode()) < 400_000


def test_typed_words_stay_words() -> None:
    text = page_html(page_view(hostile()))
    tree = parsed(text)
    assert not list(tree.iter(f"{HTML}img"))
    assert len(list(tree.iter(f"{HTML}script"))) == 4
    assert "onerror=alert(1)" in visible_text(text)
    assert SCRIPT not in text
    assert "{{ 7*7 }}" in visible_text(text)


def test_characters_that_no_page_may_hold_are_shown_as_such() -> None:
    assert page_text("a\x00b\ud800c\td") == "a\ufffdb\ufffdc\td"
    assert page_text(7) == 7


def test_a_number_is_not_parted_from_its_unit() -> None:
    assert page_text("train 4.4 to 6.1 h more") == "train 4.4 to 6.1\u00a0h more"


def test_data_in_a_script_element_cannot_end_it() -> None:
    text = script_json({"name": SCRIPT, "line": "\u2028"})
    assert not set("<>&\u2028") & set(text)
    assert json.loads(text) == {"name": SCRIPT, "line": "\u2028"}


def test_no_typed_word_reaches_a_chart() -> None:
    text = json.dumps(charts(page_view(hostile())))
    assert "onerror" not in text
    assert "WWWW" not in text


def test_unknown_values_are_words_with_a_reason_never_a_number(html: str) -> None:
    text = visible_text(html)
    assert "unknown : Only 41% of the training time has a known intensity" in text
    assert "nan" not in text.lower().replace("finance", "").split()
    assert "None" not in re.findall(r"\bNone\b(?! of)", text)


def test_a_template_that_asks_for_what_is_not_there_is_an_error() -> None:
    page = page_view(study())
    with pytest.raises(UndefinedError, match="has no attribute"):
        page_html(replace(page, rule=object()))  # type: ignore[arg-type]


def test_the_files_beside_the_page_can_be_read(tmp_path: Path) -> None:
    write_report(study(), tmp_path)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "race_weeks.csv").read_text())))
    assert [row["name"] for row in rows][1] == "Three Valleys"
    told = json.loads((tmp_path / "study.json").read_text(encoding="utf-8"))
    assert told["schema_version"] == 3
    plan = (tmp_path / "next_week.csv").read_text().splitlines()
    assert plan[0] == ('"days_to_race","day","sport","minutes","hard_min","work","date","weekday"')
    assert plan[1] == '-7,"7 days before","run",45,12,"","",""'


def test_a_hostile_study_is_written_whole(tmp_path: Path) -> None:
    paths = write_report(hostile(), tmp_path)
    assert all(path.stat().st_size for path in paths)
    assert json.loads((tmp_path / "study.json").read_bytes())["races"][1]["name"] == "W" * 10_000


def test_no_coordinate_leaves_the_machine(tmp_path: Path) -> None:
    for path in write_report(study(), tmp_path):
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".html":
            text = text.replace(plotly_script(), "")
        assert not re.search(r"start_lat|end_lat|start_lon|end_lon|serial", text)


def test_a_temperature_may_stand_below_its_date() -> None:
    """Where both could not be parted, they ran over the result on a phone."""
    made = study()
    week = replace(made.weeks[0], race={**made.weeks[0].race, "temp_c": 29.0})
    page = page_html(page_view(replace(made, weeks=(week, *made.weeks[1:]))))
    assert re.search(r'\d{4},</span> <span class="small nowrap">29', page.replace("\xa0", " "))
