"""One contract for every format that is read: a row of `FORMATS` without bytes here fails."""

from __future__ import annotations

import json

import pytest

from importer.fit_files import run_file
from importer.test_sleep_json import point
from importer.xml_texts import gpx, tcx
from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.importer.formats.formats import FORMATS, OTHER_JSON, OWN, Format, claim

SAMPLES = {
    "fit": run_file(60),
    "tcx": tcx(),
    "gpx": gpx(),
    "json": json.dumps([point()] * 60).encode(),
    OWN: b'{"schema_version": 1}',
    OTHER_JSON: b'{"name": "a photo", "width": 4000}',
}
"""Bytes of each format, of some sixty points where it has any."""
EMPTY = {OWN, OTHER_JSON}
"""Formats that nothing is read from."""
BOUNDS = (("formats", "most_points"), ("formats", "most_nights"), ("fit", "most_messages"))

every = pytest.mark.parametrize("each", FORMATS, ids=lambda each: each.name)
every_read = pytest.mark.parametrize(
    "each", [each for each in FORMATS if each.name not in EMPTY], ids=lambda each: each.name
)


def size(each: Format, data: bytes) -> int:
    """How many points or nights came out."""
    content = each.read(data)
    return sum(len(leg.samples) for leg in content.recordings) + len(content.sleeps)


@every
def test_it_claims_its_own_bytes_and_no_format_before_it_does(each: Format) -> None:
    assert claim(SAMPLES[each.name]) is each


@every
def test_it_claims_no_empty_file(each: Format) -> None:
    assert not each.claims(b"")
    with pytest.raises(InputError, match="it is empty"):
        claim(b"")


@every_read
def test_bytes_of_another_format_are_refused_with_a_reason(each: Format) -> None:
    for name, data in SAMPLES.items():
        if name != each.name:
            with pytest.raises(InputError):
                each.read(data)


@every_read
def test_a_file_cut_off_anywhere_gives_what_stands_before_or_a_reason(each: Format) -> None:
    data = SAMPLES[each.name]
    whole, read = size(each, data), 0
    for stop in range(0, len(data), len(data) // 97):
        try:
            content = each.read(data[:stop])
        except InputError as error:
            assert error.found
            assert error.remedy
            continue
        read = size(each, data[:stop])
        assert read <= whole
        assert content.remarks, "a file that is cut off has a remark"
    assert each.name == "json" or read > whole / 2


@every_read
def test_more_points_than_any_recording_has_are_left_out_and_reported(
    each: Format, monkeypatch: pytest.MonkeyPatch
) -> None:
    for section, name in BOUNDS:
        monkeypatch.setitem(vars(getattr(LIMITS, section)), name, 50)
    data = SAMPLES[each.name]
    assert 40 < size(each, data) <= 50
    assert any("more" in remark.found for remark in each.read(data).remarks)


@every
def test_names_of_formats_and_their_endings_are_unique(each: Format) -> None:
    assert [other.name for other in FORMATS].count(each.name) == 1
    for suffix in each.suffixes:
        assert [ending for other in FORMATS for ending in other.suffixes].count(suffix) == 1
