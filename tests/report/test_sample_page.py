"""The sample's report: numbers, weight, time, places and the answers a new reader looks for."""

from __future__ import annotations

import math
import re
import shutil
import time
from pathlib import Path

import pytest
from playwright.sync_api import Browser

import generate
import taperback
from report.conftest import Opened
from report.numbers import printed_numbers, told_by
from report.sentences import offenders, words
from report.test_page import parsed, visible_text
from taperback.report.charts.figures import plotly_script
from taperback.report.page import page_html, write_report
from taperback.report.view import page_view
from taperback.report.words.cells import cell_of
from taperback.study.review import Study
from taperback.study.to_json import to_json

SAMPLE = Path(generate.__file__).parent / "tove"
KEPT_DECIMALS = 3
"""A coordinate with three decimals tells a street; fewer could be any other number."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("sample") / "tove"
    shutil.copytree(SAMPLE, into, ignore=shutil.ignore_patterns(".taperback"))
    return into


@pytest.fixture(scope="module")
def study(folder: Path) -> Study:
    return taperback.review(folder)


@pytest.fixture(scope="module")
def written(study: Study, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ...]:
    return write_report(study, tmp_path_factory.mktemp("out"))


@pytest.mark.parametrize("outcome", ["result", "rpe"])
def test_every_number_of_the_page_is_in_the_study(study: Study, folder: Path, outcome: str) -> None:
    made = study if outcome == "result" else taperback.review(folder, outcome=outcome)
    numbers = printed_numbers(visible_text(page_html(page_view(made))))
    told = told_by(to_json(made))
    assert len(numbers) > 500
    assert [number for number in numbers if number not in told] == []


def test_a_new_reader_finds_the_five_answers(study: Study) -> None:
    text = visible_text(page_html(page_view(study)))
    for answer in (
        "In the last seven days, train",  # what should I do next time?
        "The best was race B",  # which race week was best, and what was done?
        "The cut rests on published studies",  # why do you say so?
        "Before one of five races, something in the last ten days was unusual for you",  # a panic?
        "Not known, or not used",  # what do you not know?
    ):
        assert answer in text


def test_the_page_is_light_and_quick_to_build(
    study: Study, folder: Path, written: tuple[Path, ...], tmp_path: Path
) -> None:
    assert written[0].stat().st_size - len(plotly_script().encode()) < 400_000
    starts = [time.perf_counter()]
    for step in range(2):
        again = taperback.review(folder)
        starts.append(time.perf_counter())
        write_report(again, tmp_path / str(step))
        starts.append(time.perf_counter())
    review_s = min(starts[1] - starts[0], starts[3] - starts[2])
    page_s = min(starts[2] - starts[1], starts[4] - starts[3])
    assert page_s < (review_s + page_s) / 3


def test_every_sentence_can_be_read_in_one_breath(study: Study) -> None:
    assert offenders(parsed(page_html(page_view(study)))) == []


MOST_WORDS = 9000


def test_the_page_has_at_most_so_many_words_with_everything_open(study: Study) -> None:
    assert len(words(visible_text(page_html(page_view(study))))) <= MOST_WORDS


def test_no_number_that_was_measured_is_lost(study: Study) -> None:
    """What the page no longer prints of a race's measures and days is in `study.json`."""
    told = to_json(study)
    printed = set(printed_numbers(visible_text(page_html(page_view(study)))))
    for week, race in zip(study.weeks, told["races"], strict=True):
        for name, measured in week.measures.items():
            assert race["measures"][name]["value"] == measured.value or measured.value is None
            assert race["measures"][name]["basis"] == measured.basis
            shown = cell_of(measured).text
            assert set(printed_numbers(shown)) <= printed, name
        assert len(race["days"]) == len(week.days)


def test_no_place_of_the_athletes_is_in_any_output(study: Study, written: tuple[Path, ...]) -> None:
    places = {
        f"{abs(value):.{KEPT_DECIMALS}f}"
        for column in ("start_lat", "start_lon", "end_lat", "end_lon")
        for value in study.imported.legs[column]
        if math.isfinite(value)
    }
    assert len(places) > 10
    for path in written:
        text = path.read_text(encoding="utf-8").replace(plotly_script(), "")
        found = set(re.findall(rf"\d+\.\d{{{KEPT_DECIMALS}}}", text))
        # Longitudes near zero look like any other small number.
        assert not {place for place in found & places if float(place) > 15}, path.name


MOST_PIXELS = 10_000
"""Of a phone's page with every part folded that folds."""


@pytest.mark.browser
@pytest.mark.parametrize("script", [True, False])
def test_a_phones_page_is_short(browser: Browser, written: tuple[Path, ...], script: bool) -> None:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, offline=True, java_script_enabled=script
    )
    page = context.new_page()
    page.goto(written[0].as_uri())
    height = page.evaluate("document.documentElement.scrollHeight")
    context.close()
    assert height <= MOST_PIXELS


QUESTIONS = {
    "What should I do next time?": ("rule-title", "In the last seven days, train"),
    "How sure is that?": ("rule-title", "How sure, weakest first: published only"),
    "How far can the range be trusted?": ("rule-title", "your own best cut lies in this range"),
    "What does an hour less sleep cost?": ("rule-title", "for each hour a night"),
    "Which race is next?": ("next-title", "days after your last recorded day"),
    "On which day is the hard work?": ("next-title", "hard: 3 x 1 km"),
    "How much of it is hard?": ("next-title", "of it hard"),
    "When must I arrive for my body clock?": ("next-title", "for your body clock to be within"),
    "Which race was best, and what was done?": ("glance-title", "The best was race B"),
    "What is intensity kept?": ("glance-title", "Intensity kept is the share"),
    "By what did the best differ?": ("pair-title", "volume cut, cycling"),
    "Did I panic?": ("panic-title", "something in the last ten days was unusual for you"),
    "What is missing in the diary?": ("week-2024-05-19-title", "Days of A in numbers"),
}
"""What readers ask of their own page: the heading that they look for, and words of the answer."""

SCREENS_AWAY = """([heading, answer]) => {
    const from = document.getElementById(heading);
    const has = (e) => e.textContent.replace(/\\s+/g, ' ').includes(answer);
    const after = [...document.querySelectorAll('main *')].filter(has);
    const place = after.filter((e) => ![...e.children].some(has)).find(
        (e) => from.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING);
    for (let part = place; part; part = part.parentElement) {
        if (part.tagName === 'DETAILS') { part.open = true; }
    }
    return (place.getBoundingClientRect().bottom - from.getBoundingClientRect().top) / innerHeight;
}"""


@pytest.mark.browser
def test_every_question_is_answered_within_two_screens_of_its_heading(
    browser: Browser, written: tuple[Path, ...]
) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(written[0].as_uri())
    away = {asked: page.evaluate(SCREENS_AWAY, list(answer)) for asked, answer in QUESTIONS.items()}
    page.close()
    assert {asked: screens for asked, screens in away.items() if not 0 < screens <= 2} == {}


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
def test_the_samples_page_is_silent_and_drawn(
    browser: Browser, written: tuple[Path, ...], width: int
) -> None:
    context = browser.new_context(viewport={"width": width, "height": 900}, offline=True)
    it = Opened(context.new_page())
    page = it.page
    page.goto(written[0].as_uri())
    page.evaluate("document.querySelectorAll('details').forEach((part) => { part.open = true; })")
    it.see_every_chart()
    assert it.complaints == []
    assert page.locator(".chart .main-svg").count() >= 3 * (5 + 4)
    wide = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]
    context.close()
