"""How much of the last days was panic training, and its opposite, the emptied week."""

from __future__ import annotations

from taperback.common.limits import LIMITS
from taperback.common.quantities import show
from taperback.raceweek.effort.flags import last_days, last_sessions
from taperback.raceweek.effort.sides import too_little_for_sums
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.wording import span_name


def panic(race: Race) -> tuple[Measured, ...]:
    """How many sessions were panic, how far the last days left the habit, and the opposite.

    Returns:
        `panic_sessions` (a count), `panic_score` (share of the last days' training time that lay in
        flagged sessions), `emptied_week` (words).
    """
    return (*_counted(race), _emptied(race))


HARD_UNSEEN = "hard work unknown"
"""The caveat where too little is known of how hard the last days were to look for hard sessions."""


TUNE_UP = "a tune-up is trained through, so no panic is looked for"


def _counted(race: Race) -> tuple[Measured, Measured]:
    """The number of flagged sessions, and their share of the training time."""
    window, flags = race.window, race.flags
    names, span = ("panic_sessions", "panic_score"), last_days(window)
    days, late = window.span(*span), last_sessions(window)
    reason = TUNE_UP if window.tune_up else window.why_unknown(*span) or window.why_no_baseline
    if reason:
        return unknown(names[0], reason, days), unknown(names[1], reason, days)
    caught = {leg for flag in flags for leg in flag.legs}
    legs = window.legs.named(caught).ids
    hours, total = late.named(caught).total("hours"), late.total("hours")
    rules = ", ".join(dict.fromkeys(flag.rule.replace("_", " ") for flag in flags))
    basis = (
        f"{show('volume_h', hours)} of {show('volume_h', total)} on {span_name(*span)} "
        f"lay in sessions outside habit ({rules or 'no rule caught any'})"
    )
    caveat = HARD_UNSEEN if too_little_for_sums(race.effort.of(late), race.effort) else ""
    basis += "; hard sessions could not be looked for" if caveat else ""
    share = hours / total if total else 0.0
    return (
        Measured(names[0], float(len(legs)), basis=basis, days=days, legs=legs, caveat=caveat),
        Measured(names[1], share, basis=basis, days=days, legs=legs, caveat=caveat),
    )


def _emptied(race: Race) -> Measured:
    """Whether race week was emptied: next to no training, or no hard work at all."""
    name, limits = "emptied_week", LIMITS.emptied
    week, usual = race.week_h, race.usual_h
    for part in (week, usual):
        if not part.known:
            return unknown(name, part.reason, part.days)
    hours, usual_h = float(week.value or 0), float(usual.value or 0)
    basis = f"{show('volume_h', hours)} against a usual {show('volume_h', usual_h)}"
    words = []
    if hours < limits.least_share * usual_h:
        words.append(f"under {100 * limits.least_share:.0f}% of a usual week")
    if any(too_little_for_sums(side.legs, race.effort) for side in (race.week, race.usual)):
        basis += "; whether any of it was hard is not known"
    else:
        hard, usual_hard = race.week.hard_min, race.usual.hard_min
        basis += f"; {show('hard_min', hard)} hard"
        if hard < limits.no_hard_min <= usual_hard:
            words.append("no hard work at all")
    value = " and ".join(words) or "no"
    return Measured(name, value, basis=basis, days=week.days, legs=week.legs)
