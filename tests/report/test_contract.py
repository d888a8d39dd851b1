"""Every chart and every section of both pages, each held to the same contract."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import html5lib
import pytest
from plotly.graph_objects import Figure

from report.ahead import busy_ahead
from report.hostile import SCRIPT, hostile
from report.sentences import offenders
from report.squads import empty_squad, hostile_squad, squad
from report.studies import nothing_known, study
from taperback.report import page as athletes_page
from taperback.report import squad_page
from taperback.report.charts.chart import make_each
from taperback.report.charts.figures import plotly_script
from taperback.report.charts.theme import coloured, colours
from taperback.report.page import page_html
from taperback.report.render import TEMPLATES, Section, render
from taperback.report.squad.view import squad_view
from taperback.report.squad_page import squad_html
from taperback.report.view import page_view
from taperback.squad.model import Squad
from taperback.study.review import Study

HTML = "{http://www.w3.org/1999/xhtml}"
LISTS = {f"{HTML}{name}" for name in ("ul", "ol", "dl", "tbody")}
SHOWN = {
    "usual": study,
    "strong, by RPE": lambda: study("strong", "rpe"),
    "nothing known": nothing_known,
    "a race ahead": busy_ahead,
    "hostile": hostile,
    "squad": squad,
    "hostile squad": hostile_squad,
    "empty squad": empty_squad,
}
"""What each kind of page is made of."""
FEWEST_CHARTS = {"usual": 10, "strong, by RPE": 10, "hostile": 7, "squad": 4, "hostile squad": 4}


def page_charts(shown: Study | Squad) -> dict[str, Any]:
    """Every chart of the page by its place."""
    if isinstance(shown, Study):
        return dict(athletes_page.charts(page_view(shown)))
    return dict(squad_page.charts(shown, squad_view(shown, anonymous=False)))


@cache
def page_of(name: str) -> str:
    """The page of that name as HTML, without plotly's own script."""
    shown = SHOWN[name]()
    made = page_html(page_view(shown)) if isinstance(shown, Study) else squad_html(shown)
    return made.replace(plotly_script(), "plotly")


def sections_of(name: str) -> tuple[Section, ...]:
    listed = (squad_page if "squad" in name else athletes_page).SECTIONS
    return (*listed, Section("cautions", "Cautions", "cautions.html"))


def strings(value: Any) -> Iterator[str]:
    """Every text in a chart."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for item in value:
            yield from strings(item)
    elif isinstance(value, str):
        yield value


@pytest.mark.parametrize("name", SHOWN)
def test_every_chart_can_be_made_and_plotly_takes_it(name: str) -> None:
    made = page_charts(SHOWN[name]())
    assert len(made) >= FEWEST_CHARTS.get(name, 0)
    for place, chart in made.items():
        assert chart is not None, f"{place} failed"
        Figure(coloured(chart))


@pytest.mark.parametrize("name", SHOWN)
def test_every_chart_stands_still_has_its_height_and_colours_by_name(name: str) -> None:
    named = {f"@{colour}" for colour in colours("light")}
    for place, chart in page_charts(SHOWN[name]()).items():
        json.dumps(chart, allow_nan=False)
        assert chart["layout"]["height"] > 100, place
        assert chart["layout"]["dragmode"] is False, place
        assert all(trace["name"] for trace in chart["data"]), place
        texts = list(strings(chart))
        assert {text for text in texts if text.startswith("@")} <= named, place
        assert not [text for text in texts if re.fullmatch("#[0-9A-Fa-f]{6}", text)], place
        # of what people type only a squad's names reach a chart, short and without markup
        typed = "W" * (20 if "squad" in name else 4)
        assert not [text for text in texts if SCRIPT in text or typed in text], place


@pytest.mark.parametrize("name", SHOWN)
def test_every_section_has_id_heading_words_and_its_name_in_the_menu(name: str) -> None:
    tree = html5lib.HTMLParser(strict=True).parse(page_of(name))
    menu = {link.get("href"): link.text for link in tree.find(f".//{HTML}nav").iter(f"{HTML}a")}
    found = list(tree.iter(f"{HTML}section"))
    sections = sections_of(name)
    assert [part.get("id") for part in found] == [section.anchor for section in sections]
    for part, section in zip(found, sections, strict=True):
        assert menu[f"#{section.anchor}"] == section.menu
        heading = part.find(f".//*[@id='{part.get('aria-labelledby')}']")
        assert heading is not None and heading.tag in (f"{HTML}h1", f"{HTML}h2"), section.anchor
        words = " ".join("".join(part.itertext()).split())
        assert len(words.removeprefix("".join(heading.itertext()))) > 30, "nothing is said"
        assert not [e.tag for e in part.iter() if e.tag in LISTS and not len(e)], "an empty list"
        assert not re.search(r"\b(None|nan|Undefined)\b|\(\)|\[\]", words.replace("None of", ""))


@pytest.mark.parametrize("name", [name for name in SHOWN if "hostile" not in name])
def test_every_sentence_can_be_read_in_one_breath(name: str) -> None:
    tree = html5lib.HTMLParser(strict=True).parse(page_of(name))
    assert offenders(tree) == []


PLACE = "chart-a"
ONE = (Section("one", "One", "one.html"),)
EMPTY = {"data": [], "layout": {"height": 200}}


@pytest.fixture
def printed(tmp_path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    """Prints a page of one section, which has these charts and gives out these places."""
    for name in ("frame.html", "cautions.html", "page.html", "parts.html", "page.css", "page.js"):
        shutil.copy(TEMPLATES / name, tmp_path)
    monkeypatch.setattr("taperback.report.render.TEMPLATES", tmp_path)

    def print_page(charts: dict[str, Any], *places: str) -> str:
        asked = "".join(f'{{{{ chart("{place}", "a chart") }}}}' for place in places)
        text = '{% from "parts.html" import chart %}<section id="one">' + asked + "</section>"
        (tmp_path / "one.html").write_text(text)
        page = {"title": "t", "subtitle": "s", "athlete": "a", "next_time": {"in_calendar": False}}
        return render("page.html", page, charts, ONE, ("page.js",))

    return print_page


def test_a_chart_in_its_place_is_printed(printed: Callable[..., str]) -> None:
    assert f'<div class="chart" id="{PLACE}"' in printed({PLACE: EMPTY}, PLACE)


def test_a_chart_without_a_place_is_refused(printed: Callable[..., str]) -> None:
    with pytest.raises(ValueError, match="charts without a place on the page: chart-a"):
        printed({PLACE: EMPTY})


def test_a_place_without_a_chart_is_refused(printed: Callable[..., str]) -> None:
    with pytest.raises(ValueError, match="the place 'chart-b' is without a chart"):
        printed({PLACE: EMPTY}, PLACE, "chart-b")


def test_a_place_that_is_there_twice_is_refused(printed: Callable[..., str]) -> None:
    with pytest.raises(ValueError, match="the place 'chart-a' is twice on the page"):
        printed({PLACE: EMPTY}, PLACE, PLACE)


def test_a_chart_that_fails_costs_only_itself(printed: Callable[..., str]) -> None:
    made = make_each({PLACE: lambda: EMPTY, "chart-b": lambda: 1 / 0})  # type: ignore[dict-item]
    text = printed(dict(made), PLACE, "chart-b")
    assert f'<div class="chart" id="{PLACE}"' in text
    assert 'id="chart-b"' not in text
    assert text.count('<p class="small">This chart could not be drawn.') == 1
