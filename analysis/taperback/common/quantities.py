"""Every quantity that reaches a person.

Data hold fractions from 0 to 1 and SI-like units; the page shows percent. A quantity is looked up
by name, so that a table's heading, a sentence and `study.json` cannot disagree.
"""

from __future__ import annotations

from taperback.common.quantity import Quantity, beats, days, fraction, hours, score, word

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
"""Sports of the FIT profile under which hours are counted; every other sport counts as `other`."""

PRIMARY_FACTORS = ("volume_cut", "intensity_kept", "sleep_change_h", "body_clock_lag_h")
"""The four factors that are tested, fixed in advance; everything else is only described."""

_VOLUME = (
    hours(
        "volume_h",
        "race-week volume",
        "Moving time of all sessions on the seven days before the race, transitions out.",
    ),
    hours(
        "baseline_weekly_h",
        "usual week",
        "Median weekly moving time of the usable weeks between 56 and 15 days before the race.",
    ),
    fraction(
        "volume_cut",
        "volume cut",
        "How much less was trained in race week than in a usual week; negative when more.",
    ),
    fraction(
        "volume_cut_week_3",
        "volume cut, third week before",
        "The same for days 21 to 15 before the race.",
    ),
    fraction(
        "volume_cut_week_2",
        "volume cut, second week before",
        "The same for days 14 to 8 before the race.",
    ),
    *(
        fraction(
            f"volume_cut_{sport}",
            f"volume cut, {sport.replace('_', ' ')}",
            f"The volume cut of {sport.replace('_', ' ')} alone.",
        )
        for sport in SPORTS
    ),
)

_SHAPE = (
    word(
        "taper_shape",
        "shape of the taper",
        "Which form the last 21 days follow best: a step, a line or an exponential fall, or none.",
    ),
    fraction(
        "taper_fit",
        "fit of that shape",
        "Share of the changes in seven-day volume that the shape accounts for.",
    ),
    days(
        "taper_days",
        "days of reduction",
        "Days in a row up to the race whose seven-day volume stayed clearly below the usual week.",
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
    days("rest_days", "rest days", "Days of race week without training."),
    days(
        "last_long_d",
        "last long session",
        "Days before the race of the last session nearly as long as a usual week's longest.",
    ),
)

_SLEEP = (
    hours("usual_night_h", "usual night", "Median sleep between 56 and 15 days before the race."),
    Quantity(
        "sleep_change_h",
        "sleep change",
        "h per night",
        "h a night",
        1,
        "Mean sleep of the last seven nights minus the athlete's usual night.",
        signed=True,
    ),
    hours("last_night_h", "last night", "Sleep in the night that ended on race day."),
    hours("last_three_h", "last three nights", "Mean sleep of the three nights before the race."),
    hours(
        "sleep_debt_h",
        "sleep short",
        "Hours that the short nights of the last seven fell below the usual night, added up.",
    ),
)

_EVERYDAY = (
    hours(
        "other_h",
        "besides training",
        "Recorded hours of race week that do not count as training, such as walking, e-biking or "
        "strength; what counts is typed as sports in athlete.toml.",
    ),
    hours(
        "on_feet_h",
        "on the feet",
        "Hours of walking and hiking on the three days before the race, as recorded or typed.",
    ),
)

_TRAVEL = (
    Quantity(
        "travel_km",
        "distance from home",
        "km",
        "km",
        0,
        "Great-circle distance from where most baseline sessions start to the start of the race, "
        "in steps of 10 km below 100 km and of 50 km beyond; 0 is at home, within 50 km.",
    ),
    hours("travel_h", "travel time", "Door-to-door hours, as the journal gives them."),
    Quantity(
        "zones_crossed",
        "time zones crossed",
        "h",
        "h",
        1,
        "UTC offset at the race minus the offset at home on the race date; east is positive.",
        signed=True,
    ),
    word("travel_direction", "direction", "East or west, as the body clock shifts; none at home."),
    days("days_since_arrival", "days since arrival", "Race date minus the date of arrival there."),
    hours("arrival_day_h", "training on arrival day", "Moving time on the day of arrival."),
    hours(
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
        "Time between the race's sports, as the race file has it.",
    ),
)

_DIARY = (
    *(
        score(
            name,
            f"{name.replace('_', ' ')}, 1 to 7",
            "Mean of race week's ratings, 1 (very, very low) to 7 (very, very high).",
        )
        for name in ("fatigue", "stress", "soreness", "poor_sleep")
    ),
    score(
        "hooper_index",
        "Hooper index, 4 to 28",
        "Mean over race week of the four ratings added up; only of days that have all four.",
    ),
    beats(
        "usual_resting_hr_bpm",
        "usual resting heart rate",
        "Median of the resting heart rates typed between 56 and 15 days before the race.",
    ),
    beats(
        "resting_hr_change_bpm",
        "resting heart rate against usual",
        "Mean resting heart rate of race week minus the athlete's usual one.",
        signed=True,
    ),
)

_INTENSITY = (
    fraction(
        "intensity_kept",
        "intensity kept",
        "Share of race-week time above the second threshold, over that share in a usual week.",
    ),
    fraction(
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
    fraction("easy_share", "easy time", "Share of race-week time below the first threshold."),
    fraction(
        "moderate_share", "moderate time", "Share of race-week time between the two thresholds."
    ),
    fraction("hard_share", "hard time", "Share of race-week time above the second threshold."),
    fraction(
        "known_intensity_share",
        "time of known intensity",
        "Share of race-week training time whose intensity could be read.",
    ),
)

_PAGE = (
    hours("sleep_h", "sleep", "Hours slept in the night that ended on the day."),
    Quantity(
        "removed_s",
        "taken out",
        "s",
        "min",
        1,
        "Time that a cleaning rule took out of the recordings.",
        scale=1 / 60,
    ),
    fraction(
        "probability", "chance", "How probable it is, given the published studies and the races."
    ),
    Quantity(
        "moved_sd",
        "moved by the races",
        "",
        "",
        2,
        "How far the athlete's races moved what published studies expect, in standard deviations "
        "of what was believed before; 0 is not at all.",
        signed=True,
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
    word(
        "repetitions",
        "repetitions",
        "Race week's session of repetitions: number, length and level.",
    ),
    word(
        "usual_repetitions",
        "usual repetitions",
        "The baseline's like session: usual number, length and level.",
    ),
    fraction(
        "repetitions_kept",
        "repetitions kept",
        "Number of repetitions in race week over the usual number of the like session.",
    ),
    fraction(
        "repetition_level_kept",
        "level of repetitions kept",
        "Speed or power of race week's repetitions over that of the like usual session.",
        decimals=1,
    ),
    days(
        "last_hard_d",
        "last hard session",
        "Days from the last session with enough hard minutes to the race.",
    ),
    word("opener", "opener", "A short session with brief hard work on day -1 or -2."),
    *(
        fraction(
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
        fraction(f"{name}_kept", f"{label} kept", f"{meaning}: race week over a usual week."),
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
        "Last week's load over the mean of the last four; shown for what it is, no guide to risk.",
    ),
)

_PANIC = (
    Quantity(
        "panic_sessions",
        "panic sessions",
        "sessions",
        "",
        0,
        "Sessions of the last ten days that were outside what the athlete usually does.",
    ),
    fraction(
        "panic_score",
        "time outside habit",
        "Share of the last ten days' training time that lay in panic sessions.",
    ),
    word(
        "emptied_week",
        "emptied week",
        "Whether race week held next to no training, or no hard work at all.",
    ),
)

GROUPS = (
    ("volume", _VOLUME),
    ("shape of the taper", _SHAPE),
    ("hard work", (*_INTENSITY, *_HARD_SESSIONS)),
    ("load", _LOADS),
    ("sleep", _SLEEP),
    ("travel", _TRAVEL),
    ("besides training", _EVERYDAY),
    ("panic", _PANIC),
    ("the race", _RACE),
    ("diary", _DIARY),
)
"""What is measured of a race week, by what it is about."""

QUANTITIES: dict[str, Quantity] = {
    quantity.name: quantity
    for group in (*(group for _, group in GROUPS), _PAGE)
    for quantity in group
}
"""Every quantity by name."""


def show(name: str, value: float) -> str:
    """A quantity's value as a person reads it.

    >>> show("volume_cut", 0.414)
    '41%'
    """
    return QUANTITIES[name].show(value)
