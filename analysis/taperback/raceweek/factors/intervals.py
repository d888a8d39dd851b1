"""What became of the hard sessions: the repetitions kept, the last of them, and the opener."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median_low

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.quantities import show
from taperback.common.wording import number_of
from taperback.raceweek.effort.effort import Effort
from taperback.raceweek.effort.repetitions import Repetitions
from taperback.raceweek.effort.sides import too_little_known
from taperback.raceweek.legs import Legs
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.window.window import FIRST_DAY, RACE_WEEK, Window
from taperback.raceweek.wording import day_name, span_name


@dataclass(frozen=True)
class Session:
    """A recognised session of repetitions: what it was, how hard in all, and where it lies."""

    what: Repetitions
    hard_min: float
    day: date
    days_to_race: int
    leg: str


def intervals(race: Race) -> tuple[Measured, ...]:
    """Race week's repetitions against the baseline's like, the last hard session, the opener.

    Returns:
        `repetitions` and `usual_repetitions` (words), `repetitions_kept` and
        `repetition_level_kept` (ratios), `last_hard_d`, `opener` (words).
    """
    window, effort = race.window, race.effort
    return (*_repetitions(window, effort), _last_hard(window, effort), _opener(window, effort))


def sessions_in(legs: Legs, effort: Effort) -> tuple[Session, ...]:
    """The recognised sessions of repetitions among these legs, in order of start."""
    found = ((effort.repetitions(leg), leg) for leg in effort.of(legs))
    return tuple(
        Session(what, float(leg.hard_min), leg.local_day, leg.days_to_race, leg.leg_id)
        for what, leg in found
        if what
    )


def _repetitions(window: Window, effort: Effort) -> tuple[Measured, ...]:
    names = ("repetitions", "usual_repetitions", "repetitions_kept", "repetition_level_kept")
    days = window.baseline_days + window.span(*RACE_WEEK)
    reason = window.why_unknown(*RACE_WEEK) or window.why_no_baseline
    if reason:
        return tuple(unknown(name, reason, days) for name in names)
    week = sessions_in(window.training(*RACE_WEEK), effort)
    usual = sessions_in(window.baseline, effort)
    if not usual:
        reason = "no session of the baseline was recognised as repetitions"
        seen = _words("repetitions", week, "race week") if week else _none(names[0], days)
        return (seen, *(unknown(name, reason, days) for name in names[1:]))
    if not week:
        reason = "race week holds no session of repetitions"
        return (
            _none(names[0], days),
            _words(names[1], usual, "the baseline"),
            Measured(names[2], 0.0, basis=reason, days=days, legs=_ids(usual)),
            unknown(names[3], reason, days),
        )
    return _compared(names, week, usual, days)


def _none(name: str, days: tuple[date, ...]) -> Measured:
    basis = "no session of race week was recognised as repetitions"
    return Measured(name, "none", basis=basis, days=days)


def _words(name: str, sessions: Sequence[Session], where: str) -> Measured:
    """The hardest session, in words."""
    most = max(sessions, key=_hardness)
    basis = f"{number_of(len(sessions), 'session')} of repetitions in {where}, the hardest of them"
    return Measured(name, str(most.what), basis=basis, days=(most.day,), legs=(most.leg,))


def _ids(sessions: Sequence[Session]) -> tuple[str, ...]:
    return tuple(session.leg for session in sessions)


def _compared(
    names: tuple[str, ...],
    week: Sequence[Session],
    usual: Sequence[Session],
    days: tuple[date, ...],
) -> tuple[Measured, ...]:
    """Race week's hardest session that is a habit of the baseline, against its like there."""
    known = [session for session in week if _like(session, usual)]
    if not known:
        seen, was = _words(names[0], week, "race week"), _words(names[1], usual, "the baseline")
        reason = f"race week held {seen.value}, the baseline nothing like it but {was.value}"
        return (seen, was, *(unknown(name, reason, days) for name in names[2:]))
    kept = max(known, key=lambda one: (len(_like(one, usual)) >= _HABIT, *_hardness(one)))
    like = _like(kept, usual)
    number = median_low([session.what.count for session in like])
    level = float(np.median([session.what.level for session in like]))
    typical = min(like, key=lambda session: abs(session.what.count - number))
    size = kept.what.size_label
    median_of = number_of(len(like), "session")
    basis = (
        f"{kept.what} on day {day_name(kept.days_to_race)}, against {number} x {size} at "
        f"{kept.what.level_words(level)} in the baseline (median of {median_of})"
    )
    legs = (*_ids(like), kept.leg)
    usual_words = f"{number} x {size} at {kept.what.level_words(level)}"
    return (
        Measured(names[0], str(kept.what), basis=basis, days=(kept.day,), legs=(kept.leg,)),
        Measured(names[1], usual_words, basis=basis, days=(typical.day,), legs=_ids(like)),
        Measured(names[2], kept.what.count / number, basis=basis, days=days, legs=legs),
        Measured(names[3], kept.what.level / level, basis=basis, days=days, legs=legs),
    )


_HABIT = 2
"""What was done twice is a habit; a single like session is compared only for want of one."""


def _hardness(session: Session) -> tuple[float, float]:
    """Hard minutes where known, then time at work."""
    return (0.0 if np.isnan(session.hard_min) else session.hard_min, session.what.work_s)


def _like(session: Session, others: Sequence[Session]) -> list[Session]:
    return [other for other in others if session.what.like(other.what)]


def _last_hard(window: Window, effort: Effort) -> Measured:
    """Days from the last session with enough hard minutes to the race."""
    name, limits = "last_hard_d", LIMITS.intensity
    days = window.span(FIRST_DAY, -1)
    legs = effort.of(window.training(FIRST_DAY, -1))
    hard = legs.where(legs["hard_min"] >= limits.hard_session_min)
    nearest = int(hard["days_to_race"].max()) if len(hard) else FIRST_DAY
    after = max(nearest, RACE_WEEK[0])
    since = legs.where(legs["days_to_race"] >= after)
    reason = window.why_unknown(after, -1) or too_little_known(since, effort)
    if reason:
        return unknown(name, reason, days)
    words = f"with at least {limits.hard_session_min} hard minutes"
    if not len(hard):
        return unknown(name, f"no session of the eight weeks {words} was recorded", days)
    *_, last = hard.where(hard["days_to_race"] == nearest)
    basis = f"the last session {words}: {last.hard_min:.0f} of {last.sport}"
    days = (last.local_day,)
    return Measured(name, float(-nearest), basis=basis, days=days, legs=(last.leg_id,))


def _opener(window: Window, effort: Effort) -> Measured:
    """The short session with brief hard work on one of the last two days, in words."""
    limits = LIMITS.opener
    span = (limits.first_day, limits.last_day)
    days = window.span(*span)
    if reason := window.why_unknown(*span):
        return unknown("opener", reason, days)
    legs = effort.of(window.training(*span))
    bouts = [sum(bout.duration_s for bout in of_leg) / 60 or np.nan for of_leg in legs["bouts"]]
    # a heart lags behind short work, so that time in bouts counts where it is more
    work = np.fmax(legs["hard_min"], np.array(bouts))
    legs = legs.with_columns(work_min=work)
    brief = (work >= limits.fewest_hard_min) & (work <= limits.most_hard_min)
    openers = legs.where(brief & (legs["hours"] * 60 <= limits.longest_min))
    if not len(openers):
        if len(legs) and np.isnan(work).all():
            return unknown("opener", "the intensity of the last two days is not known", days)
        basis = f"no short session with brief hard work on {span_name(*span)}"
        return Measured("opener", "none", basis=basis, days=days)
    words = [
        f"day {day_name(leg.days_to_race)}: {60 * leg.hours:.0f} min of {leg.sport} with "
        f"{'under 1 min' if leg.work_min < 1 else show('hard_min', leg.work_min)} hard"
        for leg in openers
    ]
    basis = (
        f"at most {limits.longest_min} min with {limits.fewest_hard_min} to "
        f"{limits.most_hard_min} hard minutes, or as much time in repetitions"
    )
    on_days = tuple(dict.fromkeys(openers["local_day"]))
    return Measured("opener", "; ".join(words), basis=basis, days=on_days, legs=openers.ids)
