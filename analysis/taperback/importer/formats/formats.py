"""The formats that are read, in one list: how bytes are recognised, and who reads them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from taperback.common.errors import InputError
from taperback.importer.formats.gpx import read_gpx
from taperback.importer.formats.sleep_json import may_hold_sleep, read_sleep_json
from taperback.importer.formats.tcx import read_tcx
from taperback.importer.formats.xml_files import without_lead
from taperback.importer.recording import FileContent


@dataclass(frozen=True)
class Format:
    """One kind of file.

    Attributes:
        name: as `Content.file_format` and the page give it.
        suffixes: endings of the names of such files; names only tell which files to look into.
        claims: whether these bytes are of this format, by how they begin.
        read: bytes to what they hold. It raises `InputError` where nothing can be used, and keeps
            what stands before a break or before more points than any recording has.
    """

    name: str
    suffixes: tuple[str, ...]
    claims: Callable[[bytes], bool]
    read: Callable[[bytes], FileContent]


OWN = "own"
"""Name of what Taperback itself wrote into the folder: no file of the athlete's."""
OTHER_JSON = "other json"
"""Name of JSON about anything but sleep, as exports are full of it."""

OTHER_KIND = "other kind"
"""What stands for a format where a file is sound and no session: a route, a plan, settings."""

_LOOK = 4096
_OWN = re.compile(rb'\{\s*"(?:squad_)?schema_version"')
_ROOT = re.compile(rb"<(?:!DOCTYPE\s+)?(?:[\w.-]+:)?(gpx|TrainingCenterDatabase)[\s>/\[]")


def _head(data: bytes) -> bytes:
    """The first bytes; without their zeros UTF-16 looks like UTF-8 as far as names go."""
    return without_lead(data[:_LOOK]).replace(b"\0", b"").lstrip(b"\xff\xfe")


def _has_root(name: bytes) -> Callable[[bytes], bool]:
    def claims(data: bytes) -> bool:
        root = _ROOT.search(_head(data))
        return root is not None and root[1] == name

    return claims


def _read_fit(data: bytes) -> FileContent:
    # the profile of all messages takes its time, and mostly no file is new
    from taperback.importer.fit.read import read_fit

    return read_fit(data)


def _is_json(data: bytes) -> bool:
    return _head(data)[:1] in (b"{", b"[")


FORMATS = (
    Format("fit", (".fit",), lambda data: data[8:12] == b".FIT", _read_fit),
    Format("tcx", (".tcx",), _has_root(b"TrainingCenterDatabase"), read_tcx),
    Format("gpx", (".gpx",), _has_root(b"gpx"), read_gpx),
    # A report that was written into the athlete's folder says nothing new.
    Format(OWN, (), lambda data: _OWN.match(_head(data)) is not None, lambda _: FileContent(())),
    Format(
        "json", (".json",), lambda data: _is_json(data) and may_hold_sleep(data), read_sleep_json
    ),
    Format(OTHER_JSON, (), _is_json, read_sleep_json),  # which says that it holds no sleep
)
"""Every format, the richer before the poorer; the first that claims some bytes reads them."""

SUFFIXES = tuple(suffix for each in FORMATS for suffix in each.suffixes)
"""Endings of the names of files that are looked into."""


def richness(name: str) -> int:
    """Place of the format in `FORMATS`, behind all where it is none."""
    names = [each.name for each in FORMATS]
    return names.index(name) if name in names else len(names)


def claim(data: bytes) -> Format:
    """The format that claims the bytes; the file's name has no say.

    Raises:
        InputError: no format does.
    """
    if not data:
        raise InputError("it is empty", "export the activity again")
    for each in FORMATS:
        if each.claims(data):
            return each
    raise InputError("it is neither FIT, TCX, GPX nor JSON inside", "export the activity again")
