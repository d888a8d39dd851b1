"""Every page that leaves the house carries the cautions, whatever else it has to say."""

from __future__ import annotations

import re

import pytest

from report.conftest import STUDIES
from report.squads import squad
from taperback.report.page import page_html
from taperback.report.render import TEMPLATES
from taperback.report.squad_page import squad_html
from taperback.report.view import page_view

MUST_SAY = (
    "not medical advice",
    "Chest pain, fainting",
    "Ill or injured",
    "Heat",
    "Pregnant, under age",
    "your coach, doctor",
)


def whole_pages() -> list[str]:
    """Templates that make a page of their own."""
    found = [p for p in TEMPLATES.glob("*.html") if "<body>" in p.read_text(encoding="utf-8")]
    return sorted(path.name for path in found)


@pytest.mark.parametrize("name", whole_pages())
def test_every_page_includes_them(name: str) -> None:
    text = (TEMPLATES / name).read_text(encoding="utf-8")
    assert '{% include "cautions.html" %}' in text
    assert '<a href="#cautions">' in text, "and leads to them"


@pytest.mark.parametrize("name", STUDIES)
def test_they_stand_in_the_open_whatever_is_known(name: str) -> None:
    told(page_html(page_view(STUDIES[name]())))


def told(html: str) -> None:
    """Asserts that the page says all of it, and hides none."""
    section = re.search(r'<section id="cautions".*?</section>', html, re.DOTALL)
    assert section is not None
    text = " ".join(re.sub(r"<[^>]+>", " ", section[0]).split())
    assert [words for words in MUST_SAY if words not in text] == []
    assert not re.search(r"<details|hidden|display:\s*none", section[0])


@pytest.mark.parametrize("nameless", [False, True])
def test_they_stand_on_the_page_of_a_squad(nameless: bool) -> None:
    told(squad_html(squad(), nameless=nameless))
