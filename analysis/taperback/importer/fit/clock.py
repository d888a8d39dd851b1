"""What time it was: a device's clock in Unix seconds, and the athlete's local time beside it.

References:
    FIT profile, type `date_time` (values below 0x10000000 count seconds since the device was
    switched on) and messages `activity`, `timestamp_correlation`, `monitoring_info`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.notices import note
from taperback.importer.fit.messages import Messages, number

FIT_EPOCH_S = 631_065_600
"""1989-12-31T00:00:00Z, the start of FIT time, in Unix seconds (FIT profile, type date_time)."""
FIRST_REAL_TIME = 0x10000000
"""FIT times below this count seconds since the device was switched on (FIT profile, date_time)."""

_NAN = float("nan")


@dataclass(frozen=True)
class Clock:
    """Turns the times of one file into Unix seconds.

    Attributes:
        system_shift_s: FIT time minus the device's own count of seconds; NaN where nothing in the
            file tells it.
        utc_offset_s: local time minus UTC, NaN where the file does not say.
    """

    system_shift_s: float = _NAN
    utc_offset_s: float = _NAN

    def unix_s(self, fit_s: np.ndarray) -> np.ndarray:
        """FIT times [s] in Unix seconds, same shape; NaN where nothing tells when that was."""
        shift = np.where(fit_s < FIRST_REAL_TIME, self.system_shift_s, 0.0)
        return fit_s + shift + FIT_EPOCH_S

    def time(self, message: dict[str, object], name: str) -> float:
        """The message's time of that name in Unix seconds, NaN where it has none."""
        fit_s = number(message, name)
        return fit_s + FIT_EPOCH_S + (self.system_shift_s if fit_s < FIRST_REAL_TIME else 0.0)


def read_clock(messages: Messages) -> Clock:
    """The clock of a file; adds a remark where its times had to be anchored."""
    times = messages.records["timestamp"]
    own = times[times < FIRST_REAL_TIME]
    stated = (
        number(message, "local_timestamp") - number(message, "timestamp")
        for message in (*messages.all("activity"), *messages.all("monitoring_info"))
    )
    # Believed only within the world's zones and on a quarter hour.
    longest = LIMITS.fit.longest_offset_s
    offset = next((s for s in stated if abs(s) <= longest and s % 900 == 0), _NAN)
    sessions = messages.all("session")
    if not len(own) and not any(number(s, "start_time") < FIRST_REAL_TIME for s in sessions):
        return Clock(utc_offset_s=offset)
    for correlation in messages.all("timestamp_correlation"):
        shift = number(correlation, "timestamp") - number(correlation, "system_timestamp")
        if shift > 0:
            return Clock(shift, offset)
    return _anchored_on_activity(messages, own, offset)


def _anchored_on_activity(messages: Messages, own: np.ndarray, offset: float) -> Clock:
    """The device's own seconds dated by the `activity` message, which is written at the end."""
    for activity in messages.all("activity"):
        stamp, local = number(activity, "timestamp"), number(activity, "local_timestamp")
        if stamp >= FIRST_REAL_TIME and len(own):
            _remark(messages, "the time its activity message was written")
            return Clock(stamp - float(own.max()), offset)
        if stamp < FIRST_REAL_TIME <= local:
            # Only the local time is known, so times are given as if local time were UTC: that
            # keeps the day, which is what counts here.
            _remark(messages, "the local time in its activity message")
            return Clock(local - stamp, 0.0)
    if np.nanmax(messages.records["timestamp"], initial=0) < FIRST_REAL_TIME and not any(
        number(session, "start_time") >= FIRST_REAL_TIME for session in messages.all("session")
    ):
        # Nothing dates it: it stays in the years from 1989 on, where the athlete can put it right.
        return Clock(0.0, _NAN)
    return Clock(utc_offset_s=offset)


def _remark(messages: Messages, source: str) -> None:
    found = f"its device did not know the date; it was dated by {source}"
    messages.remarks.append(note("fit-clock", found, "check that the day is right"))
