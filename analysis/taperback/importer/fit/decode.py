"""Messages decoded by fitdecode, which knows every kind of message and takes its time for it."""

from __future__ import annotations

import warnings
from collections.abc import Callable

import fitdecode
from fitdecode.profile import MESSAGE_TYPES

from taperback.common.limits import LIMITS
from taperback.importer.fit.excerpt import Wanted

USED_FIELDS = {
    "file_id": ("type", "time_created"),
    "user_profile": ("resting_heart_rate", "default_max_heart_rate"),
    "zones_target": (
        "functional_threshold_power",
        "threshold_heart_rate",
        "max_heart_rate",
    ),
    "sport": ("sport", "sub_sport"),
    "session": (
        "timestamp",
        "start_time",
        "sport",
        "sub_sport",
        "total_elapsed_time",
        "total_timer_time",
        "total_distance",
        "total_ascent",
        "pool_length",
        "workout_rpe",
        "workout_feel",
        "threshold_power",
    ),
    "lap": (
        "timestamp",
        "start_time",
        "sport",
        "sub_sport",
        "total_elapsed_time",
        "total_timer_time",
        "total_distance",
    ),
    "event": ("timestamp", "event", "event_type"),
    "activity": ("timestamp", "local_timestamp"),
    "length": ("start_time", "total_elapsed_time", "total_timer_time", "length_type"),
    "monitoring_info": ("timestamp", "local_timestamp"),
    "timestamp_correlation": ("timestamp", "system_timestamp"),
    "sleep_level": ("timestamp", "sleep_level"),
}
"""Message -> the fields used of it. Records and `hr` messages are read in bulk and not here."""

_TIMER = 0
_EVENT = "event"


def _names(field: str) -> frozenset[str]:
    """Every name that the profile has for the values of a session's field."""
    session = next(message for message in MESSAGE_TYPES.values() if message.name == "session")
    return frozenset(
        name
        for found in session.fields.values()
        if found.name == field
        for name in found.type.enum.values()
    )


SPORT_NAMES = _names("sport")
SUB_SPORT_NAMES = _names("sub_sport") | {""}
"""Names of the FIT profile; an activity of no known sport is `generic`, and a sub-sport may be
empty."""


WANTED = {
    number: Wanted(
        frozenset(n for n, f in message.fields.items() if f.name in USED_FIELDS[message.name]),
        # Some devices write thousands of events; only the timer's are used.
        (0, _TIMER) if message.name == _EVENT else None,
    )
    for number, message in MESSAGE_TYPES.items()
    if message.name in USED_FIELDS
}
"""Message number -> what to cut out of a file for fitdecode."""

TOO_MUCH = "too much of it needs to be read the slow way"
"""What stops `decode` where a file holds more than any recording."""


def decode(stream: bytes, keep: Callable[[str, dict[str, object]], None]) -> str:
    """Hands every data message to `keep`; returns what stopped it, empty where nothing did.

    Args:
        stream: whole FIT files in a row.
        keep: takes a message's name and its values by field name, absent ones left out.
    """
    budget = LIMITS.fit.most_fields_decoded
    reader = fitdecode.FitReader(
        stream,
        processor=None,
        check_crc=fitdecode.CrcCheck.DISABLED,
        error_handling=fitdecode.ErrorHandling.IGNORE,
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            for frame in reader:
                if isinstance(frame, fitdecode.FitDataMessage):
                    keep(frame.name, _values(frame))
                    budget -= len(frame.fields) + 1
                elif isinstance(frame, fitdecode.FitDefinitionMessage):
                    budget -= len(frame.field_defs) + 1
                if budget < 0:
                    return TOO_MUCH
        except Exception as error:
            return type(error).__name__
    return ""


def _values(frame: fitdecode.FitDataMessage) -> dict[str, object]:
    """Field name -> value; the first of a name wins, a developer's field never does."""
    values: dict[str, object] = {}
    for item in frame.fields:
        if item.value is not None and not (item.field_def and item.field_def.is_dev):
            values.setdefault(item.name, item.value)
    return values
