"""A page in one piece from a template: nothing in it asks for anything from anywhere."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import sys
from contextlib import suppress
from functools import cache
from importlib.metadata import version
from importlib.util import cache_from_source
from pathlib import Path
from typing import NamedTuple

from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket
from markupsafe import Markup, escape

from taperback.common.files.whole_files import put_whole
from taperback.report.charts.chart import Charts, Places
from taperback.report.charts.figures import foreign_style_ids, plotly_script
from taperback.report.charts.theme import SCHEMES, colours, css_variables

TEMPLATES = Path(__file__).parent / "templates"
EMPTY_STYLE = ""
"""Plotly adds one empty style element and fills it by script, so its digest is allowed, too."""
NO_SCRIPT_STYLE = ".chart, .reading, .of-charts { display: none; }"
"""Where nothing draws, a chart leaves no hole and nothing explains it."""


class Section(NamedTuple):
    """One part of a page: its id, its name in the menu, and the template that prints it."""

    anchor: str
    menu: str
    template: str


def render(
    template: str,
    page: object,
    charts: Charts,
    sections: tuple[Section, ...],
    scripts: tuple[str, ...],
) -> str:
    """The page as HTML.

    Args:
        template: name of the template that puts the sections into the frame.
        page: finished values.
        charts: every chart of the page by the id of its place.
        sections: the parts of the page in their order.
        scripts: names of the page's own scripts, which run after plotly's.

    Raises:
        ValueError: a chart has no place on the page, or a place has no chart.
    """
    places = Places(charts)
    templates = environment()
    plotly = plotly_script()
    templates.globals["drawn"] = places.drawn
    html = templates.get_template(template).render(
        page=page,
        beginning=Markup(beginning(scripts)),  # noqa: S704 - our own
        style=Markup(_style()),  # noqa: S704 - our own file
        no_script_style=Markup(NO_SCRIPT_STYLE),  # noqa: S704 - our own
        guards=foreign_style_ids(plotly),
        plotly=Markup(plotly),  # noqa: S704 - plotly's own file
        scripts=[Markup(_asset(name)) for name in scripts],  # noqa: S704 - our own files
        sections=sections,
        charts=script_json({place: chart for place, chart in charts.items() if chart}),
        schemes=script_json({scheme: colours(scheme) for scheme in SCHEMES}),
    )
    places.expect_all_asked()
    return html


@cache
def beginning(scripts: tuple[str, ...]) -> str:
    """How a page with these scripts begins: by what may run on it, before anything else."""
    texts = (plotly_script(), *map(_asset, scripts))
    allowed = escape(policy(texts, (_style(), NO_SCRIPT_STYLE, EMPTY_STYLE)))
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{allowed}">\n'
    )


class _Compiled(BytecodeCache):
    """Compiled templates, where Python keeps compiled modules: beside the templates.

    Whoever may write there may write our modules, too. What is kept serves for the same text of the
    template, the same Jinja and the same lines of this module; else it is made anew.
    """

    def __init__(self) -> None:
        self._made: dict[str, bytes] = {}
        self._by = f"{version('jinja2')}\n{Path(__file__).read_text(encoding='utf-8')}\n"

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        return cache_from_source(str(TEMPLATES / name))

    def get_source_checksum(self, source: str) -> str:
        return hashlib.sha256(f"{self._by}{source}".encode()).hexdigest()

    def load_bytecode(self, bucket: Bucket) -> None:
        with suppress(OSError):
            if bucket.key not in self._made:
                self._made[bucket.key] = Path(bucket.key).read_bytes()
            bucket.bytecode_from_string(self._made[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        made = self._made[bucket.key] = bucket.bytecode_to_string()
        if not sys.dont_write_bytecode:
            with suppress(OSError):
                Path(bucket.key).parent.mkdir(parents=True, exist_ok=True)
                put_whole({Path(bucket.key): made})


_COMPILED = _Compiled()


def environment() -> Environment:
    """What prints templates: every value of a page is escaped, and none may be lacking."""
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=page_text,
        bytecode_cache=_COMPILED,
    )


_UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")


_UNIT = re.compile(r"(?<=\d) (?=(?:h|min|km|m|bpm|W|days|points)\b)")


def page_text(value: object) -> object:
    """The value as a page may hold it.

    Characters that no page may hold are shown as such, and a number is kept with its unit.
    """
    if isinstance(value, str) and not isinstance(value, Markup):
        return _UNIT.sub("\u00a0", _UNPRINTABLE.sub("\ufffd", value))
    return value


def script_json(value: object) -> Markup:
    """JSON that can stand inside a script element whatever text it holds."""
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    safe = text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return Markup(safe)  # noqa: S704 - no character of it can end the element


def policy(scripts: tuple[str, ...], styles: tuple[str, ...]) -> str:
    """The content-security policy: only what this page holds may run, and nothing is fetched.

    Style attributes are let through because plotly places its drawing with them.
    """
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src {' '.join(map(_digest, scripts))}",
            f"style-src-elem {' '.join(map(_digest, styles))}",
            "style-src-attr 'unsafe-inline'",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _style() -> str:
    light, dark = css_variables("light"), css_variables("dark")
    return (
        f":root{{{light}}}\n"
        f"@media screen and (prefers-color-scheme: dark){{:root{{{dark}}}}}\n{_asset('page.css')}"
    )


def _asset(name: str) -> str:
    return (TEMPLATES / name).read_text(encoding="utf-8")
