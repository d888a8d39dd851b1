"""The coach's page in a real browser: as the athlete's, and its table sorts."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe

from report.test_browser import ALL_BUT_DRAWINGS, CUT_OFF, DRAWN, SIDEWAYS

pytestmark = pytest.mark.browser

NAMES = """
() => [...document.querySelectorAll('#athletes tbody tr th bdi')].map((e) => e.textContent)
"""
FIRST = "() => document.querySelector('#athletes tbody tr th bdi').textContent"


@pytest.mark.parametrize("name", ["squad", "hostile squad", "nameless squad", "empty squad"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_is_silent_asks_for_nothing_and_never_scrolls_sideways(
    opened: Callable, name: str, width: int
) -> None:
    with opened(name, width, dark=width == 390) as it:
        it.see_every_chart()
        assert it.complaints == []
        assert len(it.requests) == 1
        assert it.page.evaluate(SIDEWAYS) == 0
        assert it.page.evaluate(CUT_OFF) == 0


@pytest.mark.parametrize("width", [390, 1280])
def test_every_chart_is_drawn(opened: Callable, width: int) -> None:
    with opened("squad", width) as it:
        it.see_every_chart()
        drawn = it.page.evaluate(DRAWN)
    assert len(drawn) == 4
    assert all(marks >= 2 + 2 * 6 for _, marks in drawn), drawn


@pytest.mark.parametrize(
    ("name", "width", "dark"),
    [
        ("squad", 390, True),
        ("squad", 1280, False),
        ("hostile squad", 390, False),
        ("nameless squad", 1280, True),
    ],
)
def test_no_accessibility_rule_is_broken(
    opened: Callable, name: str, width: int, dark: bool
) -> None:
    with opened(name, width, dark=dark) as it:
        it.see_every_chart()
        it.page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        found = Axe().run(it.page, context=ALL_BUT_DRAWINGS).response["violations"]
    assert [(rule["id"], [n["html"][:200] for n in rule["nodes"][:3]]) for rule in found] == []


@pytest.mark.parametrize("width", [390, 1280])
def test_the_table_sorts_by_every_column_both_ways_from_the_keyboard(
    opened: Callable, width: int
) -> None:
    with opened("squad", width) as it:
        as_it_came = it.page.evaluate(NAMES)
        assert as_it_came[0] == "notes", "what could not be read comes first, without a script"
        heads = it.page.locator("#athletes thead button")
        assert heads.count() == 7
        by_name = it.page.get_by_role("button", name="athlete", exact=True)
        by_name.focus()
        it.page.keyboard.press("Enter")
        assert it.page.evaluate(FIRST) == "Junia Reed"
        it.page.keyboard.press("Enter")
        assert it.page.evaluate(FIRST) == "Zeno Larch"
        assert it.page.locator("#athletes th[aria-sort]").count() == 1
        it.page.get_by_role("button", name="look at").click()
        assert it.page.evaluate(NAMES) == as_it_came
        it.page.get_by_role("button", name="results").click()
        assert it.page.evaluate(FIRST) == "Zeno Larch", "no result comes first, as the least"
        it.page.get_by_role("button", name="next race").click()
        assert it.page.evaluate(FIRST) == "Wren Alder"
        it.page.get_by_role("button", name="next race").click()
        assert it.page.evaluate(FIRST) == "Junia Reed", "who has no next race comes last either way"


def test_with_script_off_every_sentence_and_table_is_there(opened: Callable) -> None:
    with opened("squad", script=False) as it:
        text = it.page.locator("main").inner_text()
        assert it.page.locator("button").count() == 0, "no button that does nothing"
        assert it.page.locator("#athletes tbody tr").count() == 7
        assert "For an athlete of whom nothing else is known, train" in text
        assert "This is not medical advice." in text
        it.page.locator("summary", has_text="effect of sleep change").click()
        assert it.page.get_by_role("columnheader", name="pulled").is_visible()


def test_typed_words_run_nothing_and_show_as_typed(opened: Callable) -> None:
    with opened("hostile squad") as it:
        assert it.page.locator("img").count() == 0
        assert it.page.locator("bdi", has_text="onerror=alert(1)").count() > 0
        it.page.get_by_role("button", name="athlete", exact=True).click()
        assert it.complaints == []


def test_an_athletes_card_is_short_on_a_phone(opened: Callable) -> None:
    """Short cells stand beside each other, so that twelve fit in little over two screens."""
    beside = """() => { const top = (label) => document.querySelector(
        `.cards tbody td[data-label="${label}"]`).getBoundingClientRect().top;
        return [top('cut to use') - top('results'), top('own cut') - top('how sure')]; }"""
    with opened("squad", 390) as it:
        assert it.page.evaluate(beside) == [0, 0]


def test_flags_have_the_whole_width_of_a_phone(opened: Callable) -> None:
    """In half of it, a session's few words took five lines."""
    widths = """() => [...document.querySelectorAll('#panic .cards tbody td')].map((cell) =>
        cell.getBoundingClientRect().width / cell.parentElement.getBoundingClientRect().width)"""
    with opened("squad", 390) as it:
        shares = it.page.evaluate(widths)
    assert shares and min(shares) > 0.95
