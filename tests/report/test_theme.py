"""The palette: every colour is there, and text can be read on it."""

from __future__ import annotations

import pytest

from taperback.common.files.resources import shared_toml
from taperback.report.charts.theme import SCHEMES, coloured, colours, css_variables, sport_colour

# Okabe and Ito 2008, "Color Universal Design": the eight colours without black, as RGB.
OKABE_ITO = {
    "orange": (230, 159, 0),
    "sky_blue": (86, 180, 233),
    "bluish_green": (0, 158, 115),
    "yellow": (240, 228, 66),
    "blue": (0, 114, 178),
    "vermillion": (213, 94, 0),
    "reddish_purple": (204, 121, 167),
}


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.2 defines it."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_colours_are_the_published_ones() -> None:
    palette = shared_toml("palette.toml")["okabe_ito"]
    rgb = {name: tuple(int(c[i : i + 2], 16) for i in (1, 3, 5)) for name, c in palette.items()}
    assert rgb == OKABE_ITO


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", ["paper", "raised"])
@pytest.mark.parametrize(("text", "least"), [("ink", 7.0), ("muted", 4.5), ("link", 4.5)])
def test_text_can_be_read(scheme: str, ground: str, text: str, least: float) -> None:
    found = colours(scheme)
    assert contrast(found[text], found[ground]) >= least


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_three_sports_differ_in_lightness_too(scheme: str) -> None:
    found = colours(scheme)
    assert contrast(found["swimming"], found["cycling"]) > 2
    assert contrast(found["running"], found["cycling"]) > 2


def test_charts_get_colours_for_their_names_and_keep_all_else() -> None:
    chart = {"data": [{"color": "@ink", "x": [1, "@paper"], "text": "ink"}]}
    light = colours("light")
    expected = {"data": [{"color": light["ink"], "x": [1, light["paper"]], "text": "ink"}]}
    assert coloured(chart) == expected


def test_a_sport_without_a_colour_of_its_own_is_drawn_as_other() -> None:
    assert (sport_colour("running"), sport_colour("hiking")) == ("@running", "@other")


def test_the_style_sheet_gets_every_name() -> None:
    declared = {part.split(":")[0] for part in css_variables("dark").split(";") if part}
    assert declared == {f"--{name}" for name in colours("light")}
