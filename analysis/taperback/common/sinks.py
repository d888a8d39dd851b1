"""Where words go that files and people made, and how each place is given words and nothing else.

A name of a race or of a file may hold anything: line ends, quotes, formulas, codes for a terminal.
Nothing of it may turn into a setting, a formula, a code or an element where it is written. The
places are those of `SINKS`; a page's own escaping is `report.render`'s.
"""

from __future__ import annotations

import json
import re

import msgspec

from taperback.common.lines import printable

_FORMULA = re.compile(r'(?:^|[;,\t\r\n])[\s"]*(?=[=+\-@＝＋－＠])')
"""A place from which a spreadsheet computes, whichever sign parts its lists; quotes may not help,
since a line is taken apart at another sign than the one that the quotes were set for."""

_UNSEEN = re.compile("[\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ud800-\udfff\ufeff]")


def toml_word(word: str) -> str:
    """The word as a TOML string, in one line.

    >>> print(toml_word('Ada "A"'))
    "Ada \\"A\\""
    """
    escaped = printable(word).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def toml_remark(text: str) -> str:
    """The text as a remark of TOML, in one line."""
    return f"# {printable(text)}"


def csv_word(word: str) -> str:
    """The word as a cell of one line that no spreadsheet computes.

    An apostrophe stands before each sign from which one would.

    >>> csv_word("5 km;=1+2")
    "5 km;'=1+2"
    """
    return _FORMULA.sub(lambda found: f"{found[0]}'", printable(word))


def json_text(value: object) -> str:
    """Plain values as the text of a JSON file; what a terminal would not show stands as a code."""
    # the encoder of `json` that is written in C knows no lines
    text = json.dumps(value, ensure_ascii=False, allow_nan=False).encode(errors="surrogatepass")
    lines = msgspec.json.format(text, indent=1).decode(errors="surrogatepass")
    return _UNSEEN.sub(lambda found: f"\\u{ord(found[0]):04x}", lines) + "\n"


def calendar_word(word: str) -> str:
    """The word as a text of a calendar file, in one line; the library that writes it escapes it."""
    return printable(word)


SINKS = {
    "TOML": toml_word,
    "remark of TOML": toml_remark,
    "CSV": csv_word,
    "JSON": json_text,
    "calendar": calendar_word,
    "terminal": printable,
}
"""Every place that words go to, and how it is given them."""
