"""Which legs a FIT file has: its sessions, each with the stretch of time that is its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.notices import note
from taperback.importer.fit.clock import Clock
from taperback.importer.fit.messages import Messages, number


@dataclass(frozen=True)
class Span:
    """What a session message says, and the stretch of time that its leg may have.

    Attributes:
        session: the message; of one made from the records only the sport.
        start: Unix time [s]. after, until: bounds of what belongs to the leg, infinite at the
            file's ends, since devices write a record or a lap before the first session starts.
    """

    session: dict[str, object]
    start: float
    after: float
    until: float

    def of(self, rows: np.ndarray) -> np.ndarray:
        """The rows whose first column, a Unix time [s], lies in the stretch; shape (k, columns)."""
        if np.isinf(self.after) and np.isinf(self.until):
            return rows
        return rows[(rows[:, 0] >= self.after) & (rows[:, 0] < self.until)]


def read_spans(
    messages: Messages, clock: Clock, time_s: np.ndarray, lengths: np.ndarray
) -> list[Span]:
    """The legs in order of start; one made from what was recorded where no session stands.

    Args:
        messages: remarks are added to them.
        clock: the file's.
        time_s: Unix times of all records, shape (n,).
        lengths: (Unix time of the start, seconds, active) of all pool lengths, shape (k, 3).
    """
    sessions = _dated_sessions(messages, clock, time_s)
    if not sessions and (len(time_s) or len(lengths)):
        sessions = _made_session(messages, time_s, lengths)
    starts = sorted({start for start, _ in sessions})
    bounds = [-np.inf, *starts[1:], np.inf]
    return [
        Span(session, start, bounds[place], bounds[place + 1])
        for place, start in enumerate(starts)
        for begun, session in sessions
        if begun == start
    ]


def _made_session(
    messages: Messages, time_s: np.ndarray, lengths: np.ndarray
) -> list[tuple[float, dict[str, object]]]:
    """A session from the records and lengths that a file without one, or a cut one, has."""
    starts = np.concatenate([time_s, lengths[:, 0]])
    ends = np.concatenate([time_s, lengths[:, 0] + np.nan_to_num(lengths[:, 1])])
    named = (messages.all("sport") or messages.all("lap") or [{}])[0]
    kind = {name: named.get(name, "") for name in ("sport", "sub_sport")}
    if not kind["sport"] and len(lengths):
        # Only pool swims are cut into lengths.
        kind = {"sport": "swimming", "sub_sport": "lap_swimming"}
    elapsed = {"total_elapsed_time": float(ends.max() - starts.min())}
    return [(float(starts.min()), kind | elapsed)]


def _dated_sessions(
    messages: Messages, clock: Clock, time_s: np.ndarray
) -> list[tuple[float, dict[str, object]]]:
    """(start in Unix seconds, session); of two with one start and sport the later is kept."""
    most = LIMITS.fit.most_sessions
    if (count := len(messages.all("session"))) > most:
        sentence = f"it has {count} sessions, more than any recording; the first {most} were used"
        messages.remarks.append(note("fit-sessions", sentence))
    found: dict[tuple[float, object], dict[str, object]] = {}
    for session in messages.all("session")[:most]:
        start = clock.time(session, "start_time")
        if np.isnan(start):
            start = clock.time(session, "timestamp") - number(session, "total_elapsed_time")
        if np.isfinite(start):
            found[start, session.get("sport")] = session
    sessions = [(start, session) for (start, _), session in found.items()]
    if len(sessions) == 1 and len(time_s):
        ((start, session),) = sessions
        first, last, far = time_s.min(), time_s.max(), LIMITS.fit.session_far_away_s
        if not first - far <= start <= last + far:
            said = "its session is dated days away from its records; their time was used"
            messages.remarks.append(note("fit-session-date", said))
            return [(float(first), session)]
    # Some devices write a session around all legs, too.
    return [one for one in sessions if one[1].get("sport") != "multisport"] or sessions
