"""Every quantity that reaches a person: its name, label, unit and how it is printed.

Data hold fractions from 0 to 1 and SI-like units; the page shows percent. A quantity is looked up
by name, so that a table's heading, a sentence and `study.json` cannot disagree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

MINUS = "\u2212"


@dataclass(frozen=True)
class Quantity:
    """One quantity and how a person meets it.

    Attributes:
        name: its key, which names the unit where it could be mistaken.
        label: what tables and sentences call it.
        unit: unit of the stored number.
        shown_unit: unit on the page; percent for a fraction.
        decimals: digits after the point on the page.
        scale: page value = stored value x scale.
        signed: whether a plus sign is shown.
        meaning: one sentence, as the glossary prints it.
    """

    name: str
    label: str
    unit: str
    shown_unit: str
    decimals: int
    meaning: str
    scale: float = 1.0
    signed: bool = False

    def number(self, value: float) -> str:
        """The value as digits, with a real minus sign and without the unit."""
        if math.isnan(value):
            return "unknown"
        digits = f"{abs(value * self.scale):.{self.decimals}f}"
        if float(digits) == 0:
            return digits
        sign = MINUS if value < 0 else "+" if self.signed else ""
        return sign + digits

    def show(self, value: float) -> str:
        """The value as a person reads it, with the unit."""
        digits = self.number(value)
        if digits == "unknown" or not self.shown_unit:
            return digits
        gap = "" if self.shown_unit == "%" else " "
        unit = "day" if self.shown_unit == "days" and digits == "1" else self.shown_unit
        return f"{digits}{gap}{unit}"


def _fraction(name: str, label: str, meaning: str, *, signed: bool = False) -> Quantity:
    return Quantity(name, label, "fraction", "%", 0, meaning, scale=100.0, signed=signed)


SPORTS = (
    "swimming",
    "cycling",
    "running",
    "walking",
    "hiking",
    "rowing",
    "cross_country_skiing",
    "training",
    "other",
)
"""Sports of the FIT profile under which hours are told; every other sport counts as `other`."""


def _hours(name: str, label: str, meaning: str, *, signed: bool = False) -> Quantity:
    return Quantity(name, label, "h", "h", 1, meaning, signed=signed)


def _days(name: str, label: str, meaning: str) -> Quantity:
    return Quantity(name, label, "d", "days", 0, meaning)


def _word(name: str, label: str, meaning: str) -> Quantity:
    return Quantity(name, label, "", "", 0, meaning)


_VOLUME = (
    _hours(
        "volume_h",
        "race-week volume",
        "Moving time of all sessions on the seven days before the race, transitions out.",
    ),
    _hours(
        "baseline_weekly_h",
        "usual week",
        "Median weekly moving time of the usable weeks between 56 and 15 days before the race.",
    ),
    _fraction(
        "volume_cut",
        "volume cut",
        "How much less was trained in race week than in a usual week; negative when more.",
    ),
    _fraction(
        "volume_cut_week_3",
        "volume cut, third week before",
        "The same for days 21 to 15 before the race.",
    ),
    _fraction(
        "volume_cut_week_2",
        "volume cut, second week before",
        "The same for days 14 to 8 before the race.",
    ),
    *(
        _fraction(
            f"volume_cut_{sport}",
            f"volume cut, {sport.replace('_', ' ')}",
            f"The volume cut of {sport.replace('_', ' ')} alone.",
        )
        for sport in SPORTS
    ),
)

_SHAPE = (
    _word(
        "taper_shape",
        "shape of the taper",
        "Which form the last 21 days follow best: a step, a line or an exponential fall, or none.",
    ),
    Quantity(
        "taper_fit",
        "fit of that shape",
        "fraction",
        "%",
        0,
        "Share of the changes in seven-day volume that the shape accounts for.",
        scale=100.0,
    ),
    _days(
        "taper_days",
        "days of reduction",
        "Days in a row up to the race on which the seven-day volume stayed below the usual week.",
    ),
    Quantity(
        "sessions_kept",
        "sessions kept",
        "ratio",
        "%",
        0,
        "Sessions of race week over the sessions of a usual week.",
        scale=100.0,
    ),
    _days("rest_days", "rest days", "Days of race week without training."),
    _days(
        "last_long_d",
        "last long session",
        "Days before the race of the last session nearly as long as a usual week's longest.",
    ),
)

_SLEEP = (
    _hours("usual_night_h", "usual night", "Median sleep between 56 and 15 days before the race."),
    Quantity(
        "sleep_change_h",
        "sleep change",
        "h per night",
        "h a night",
        1,
        "Mean sleep of the last seven nights minus the athlete's usual night.",
        signed=True,
    ),
    _hours("last_night_h", "last night", "Sleep in the night that ended on race day."),
    _hours("last_three_h", "last three nights", "Mean sleep of the three nights before the race."),
    _hours(
        "sleep_debt_h",
        "sleep short",
        "Hours that the short nights of the last seven fell below the usual night, added up.",
    ),
)

_TRAVEL = (
    Quantity(
        "travel_km",
        "distance from home",
        "km",
        "km",
        0,
        "Great-circle distance from where most baseline sessions start to the start of the race.",
    ),
    _hours("travel_h", "travel time", "Door-to-door hours, as the journal gives them."),
    Quantity(
        "zones_crossed",
        "time zones crossed",
        "h",
        "h",
        1,
        "UTC offset at the race minus the offset at home on the race date; east is positive.",
        signed=True,
    ),
    _word("travel_direction", "direction", "East or west by the clock; none within a zone."),
    _days("days_since_arrival", "days since arrival", "Race date minus the date of arrival there."),
    _hours("arrival_day_h", "training on arrival day", "Moving time on the day of arrival."),
    _hours(
        "body_clock_lag_h",
        "body clock behind",
        "Hours of the time change that the body clock had not yet caught up with on race day.",
    ),
)

_RACE = (
    Quantity(
        "result_pct",
        "result",
        "%",
        "%",
        1,
        "How much faster than the comparison, in percent; positive is faster.",
        signed=True,
    ),
    Quantity(
        "race_rpe", "race RPE", "CR-10", "", 1, "How hard the race felt, 0 to 10 (Borg CR-10)."
    ),
    Quantity(
        "transition_min",
        "time in transition",
        "min",
        "min",
        1,
        "Time between the race's sports, as the race file tells it.",
    ),
)

_INTENSITY = (
    _fraction(
        "intensity_kept",
        "intensity kept",
        "Share of race-week time above the second threshold, over that share in a usual week.",
    ),
    _fraction(
        "hard_minutes_kept",
        "hard minutes kept",
        "Minutes above the second threshold in race week, over those of a usual week.",
    ),
    Quantity(
        "hard_min",
        "hard minutes",
        "min",
        "min",
        0,
        "Minutes of race-week training above the second threshold.",
    ),
    Quantity(
        "baseline_hard_min",
        "usual hard minutes",
        "min",
        "min",
        0,
        "Median weekly minutes above the second threshold in the usable baseline weeks.",
    ),
    _fraction("easy_share", "easy time", "Share of race-week time below the first threshold."),
    _fraction(
        "moderate_share", "moderate time", "Share of race-week time between the two thresholds."
    ),
    _fraction("hard_share", "hard time", "Share of race-week time above the second threshold."),
    _fraction(
        "known_intensity_share",
        "time of known intensity",
        "Share of race-week training time whose intensity could be read.",
    ),
)

_PAGE = (
    Quantity("sleep_h", "sleep", "h", "h", 1, "Hours slept in the night that ended on the day."),
    Quantity(
        "removed_s",
        "taken out",
        "s",
        "min",
        1,
        "Time that a cleaning rule took out of the recordings.",
        scale=1 / 60,
    ),
    _fraction(
        "probability", "chance", "How probable it is, given the published studies and the races."
    ),
    Quantity(
        "moved_bits",
        "moved by the races",
        "bit",
        "bits",
        2,
        "How far the athlete's races moved what published studies expect; 0 is not at all.",
    ),
    Quantity(
        "rank_correlation",
        "rank correlation",
        "",
        "",
        2,
        "Whether two orders agree: +1 is the same order, −1 the opposite one.",
        signed=True,
    ),
)

_HARD_SESSIONS = (
    _word(
        "repetitions",
        "repetitions",
        "Race week's session of repetitions: number, length and level.",
    ),
    _word(
        "usual_repetitions",
        "usual repetitions",
        "The baseline's like session: usual number, length and level.",
    ),
    _fraction(
        "repetitions_kept",
        "repetitions kept",
        "Number of repetitions in race week over the usual number of the like session.",
    ),
    Quantity(
        "repetition_level_kept",
        "level of repetitions kept",
        "fraction",
        "%",
        1,
        "Speed or power of race week's repetitions over that of the like usual session.",
        scale=100.0,
    ),
    _days(
        "last_hard_d",
        "last hard session",
        "Days from the last session with enough hard minutes to the race.",
    ),
    _word("opener", "opener", "A short session with brief hard work on day -1 or -2."),
    *(
        _fraction(
            f"sharpness_{effort}_{sport}",
            f"sharpness, best {effort.replace('min', ' min')} of {sport}",
            f"Best {effort.replace('min', ' min')} of {sport}, race week over baseline.",
        )
        for sport in ("swimming", "cycling", "running")
        for effort in ("1min", "5min")
    ),
)


def _load(name: str, label: str, meaning: str) -> tuple[Quantity, Quantity]:
    return (
        Quantity(name, label, "AU", "AU", 0, f"{meaning}, over race week."),
        _fraction(f"{name}_kept", f"{label} kept", f"{meaning}: race week over a usual week."),
    )


_LOADS = (
    *_load("session_rpe_load", "session-RPE load", "Minutes times session RPE (Foster 2001)"),
    *_load("trimp", "TRIMP", "Training impulse from mean heart rate (Banister 1991)"),
    *_load("five_zone_load", "five-zone load", "Minutes in five heart-rate zones times 1 to 5"),
    *_load("three_zone_load", "three-zone load", "Minutes easy, moderate, hard times 1 to 3"),
    Quantity(
        "monotony", "monotony", "ratio", "", 2, "Mean daily load of race week over its SD (Foster)."
    ),
    Quantity("strain", "strain", "AU", "AU", 0, "Load of race week times its monotony (Foster)."),
    Quantity(
        "acute_chronic_ratio",
        "acute to chronic load",
        "ratio",
        "",
        2,
        "Last week's load over the mean of the last four; told for what it is, no guide to risk.",
    ),
)

_PANIC = (
    Quantity(
        "panic_sessions",
        "panic sessions",
        "sessions",
        "",
        0,
        "Sessions of the last ten days that left the athlete's own habit.",
    ),
    _fraction(
        "panic_score",
        "time outside habit",
        "Share of the last ten days' training time that lay in panic sessions.",
    ),
    _word(
        "emptied_week",
        "emptied week",
        "Whether race week held next to no training, or no hard work at all.",
    ),
)

_ALL = (
    *_VOLUME,
    *_SHAPE,
    *_INTENSITY,
    *_HARD_SESSIONS,
    *_LOADS,
    *_PANIC,
    *_SLEEP,
    *_TRAVEL,
    *_RACE,
    *_PAGE,
)

QUANTITIES: dict[str, Quantity] = {quantity.name: quantity for quantity in _ALL}
"""Every quantity by name."""


def show(name: str, value: float) -> str:
    """A quantity's value as a person reads it.

    >>> show("volume_cut", 0.414)
    '41%'
    """
    return QUANTITIES[name].show(value)
