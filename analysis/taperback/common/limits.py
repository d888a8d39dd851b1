"""The limits that decide something, each with its reason in `shared/limits.toml`.

A section is a `Section` and a limit a field of it: `LIMITS.sleep.fewest_race_nights`. A limit
without a field, a field without a limit and a value of another type are refused when this is
loaded. A new limit is two lines: one in `shared/limits.toml` below its reason, and its field here
or in `importer_limits`. A test sets another value with `vars(LIMITS.sleep)["fewest_race_nights"]`.
"""

from __future__ import annotations

from collections.abc import Mapping

from taperback.common.files.resources import shared_toml
from taperback.common.files.typed_toml import Section, as_dataclass
from taperback.common.importer_limits import (
    Archives,
    Bouts,
    Cleaning,
    Clocks,
    Copies,
    Fit,
    Formats,
    Nights,
    People,
    Reading,
    SleepJson,
    Store,
)


class Panic(Section):
    """The rules of panic training; an athlete may change them in `athlete.toml`."""

    first_day: float
    last_day: float
    percentile: float
    clearly: float
    late_first_day: float
    late_hard_min: float
    fewest_baseline_sessions: float
    opener_hard_min: float
    fewest_hard_sessions: float
    catching_up_above: float
    catching_up_below: float
    catching_up_habit: float
    first_time_min: float
    on_feet_first_day: float
    on_feet_above: float
    on_feet_least_min: float


class PanicRanges(Section):
    """What an athlete may set each limit of `Panic` to, lowest and highest."""

    first_day: tuple[int, int]
    last_day: tuple[int, int]
    late_first_day: tuple[int, int]
    on_feet_first_day: tuple[int, int]
    on_feet_above: tuple[float, float]
    percentile: tuple[float, float]
    clearly: tuple[float, float]
    catching_up_above: tuple[float, float]
    catching_up_below: tuple[float, float]
    catching_up_habit: tuple[float, float]
    fewest_baseline_sessions: tuple[int, int]
    fewest_hard_sessions: tuple[int, int]
    other: tuple[int, int]


class Emptied(Section):
    """When a race week counts as emptied."""

    least_share: float
    no_hard_min: int


class Baseline(Section):
    """The weeks before the taper that a race week is measured against."""

    first_day: int
    last_day: int
    block_days: int
    fewest_blocks: int
    older_first_day: int
    recovery_days: int


class Sleep(Section):
    """How many nights it takes, and when two sources of one night differ."""

    fewest_race_nights: int
    fewest_baseline_nights: int
    sources_apart_h: float


class Diary(Section):
    """How many typed days a habit takes."""

    fewest_usual_days: int


class Intensity(Section):
    """How much of the time must have a known intensity, and what a hard session is."""

    fewest_known_share: float
    fewest_known_share_of_sums: float
    highest_held_s: int
    own_heart_within: float
    lowest_highest_bpm: int
    most_hard_share: float
    hard_session_min: int


class Load(Section):
    """How much of the time must have a load."""

    fewest_known_share: float


class Opener(Section):
    """The short session with brief hard work before a race."""

    first_day: int
    last_day: int
    longest_min: int
    fewest_hard_min: float
    most_hard_min: int


class Critical(Section):
    """Which best efforts carry a critical power or speed."""

    fewest_efforts: int
    shortest_s: int
    longest_s: int
    spread_ratio: float
    largest_se_share: float
    reserve: Mapping[str, tuple[int, int]]


class NextWeek(Section):
    """How a planned session is rounded, and where in the week the hard part lies."""

    minutes_step: int
    shortest_min: int
    last_hard_day: int
    hard_day: int
    hard_day_share: float
    hard_share: float
    near_share: float
    opener_min: int


class Repetitions(Section):
    """Which bouts are repetitions of one another, and what they are called by."""

    fewest: int
    hard_from: Mapping[str, float]
    alike_duration: float
    alike_level: float
    alike_size: float
    named_distance: float
    named_time: float
    times_s: tuple[int, ...]
    distances_m: Mapping[str, tuple[int, ...]]


class Journal(Section):
    """What a typed value may be before it is taken for a slip of the hand."""

    first_year: int
    last_year: int
    most_bytes: Mapping[str, int]
    most_rows: Mapping[str, int]
    most_columns: int
    most_cell_letters: int
    most_key_parts: int
    most_cells: int
    most_part_bytes: Mapping[str, int]
    most_parts: int
    most_bytes_here: int
    longest_s: float
    most_memory_bytes: int
    finish_share: tuple[float, float]
    fastest_mps: float
    shortest_sprint_s: float
    longest_bare_h: float
    longest_by_hundredths_s: float
    longest_session_h: float
    longest_shift_h: float
    date_line_h: float
    widest_distance_ratio: float
    riegel_shortest_s: float
    very_short_night_h: float
    fewest_very_short_nights: int


class Calendar(Section):
    """When days without a file are a gap in the records."""

    unknown_run_days: int
    open_days: int


class RaceDay(Section):
    """Which legs are the race, and how far its file and its typed time may differ."""

    past_midnight_h: int
    joined_min: int
    part_of_race_share: float
    not_the_race_ratio: float
    event_gap_days: int
    times_apart_share: float
    times_far_apart_share: float
    results_far_apart_share: float
    longest_after_files_days: int
    shortest_leg_min: int


class Travel(Section):
    """Home, away, and which trip is the way to a race."""

    trip_days: int
    home_km: int
    away_km: int
    near_step_km: int
    far_step_km: int
    fewest_home_legs: int
    move_days: int
    homeward_days: int


class Taper(Section):
    """When volume counts as reduced, and which shapes are distinguished."""

    reduced_share: float
    time_constants_d: tuple[int, ...]
    shapes_apart: float
    fewest_fit: float
    long_share: float


class Points(Section):
    """Which races are one point of the evidence."""

    week_days: int


class Squad(Section):
    """What a coach looks at first."""

    race_near_d: int


class Strength(Section):
    """What each strength of a factor takes."""

    supported_p: float
    supported_sure: float
    strong_p: float
    strong_sure: float
    leaning_sure: float
    leaning_bits: float
    leaning_from: tuple[int, ...]
    leaning_p: tuple[float, ...]
    with_time_p: float
    hardly_sd: float
    somewhat_sd: float
    hardly_cut: float
    somewhat_cut: float


class Draft(Section):
    """Which recordings are proposed as races."""

    gap_min: int
    multisport_tolerance: float
    multisport_km: Mapping[str, Mapping[str, tuple[float, float, float]]]
    race_m: Mapping[str, Mapping[str, float]]
    race_tolerance: tuple[float, float]
    rival_share: float
    long_rival_share: float
    faster_than_habit: float
    perhaps_faster: float
    long_race_min: float
    eased_share: float
    rested_share: float
    far_longer_ratio: float
    usual_long_share: float
    longest_days: int
    short_start_min: float
    habit_days: int
    fewest_sessions: int


class Sessions(Section):
    """When a typed session is one of a file, and when what does not count is said first."""

    same_within: float
    besides_share: float


class Page(Section):
    """What the report's page points out."""

    eventful_intensity: tuple[float, float]
    eventful_sleep_h: float


class Limits(Section):
    """Every section of `shared/limits.toml`."""

    panic: Panic
    panic_ranges: PanicRanges
    emptied: Emptied
    baseline: Baseline
    sleep: Sleep
    diary: Diary
    intensity: Intensity
    load: Load
    opener: Opener
    critical: Critical
    next_week: NextWeek
    cleaning: Cleaning
    bouts: Bouts
    repetitions: Repetitions
    formats: Formats
    fit: Fit
    copies: Copies
    people: People
    nights: Nights
    clocks: Clocks
    sessions: Sessions
    sleep_json: SleepJson
    reading: Reading
    store: Store
    journal: Journal
    archives: Archives
    calendar: Calendar
    race_day: RaceDay
    travel: Travel
    taper: Taper
    points: Points
    squad: Squad
    strength: Strength
    page: Page
    draft: Draft


LIMITS = as_dataclass(Limits, shared_toml("limits.toml"), "limits.toml")
