"""One file's bytes: who reads them, and what happens when reading goes wrong."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest

from importer.fit_files import run_file
from importer.xml_texts import gpx, tcx
from taperback.common.errors import InputError
from taperback.importer.file import one_file as reading
from taperback.importer.file.one_file import Job, read_bytes, read_job
from taperback.importer.formats.formats import FORMATS, claim


@pytest.mark.parametrize(
    ("data", "file_format"),
    [
        (run_file(5), "fit"),
        (tcx(), "tcx"),
        (gpx(), "gpx"),
        (b"\xef\xbb\xbf\n" + tcx(), "tcx"),
        (b'<?xml version="1.0"?><!-- no <rte> here --><g:gpx xmlns:g="u"></g:gpx>', "gpx"),
        (b"<!DOCTYPE gpx [<!ENTITY a 'b'>]><gpx/>", "gpx"),
    ],
)
def test_exactly_one_reader_claims_the_bytes(data: bytes, file_format: str) -> None:
    assert claim(data).name == file_format


@pytest.mark.parametrize("data", [b"<html>gpx</html>", b"\0" * 50, b"<gpxx></gpxx>", b"PK"])
def test_bytes_that_nobody_claims_are_refused(data: bytes) -> None:
    with pytest.raises(InputError, match="it is neither FIT, TCX, GPX nor JSON inside"):
        claim(data)


def job(path: Path) -> Job:
    return Job(str(path), path.name, path.stat().st_size, 0)


def test_what_is_known_by_its_bytes_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "a.fit"
    path.write_bytes(run_file(5))
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    (piece,) = read_job(job(path), {digest})
    assert (piece.digest, piece.content) == (digest, None)
    (piece,) = read_job(job(path))
    assert piece.content is not None


def test_a_file_that_vanished_is_told(tmp_path: Path) -> None:
    (piece,) = read_job(Job(str(tmp_path / "a.fit"), "a.fit", 5, 0))
    assert str(piece.remarks[0]) == (
        "a.fit: it cannot be opened (no such file or directory); copy it here again"
    )


@pytest.mark.parametrize(
    ("error", "line"),
    [
        (RuntimeError("deep inside"), "it could not be understood (RuntimeError)"),
        (MemoryError(), "it needs far more memory than an activity"),
    ],
)
def test_what_a_reader_trips_over_costs_that_file_alone(
    monkeypatch: pytest.MonkeyPatch, error: Exception, line: str
) -> None:
    def trip(_: bytes) -> None:
        raise error

    monkeypatch.setattr(reading, "claim", lambda _: replace(FORMATS[0], read=trip))
    (remark,) = read_bytes(run_file(5), "d").remarks
    assert remark.found == line


def test_a_leg_that_cannot_be_summed_up_costs_no_other_leg() -> None:
    early = gpx().replace(b"2030-", b"1960-").decode()
    track = early[early.index("<trk>") : early.index("</gpx>")]
    both = gpx().decode().replace("</gpx>", track + "</gpx>")
    content = read_bytes(both.encode(), "d")
    assert [leg.leg_index for leg in content.legs] == [0]
    assert content.remarks[0].found == "it is dated 1960-05-01, so its clock was not set"


def test_a_job_splits_into_its_members() -> None:
    parts = Job("z.zip", "z.zip", 9, 9, 3, 6, 8).split()
    assert [(part.first, part.last, part.of) for part in parts] == [(3, 4, 8), (4, 5, 8), (5, 6, 8)]


def test_a_large_job_splits_into_jobs_of_the_usual_size() -> None:
    parts = Job("z.zip", "z.zip", 9, 9, 7, 257, 900).split()
    assert [(part.first, part.last) for part in parts] == [(7, 107), (107, 207), (207, 257)]
