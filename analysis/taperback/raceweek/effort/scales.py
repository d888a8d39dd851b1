"""The scales of training load, what a leg costs by each, and the one to compare races by.

Scales are worlds apart in size, so that monotony, strain and the acute-to-chronic ratio are of one
scale in all of an athlete's races, as a sport's intensity is of one signal.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS
from taperback.raceweek.effort.dose import five_zone_load, session_rpe_load, three_zone_load, trimp
from taperback.raceweek.effort.settings import HeartRange
from taperback.raceweek.effort.zones import ZONE_COLUMNS
from taperback.raceweek.legs import Leg, Legs
from taperback.raceweek.window.window import RACE_WEEK, Window
from taperback.raceweek.wording import percent_below

Hearts = Mapping[str, HeartRange]
Lack = str
"""Why a leg has no load, as a clause that can follow "unknown: "."""


@dataclass(frozen=True)
class Scale:
    """One scale of load.

    Attributes:
        name: name of its race-week measure; `<name>_kept` is the ratio to the usual week.
        rule: how a leg's load is made.
        of: the load [AU] of one leg with its zones, or why it has none, from the leg, the heart's
            range in its sport and the athlete's sex.
    """

    name: str
    rule: str
    of: Callable[[Leg, HeartRange | None, str], float | Lack]


def _by_rpe(leg: Leg, heart: HeartRange | None, sex: str) -> float | Lack:
    if np.isnan(leg.session_rpe):
        return "a session RPE"
    return session_rpe_load(60 * leg.hours, leg.session_rpe)


def _by_trimp(leg: Leg, heart: HeartRange | None, sex: str) -> float | Lack:
    if not sex:
        return "the athlete's sex, which Banister's constants differ by (athlete.toml)"
    if heart is None or np.isnan(heart.resting_bpm):
        return "a resting heart rate (athlete.toml)"
    mean = leg.mean_heart_rate_bpm
    if np.isnan(heart.highest_bpm) or np.isnan(mean) or heart.highest_bpm <= heart.resting_bpm:
        return "heart rate"
    return trimp(60 * leg.hours, mean, heart.resting_bpm, heart.highest_bpm, sex)


def _by_five_zones(leg: Leg, heart: HeartRange | None, sex: str) -> float | Lack:
    seconds = leg.heart_rate_seconds
    if heart is None or np.isnan(heart.highest_bpm) or seconds is None:
        return "heart rate"
    return five_zone_load(seconds, heart.highest_bpm)


def _by_three_zones(leg: Leg, heart: HeartRange | None, sex: str) -> float | Lack:
    if np.isnan(leg.hard_s):
        return "a known intensity"
    return three_zone_load(np.array([getattr(leg, zone) for zone in ZONE_COLUMNS]))


SCALES = (
    Scale("session_rpe_load", "minutes x session RPE (Foster 2001)", _by_rpe),
    Scale("trimp", "TRIMP of each session's mean heart rate (Banister 1991)", _by_trimp),
    Scale("five_zone_load", "minutes in five zones of highest heart rate x 1 to 5", _by_five_zones),
    Scale("three_zone_load", "minutes easy x 1, moderate x 2, hard x 3", _by_three_zones),
)


def with_load(legs: Legs, scale: Scale, hearts: Hearts, sex: str) -> Legs:
    """Legs with what they cost by one scale.

    Args:
        legs: legs of a window with their time by zone.
        scale: the scale.
        hearts: sport -> resting and highest heart rate.
        sex: the athlete's, empty where not typed.

    Returns:
        The legs and `load` [AU], NaN where it has none, and `lack`, why so.
    """
    found = [scale.of(leg, hearts.get(leg.sport), sex) for leg in legs]
    return legs.with_columns(
        load=np.array([float("nan") if isinstance(one, str) else one for one in found], float),
        lack=[one if isinstance(one, str) else "" for one in found],
    )


def too_little(legs: Legs, where: str = "") -> str:
    """Why a sum over legs `with_load` would be a guess, empty where it would not."""
    limit = LIMITS.load.fewest_known_share
    hours = legs.total("hours")
    share = legs.where(legs.known("load")).total("hours") / hours if hours else 1.0
    if share >= limit:
        return ""
    return (
        f"{where}{percent_below(share)} of the training time has a load, {100 * limit:.0f}% is "
        f"needed; the rest lacks {lacks(legs)}"
    )


def lacks(legs: Legs) -> str:
    """What the legs without a load lack."""
    return "; ".join(dict.fromkeys(lack for lack in legs["lack"] if lack))


def one_scale(races: Iterable[tuple[Window, Legs, Hearts]]) -> Scale | None:
    """The scale in which all races are compared: known for every leg of the most race weeks.

    On a tie the one that knows enough of more race weeks, then the first of `SCALES`.

    Args:
        races: each race's window, its legs of race week with their time by zone, and the hearts.

    Returns:
        The scale, or None where none knows enough of any race week.
    """
    weeks = [race for race in races if not race[0].why_unknown(*RACE_WEEK)]

    def worth(scale: Scale) -> tuple[int, int]:
        costs = [with_load(legs, scale, hearts, w.athlete.sex) for w, legs, hearts in weeks]
        whole = sum(bool(legs.known("load").all()) for legs in costs)
        return whole, sum(not too_little(legs) for legs in costs)

    worths = {scale: worth(scale) for scale in SCALES}
    best = max(SCALES, key=worths.__getitem__)
    return best if any(worths[best]) else None
