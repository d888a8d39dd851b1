"""Nights from data points of the open sleep schemas: what is used, and the line for what is not."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from importer.test_folder import lines, read, zipped
from taperback.common.errors import InputError
from taperback.importer.formats.sleep_json import read_sleep_json
from taperback.importer.recording import SleepRecord

BED, UP = "2030-05-01T22:30:00+01:00", "2030-05-02T06:30:00+01:00"
MISSING = object()


def frame(start: str = BED, end: str = UP) -> dict[str, Any]:
    return {"time_interval": {"start_date_time": start, "end_date_time": end}}


def hours(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "h"}


def point(schema: str = "omh:sleep-episode:1.1", **body: Any) -> dict[str, Any]:
    """A data point; `MISSING` takes a member of the body out."""
    namespace, name, version = schema.split(":")
    body = {"effective_time_frame": frame(), "total_sleep_time": hours(7.5)} | body
    return {
        "header": {"schema_id": {"namespace": namespace, "name": name, "version": version}},
        "body": {name: value for name, value in body.items() if value is not MISSING},
    }


def sleeps(*points: object) -> tuple[SleepRecord, ...]:
    return read_sleep_json(json.dumps(points).encode()).sleeps


def told(*points: object) -> list[str]:
    return [str(remark) for remark in read_sleep_json(json.dumps(points).encode()).remarks]


def test_an_episode_is_a_night_by_the_local_clock() -> None:
    (night,) = sleeps(point())
    assert night == SleepRecord(
        datetime(2030, 5, 1, 21, 30, tzinfo=UTC),
        datetime(2030, 5, 2, 5, 30, tzinfo=UTC),
        27_000,
        3600,
    )


@pytest.mark.parametrize(
    ("schema", "body"),
    [
        ("omh:sleep-episode:1.0", {}),
        ("ieee:sleep-episode:1.0", {"sleep_efficiency_percentage": {"value": 94, "unit": "%"}}),
        ("omh:sleep-duration:2.0", {"sleep_duration": {"value": 450, "unit": "min"}}),
        ("omh:total-sleep-time:1.0", {"total_sleep_time": {"value": 27_000, "unit": "sec"}}),
        ("ieee:total-sleep-time:1.0", {}),
        ("ieee:sleep-stage-summary:1.0", {"sleep_stage_summary": {"total_sleep_time": hours(7.5)}}),
    ],
)
def test_every_published_schema_of_a_night_is_read(schema: str, body: dict[str, Any]) -> None:
    (night,) = sleeps(point(schema, **body))
    assert night.asleep_s == 7.5 * 3600


@pytest.mark.parametrize(
    "interval",
    [
        {"start_date_time": BED, "duration": hours(8)},
        {"end_date_time": UP, "duration": hours(8)},
        {"start_date_time": BED, "end_date_time": UP, "duration": hours(8)},
    ],
)
def test_two_of_start_end_and_duration_tell_when(interval: dict[str, Any]) -> None:
    assert sleeps(point(effective_time_frame={"time_interval": interval})) == sleeps(point())


def test_utc_is_no_local_clock() -> None:
    (night,) = sleeps(
        point(effective_time_frame=frame("2030-05-01T21:30:00Z", "2030-05-02T05:30Z"))
    )
    assert np.isnan(night.utc_offset_s)


def test_time_awake_is_left_out_where_it_is_known_and_told_where_not() -> None:
    awake = point(total_sleep_time=MISSING, wake_after_sleep_onset={"value": 45, "unit": "min"})
    blind = point(total_sleep_time=MISSING)
    assert [night.asleep_s / 3600 for night in sleeps(awake, blind)] == [7.25, 8.0]
    assert told(awake, blind) == [
        ": 1 night tells only when sleep began and ended, so time awake in between counts as sleep"
    ]


def test_naps_are_no_nights_and_are_told() -> None:
    nap = point(is_main_sleep=False)
    assert sleeps(point(is_main_sleep=True), nap) == sleeps(point())
    assert told(nap, nap) == [": 2 naps were not counted as a night, being no main sleep"]


def test_one_point_a_list_a_series_and_lines_say_the_same() -> None:
    one = point()
    series = one | {"body": [one["body"], one["body"]]}
    texts = [
        [one, one],
        [series],
        series,
    ]
    for value in texts:
        assert read_sleep_json(json.dumps(value).encode()).sleeps == sleeps(one, one)
    line = json.dumps(one).encode()
    assert read_sleep_json(line).sleeps == sleeps(one)
    for joined in (line + b"\n" + line, b"\xef\xbb\xbf" + line + b"\r\n\r\n" + line + b"\r\n"):
        assert read_sleep_json(joined).sleeps == sleeps(one, one)
    assert read_sleep_json(json.dumps(one).encode("utf-16")).sleeps == sleeps(one)


def test_what_is_about_something_else_is_passed_over() -> None:
    heart = point("omh:heart-rate:2.0")
    assert told(heart, point()) == []
    assert sleeps(heart, point("acme:sleep-episode:9.0"), point()) == sleeps(point())


FIRST = "data point 1 (sleep-episode) "
EXAMPLE = "write it as 2030-05-31T22:05:00+02:00"


@pytest.mark.parametrize(
    ("bad", "line"),
    [
        (
            point(effective_time_frame=MISSING),
            FIRST + "has no effective_time_frame with a time_interval; it needs two of "
            "start_date_time, end_date_time and duration",
        ),
        (
            point(effective_time_frame={"date_time": BED}),
            FIRST + "has no effective_time_frame with a time_interval; it needs two of "
            "start_date_time, end_date_time and duration",
        ),
        (
            point(effective_time_frame={"time_interval": {"date": "2030-05-01"}}),
            FIRST + "has no start and end in its time_interval; it needs two of start_date_time, "
            "end_date_time and duration",
        ),
        (
            point(effective_time_frame=frame(start="2030-05-01T22:30:00")),
            FIRST
            + 'has "2030-05-01T22:30:00" as start_date_time, without its offset from UTC; '
            + EXAMPLE,
        ),
        (
            point(effective_time_frame=frame(end="in the morning")),
            FIRST + f'has "in the morning" as end_date_time, which is no date and time; {EXAMPLE}',
        ),
        (
            point(effective_time_frame=frame(end=BED)),
            FIRST + "ends before it begins; start_date_time comes first",
        ),
        (
            point(effective_time_frame=frame("9999-12-31T16:00Z", "9999-12-31T23:30Z")),
            FIRST + "is dated 9999-12-31, so its clock was not set; export it with the right date, "
            "or leave it out",
        ),
        (
            point(effective_time_frame=frame("2030-05-01T00:00+01:00", "2030-05-02T00:00+01:00")),
            FIRST + "covers 24 h, so which night it tells of is unknown; export sleep episodes, "
            "from falling asleep to waking",
        ),
        (
            point(total_sleep_time={"value": 7.5, "unit": "hours"}),
            FIRST + 'has total_sleep_time in "hours"; its unit is sec, min or h',
        ),
        (
            point(total_sleep_time={"value": "7.5", "unit": "h"}),
            FIRST + 'has "7.5" as total_sleep_time; its value is a number',
        ),
        (
            point(total_sleep_time={"value": 10**400, "unit": "h"}),
            FIRST + f"has 1{'0' * 39}… as total_sleep_time; its value is a number",
        ),
        (
            point(total_sleep_time=hours(9)),
            FIRST + "tells of 9.00 h asleep within 8.00 h; time asleep is above 0 and within the "
            "effective_time_frame",
        ),
        (
            point(total_sleep_time=hours(0)),
            FIRST + "tells of 0.00 h asleep within 8.00 h; time asleep is above 0 and within the "
            "effective_time_frame",
        ),
        (
            point("omh:sleep-duration:2.0", total_sleep_time=MISSING),
            "data point 1 (sleep-duration) has no sleep_duration; "
            "it is an object of value and unit",
        ),
        (
            point(descriptive_statistic="average"),
            FIRST + 'is a statistic of several nights ("average"), not one night; export single '
            "nights",
        ),
        (
            {"header": point()["header"]},
            FIRST + "has no body; a body is an object with an effective_time_frame",
        ),
        (
            {"body": point()["body"]},
            "data point 1 has no schema_id in its header; a header names namespace, name and "
            "version",
        ),
        (
            7,
            "data point 1 has no schema_id in its header; a header names namespace, name and "
            "version",
        ),
    ],
)
def test_a_point_that_cannot_be_used_is_told_and_costs_no_other(bad: object, line: str) -> None:
    assert told(bad, point()) == [f": {line}"]
    assert sleeps(bad, point()) == sleeps(point())


def test_a_duration_beyond_the_calendar_is_told() -> None:
    endless = {"start_date_time": BED, "duration": {"value": 1e300, "unit": "d"}}
    (line,) = told(point(effective_time_frame={"time_interval": endless}))
    assert line == f": {FIRST}has a duration longer than any calendar; check it"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_what_looks_like_a_new_line_inside_a_text_ends_none(end: str) -> None:
    one = point()
    one["header"]["note"] = "slept\u2028well\x85and\u2029long"
    line = json.dumps(one, ensure_ascii=False)
    content = read_sleep_json(end.join([line, line, ""]).encode())
    assert content.sleeps == sleeps(one) * 2
    assert content.remarks == read_sleep_json(f"[{line}, {line}]".encode()).remarks


def test_a_line_that_is_cut_off_costs_only_itself() -> None:
    line = json.dumps(point()).encode()
    content = read_sleep_json(line + b"\n" + line[:50] + b"\n" + line)
    assert len(content.sleeps) == 2
    assert [str(remark) for remark in content.remarks] == [
        ", row 2: the line is not JSON; export the nights again"
    ]


def test_many_bad_points_are_counted_and_not_all_told() -> None:
    bad = [point(total_sleep_time=hours(99))] * 300
    assert len(told(*bad)) == 21
    assert told(*bad)[-1] == ": 280 more data points cannot be used; see those above"


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (b'{"a": 1}', "it looks like JSON, but holds no sleep in the form of IEEE 1752.1 or Open"),
        (
            json.dumps([point("omh:heart-rate:2.0")]).encode(),
            "it holds heart-rate, but no sleep in the form of IEEE 1752.1 or Open mHealth; leave",
        ),
        (
            json.dumps([point(), point()], indent=1).encode()[:300],
            "it is not whole as JSON (line 1",
        ),
        (b'["schema_id"' + b"[" * 200_000, "it is n"),
        (
            b'{"schema_id": ' + b"9" * 9_000 + b"}",
            "it is not whole as JSON; export the nights again",
        ),
    ],
)
def test_a_file_without_a_night_is_refused(data: bytes, line: str) -> None:
    with pytest.raises(InputError) as error:
        read_sleep_json(data)
    assert str(error.value).startswith(line)


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5) | st.sampled_from([BED, UP]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=6,
)


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_whatever_stands_anywhere_is_used_or_told(data: st.DataObject) -> None:
    value = point(is_main_sleep=True)
    place: Any = value
    for name in data.draw(
        st.sampled_from(
            [
                ("header",),
                ("header", "schema_id"),
                ("header", "schema_id", "name"),
                ("body",),
                ("body", "effective_time_frame"),
                ("body", "effective_time_frame", "time_interval"),
                ("body", "effective_time_frame", "time_interval", "end_date_time"),
                ("body", "total_sleep_time"),
                ("body", "total_sleep_time", "value"),
                ("body", "total_sleep_time", "unit"),
            ]
        )
    ):
        parent, place, last = place, place[name], name
    parent[last] = data.draw(ANYTHING)
    content = read_sleep_json(json.dumps([value, point()]).encode())
    assert content.sleeps[-1:] == sleeps(point())
    for night in content.sleeps:
        assert timedelta() < night.end_utc - night.start_utc
        assert 0 < night.asleep_s <= (night.end_utc - night.start_utc).total_seconds()


def test_nights_of_a_folder_come_from_json_at_any_depth(tmp_path: Path) -> None:
    data = json.dumps([point()]).encode()
    again = json.dumps(point(total_sleep_time=hours(7))).encode()
    imported = read(tmp_path, {"sleep/2030.JSON": data, "all.zip": zipped({"x/n.json": again})})
    assert imported.nights[["day", "sleep_h"]].values.tolist() == [[date(2030, 5, 2), 7.5]]
    assert imported.files["file_format"].tolist() == ["json", "json"]
    assert imported.files["status"].tolist() == ["used", "used"]
    assert lines(imported) == []


def test_a_report_in_the_folder_is_neither_read_nor_told(tmp_path: Path) -> None:
    report = b'{\n "schema_version": 1,\n "note": "\\"schema_id\\""}'
    imported = read(
        tmp_path, {"report/study.json": report, "squad.json": b'{"squad_schema_version":1}'}
    )
    assert imported.files.empty
    assert lines(imported) == []


def test_json_about_something_else_is_told_and_many_in_one_line(tmp_path: Path) -> None:
    assert lines(read(tmp_path, {"a.json": b"[]"})) == [
        "a.json: it looks like JSON, but holds no sleep in the form of IEEE 1752.1 or Open "
        "mHealth; leave it out, or export the nights in that form"
    ]
    many = read(tmp_path, {f"export/{name}.json": b"{}" for name in range(40)})
    assert lines(many) == [
        "a.json: it looks like JSON, but holds no sleep in the form of IEEE 1752.1 or Open "
        "mHealth, nor do 40 more files"
    ]
    assert set(many.files["status"]) == {"unused"}
