"""The page in a real browser: silent, self-contained, drawn, and readable every way."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from report.conftest import Opened
from taperback.report.charts.theme import colours

pytestmark = pytest.mark.browser

DRAWN = """() => [...document.querySelectorAll('.chart')].map(
    (place) => [place.id, place.querySelectorAll('.main-svg .trace, .main-svg .point').length])"""
SIDEWAYS = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
CUT_OFF = """() => [...document.querySelectorAll('.chart .main-svg')].filter(
    (svg) => svg.getBoundingClientRect().right > document.documentElement.clientWidth + 1).length"""
A4_INSIDE = {"width": 680, "height": 1000}
"""The printed part of a sheet of A4 in CSS pixels: 210 x 297 mm less the margins."""
BLOCKS = """() => [...document.querySelectorAll('.chart')].map((place) => {
    const block = place.closest('.strip') || place;
    return [getComputedStyle(block).breakInside, block.getBoundingClientRect().height]; })"""


ALL_BUT_DRAWINGS = {"include": [["html"]], "exclude": [[".main-svg"]]}
"""A chart is one image with a label; what plotly draws inside it is not content of its own."""


@pytest.mark.parametrize("name", ["usual", "hostile", "nothing", "ahead"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_is_silent_asks_for_nothing_and_never_scrolls_sideways(
    opened: Callable, name: str, width: int
) -> None:
    with opened(name, width, dark=width == 390) as it:
        it.see_every_chart()
        assert it.complaints == []
        assert [url for url in it.requests if not url.startswith("file:")] == []
        assert len(it.requests) == 1
        assert it.page.evaluate(SIDEWAYS) == 0
        assert it.page.evaluate(CUT_OFF) == 0


@pytest.mark.parametrize("width", [390, 1280])
def test_every_chart_is_drawn(opened: Callable, width: int) -> None:
    with opened(width=width) as it:
        it.see_every_chart()
        drawn = it.page.evaluate(DRAWN)
    assert len(drawn) == 5 + 1 + 1 + 3, "weeks, a diary, effects, factors"
    assert all(marks > 3 for _, marks in drawn), drawn


@pytest.mark.parametrize("width", [390, 1280])
def test_charts_are_drawn_as_they_come_near_and_move_nothing(opened: Callable, width: int) -> None:
    height = "() => document.documentElement.scrollHeight"
    with opened(width=width) as it:
        it.unfold()
        drawn = [marks > 0 for _, marks in it.page.evaluate(DRAWN)]
        assert not drawn[-1], "the last chart lies far below the first screen"
        before = it.page.evaluate(height)
        it.see_every_chart()
        assert abs(it.page.evaluate(height) - before) <= 2
        assert all(marks > 3 for _, marks in it.page.evaluate(DRAWN))


def test_a_first_screen_without_a_chart_runs_no_plotly(opened: Callable) -> None:
    with opened("nothing") as it:
        assert it.page.evaluate("typeof Plotly") == "undefined"


def test_a_chart_that_cannot_be_drawn_costs_only_itself(
    browser: Browser, reports: dict[str, Path], tmp_path: Path
) -> None:
    text = reports["usual"].read_text(encoding="utf-8")
    second = text.index('"layout":', text.index('"layout":', text.index('id="charts"')) + 1)
    broken = f'{text[:second]}"layout":null,"was_{text[second + 1 :]}'
    (tmp_path / "report.html").write_text(broken, encoding="utf-8")
    page = browser.new_page()
    it = Opened(page)
    page.goto((tmp_path / "report.html").as_uri())
    line = page.get_by_text("This chart could not be drawn.")
    page.locator(".strip").nth(1).scroll_into_view_if_needed()
    line.wait_for()
    it.see_every_chart()
    assert line.count() == 1
    assert len(page.evaluate(DRAWN)) == 5 + 1 + 1 + 3 - 1
    assert all(marks > 3 for _, marks in page.evaluate(DRAWN))
    assert it.complaints == []
    page.close()


def test_a_policy_that_were_broken_would_be_heard(opened: Callable) -> None:
    with opened() as it:
        it.page.evaluate(
            "document.body.append(Object.assign(new Image(), {src: 'http://x.test/'}))"
        )
        it.page.wait_for_timeout(200)
        assert any("Content Security Policy" in text for text in it.complaints)


@pytest.mark.parametrize(
    ("name", "width", "dark"),
    [("usual", 390, True), ("usual", 1280, False), ("hostile", 390, False)],
)
def test_no_accessibility_rule_is_broken(
    opened: Callable, name: str, width: int, dark: bool
) -> None:
    with opened(name, width, dark=dark) as it:
        it.see_every_chart()
        found = Axe().run(it.page, context=ALL_BUT_DRAWINGS).response["violations"]
    assert [(rule["id"], [n["html"][:200] for n in rule["nodes"][:3]]) for rule in found] == []


@pytest.mark.parametrize("width", [390, 1280])
def test_with_script_off_every_sentence_and_table_is_there(opened: Callable, width: int) -> None:
    with opened(width=width, script=False) as it:
        text = it.page.locator("main").inner_text().replace("\u00a0", " ")
        assert it.page.locator("table").count() >= 10
        assert "In the last seven days, train 4.4 to 6.1 h (42 to 58% less than usual)" in text
        assert "The best was race C" in text
        assert it.page.locator("noscript p").is_visible()
        assert not any(place.is_visible() for place in it.page.locator(".chart, .reading").all())
        it.page.locator("summary", has_text="Days of B").click()
        assert it.page.get_by_role("cell", name="flag 2 (long)").is_visible()


def test_charts_follow_the_scheme_while_the_page_is_open(opened: Callable) -> None:
    ink = "() => getComputedStyle(document.querySelector('.chart .textpoint text')).fill"
    with opened() as it:
        it.see_every_chart()
        assert it.page.evaluate(ink) == rgb(colours("light")["ink"])
        it.page.emulate_media(color_scheme="dark")
        it.page.wait_for_function(
            f"wanted => ({ink})() === wanted", arg=rgb(colours("dark")["ink"])
        )


def rgb(colour: str) -> str:
    """A colour as the browser tells it."""
    return f"rgb({', '.join(str(int(colour[i : i + 2], 16)) for i in (1, 3, 5))})"


def test_charts_follow_the_width_of_the_window(opened: Callable) -> None:
    width = "() => document.querySelector('.chart .main-svg').getBoundingClientRect().width"
    with opened() as it:
        it.see_every_chart()
        wide = it.page.evaluate(width)
        it.page.set_viewport_size({"width": 390, "height": 800})
        it.page.wait_for_function(f"({width})() < 390")
        assert it.page.evaluate(SIDEWAYS) == 0
    assert wide > 700


def test_the_keyboard_reaches_the_report_first_and_every_link(opened: Callable) -> None:
    with opened() as it:
        it.page.keyboard.press("Tab")
        assert it.page.evaluate("document.activeElement.className") == "skip"
        assert it.page.locator(".skip").bounding_box()["x"] >= 0
        it.page.keyboard.press("Enter")
        assert it.page.evaluate("document.activeElement.id") == "main"


SMALL = """() => [...document.querySelectorAll('sup a')].map((a) => a.getBoundingClientRect())
    .filter((box) => Math.min(box.width, box.height) < 24).length"""


@pytest.mark.parametrize("width", [390, 1280])
def test_notes_can_be_hit_and_the_menu_stays_one_line(opened: Callable, width: int) -> None:
    with opened(width=width) as it:
        assert it.page.locator("sup a").count() > 0
        assert it.page.evaluate(SMALL) == 0, "targets of 24 px: WCAG 2.2, 2.5.8"
        it.page.locator("#unused").scroll_into_view_if_needed()
        menu = it.page.locator("nav").bounding_box()
        assert menu["y"] == 0
        assert menu["height"] < 48
        it.page.get_by_role("link", name="Races", exact=True).click()
        it.page.wait_for_function(
            "() => { const y = document.getElementById('glance-title').getBoundingClientRect().y;"
            " return y > 40 && y < 400; }"
        )


def test_paper_shows_every_chart_whole(opened: Callable, tmp_path: Path) -> None:
    with opened() as it:
        pdf = it.page.pdf(path=tmp_path / "report.pdf", format="A4", prefer_css_page_size=True)
        assert it.complaints == []
        it.page.set_viewport_size(A4_INSIDE)
        it.page.emulate_media(media="print")
        it.page.evaluate("dispatchEvent(new Event('beforeprint'))")
        blocks = it.page.evaluate(BLOCKS)
        assert it.page.evaluate(SIDEWAYS) == 0
        assert it.page.evaluate(CUT_OFF) == 0
    assert 4 <= len(re.findall(rb"/Type\s*/Page\b", pdf)) <= 14
    assert len(blocks) == 5 + 1 + 1 + 3
    assert all(kept == "avoid" and height < A4_INSIDE["height"] for kept, height in blocks)


def test_printing_draws_for_paper_and_then_for_the_screen_again(opened: Callable) -> None:
    width = "() => document.querySelector('.chart .main-svg').getBoundingClientRect().width"
    ink = "() => getComputedStyle(document.querySelector('.chart .textpoint text')).fill"
    with opened(dark=True) as it:
        it.see_every_chart()
        before = it.page.evaluate(width)
        it.page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert it.page.evaluate(width) <= 660 < before
        assert it.page.evaluate(ink) == rgb(colours("light")["ink"])
        it.page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert it.page.evaluate(width) == before


def test_typed_words_run_nothing_and_show_as_typed(opened: Callable) -> None:
    with opened("hostile") as it:
        assert it.page.locator("img").count() == 0
        assert it.page.locator("bdi", has_text="onerror=alert(1)").count() > 0
        assert it.complaints == []


def test_next_time_prints_as_one_sheet_of_its_own(opened: Callable) -> None:
    """Also with a trip, other races ahead, and two sessions on most days."""
    with opened("ahead") as it:
        it.page.set_viewport_size(A4_INSIDE)
        it.page.emulate_media(media="print")
        it.unfold()  # as it is for paper
        breaks, height = it.page.evaluate(
            """() => { const section = document.getElementById('next');
            const style = getComputedStyle(section);
            return [[style.breakBefore, style.breakAfter],
                    section.getBoundingClientRect().height]; }"""
        )
        days = it.page.locator("#next .plan tbody tr").count()
    assert breaks == ["page", "page"]
    assert days == 7
    assert 300 < height < A4_INSIDE["height"]
