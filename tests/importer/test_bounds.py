"""A file made to cost time or memory costs little of both: what no activity has is counted."""

from __future__ import annotations

import pytest

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.importer.formats.gpx import read_gpx
from taperback.importer.formats.tcx import read_tcx

POINT = '<trkpt lat="40" lon="-8"><time>2024-05-01T10:00:0{}Z</time></trkpt>'
TRACK = f"<trk><trkseg>{POINT.format(0)}{POINT.format(1)}</trkseg></trk>"
LAP = '<Lap StartTime="2024-05-01T10:00:00Z"><TotalTimeSeconds>60</TotalTimeSeconds></Lap>'


def few(monkeypatch: pytest.MonkeyPatch, **limits: int) -> None:
    for name, most in limits.items():
        monkeypatch.setitem(vars(LIMITS.formats), name, most)


def test_more_tracks_than_any_file_has_are_left_out_and_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    few(monkeypatch, most_activities=3)
    content = read_gpx(f"<gpx>{TRACK * 5}</gpx>".encode())
    assert len(content.recordings) == 3
    assert [remark.found for remark in content.remarks] == [
        "it holds more than 3 activities; what stands before was used"
    ]


def test_more_activities_than_any_file_has_are_left_out_and_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    few(monkeypatch, most_activities=3)
    activity = f'<Activity Sport="Running">{LAP}</Activity>'
    content = read_tcx(f"<TrainingCenterDatabase>{activity * 5}</TrainingCenterDatabase>".encode())
    assert len(content.recordings) == 3
    assert "more than 3 activities" in content.remarks[0].found


def test_empty_tracks_and_activities_are_none(monkeypatch: pytest.MonkeyPatch) -> None:
    few(monkeypatch, most_activities=1)
    content = read_gpx(f"<gpx>{'<trk/>' * 99}{TRACK}</gpx>".encode())
    assert (len(content.recordings), content.remarks) == (1, ())
    text = f"{'<Activity/>' * 99}<Activity>{LAP}</Activity>"
    content = read_tcx(f"<TrainingCenterDatabase>{text}</TrainingCenterDatabase>".encode())
    assert (len(content.recordings), content.remarks) == (1, ())


def test_points_of_all_tracks_are_counted_together(monkeypatch: pytest.MonkeyPatch) -> None:
    few(monkeypatch, most_points=5)
    content = read_gpx(f"<gpx>{TRACK * 5}</gpx>".encode())
    assert [len(recording.samples) for recording in content.recordings] == [2, 2, 1]
    assert "more than 5 points" in content.remarks[0].found


@pytest.mark.parametrize(
    ("inside", "told"),
    [("<trkseg/>" * 9, "more than 5 tracks"), ("<a>" * 200, "far deeper than any")],
)
def test_segments_and_depth_are_bounded(
    monkeypatch: pytest.MonkeyPatch, inside: str, told: str
) -> None:
    few(monkeypatch, most_points=5)
    content = read_gpx(f"<gpx>{TRACK}<trk>{inside}".encode())
    assert len(content.recordings) == 1
    assert told in content.remarks[0].found
    with pytest.raises(InputError, match=told):
        read_gpx(f"<gpx><trk>{inside}".encode())


def test_laps_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    few(monkeypatch, most_points=5)
    text = f"<TrainingCenterDatabase><Activity>{LAP * 9}</Activity></TrainingCenterDatabase>"
    content = read_tcx(text.encode())
    assert len(content.recordings[0].laps) == 5
    assert "more than 5 laps" in content.remarks[0].found
