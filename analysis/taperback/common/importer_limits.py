"""The sections of `shared/limits.toml` that decide how files become legs; see `limits`."""

from __future__ import annotations

from collections.abc import Mapping

from taperback.common.files.typed_toml import Section


class Cleaning(Section):
    """What no recording can hold, and how gaps, standing and clocks are judged."""

    heart_rate_low_bpm: int
    heart_rate_high_bpm: int
    power_high_w: int
    speed_high_mps: Mapping[str, float]
    stuck_heart_rate_s: int
    stuck_power_s: int
    spike_heart_rate_bpm: int
    spike_speed_mps: float
    spike_power_w: int
    gap_s: int
    gap_steps: int
    longest_gap_s: int
    fewest_steps: int
    standing_mps: float
    standing_window_s: float
    standing_sports: tuple[str, ...]
    silent_share: float
    taken_out_share: float
    jumps_share: float
    climb_mps: float
    climb_window_s: int
    on_the_spot_share: float
    effort_heart_rate_bpm: int
    speed_apart_share: float
    speed_window_s: int
    clock_back_s: int
    clock_ahead_s: int
    clock_run_s: int
    start_before_s: int
    oldest_year: int
    first_year: int
    last_year: int
    longest_s: int
    least_recorded_share: float
    best_known_share: float
    ascent_window_s: int


class Bouts(Section):
    """How stretches of work are separated from easier time."""

    shortest_session_s: int
    level_ratio: float
    between_share: float
    idle_share: float
    easier_share: float
    block_s: int
    window_s: int
    coasting_s: int
    change_s: tuple[int, ...]
    nearly: float
    shortest_s: int


class Formats(Section):
    """Bounds of what one file of any format can hold."""

    most_points: int
    most_activities: int
    deepest: int
    outings_apart_s: int
    outings_within_s: int
    outing_points: int
    most_alike: int
    most_nights: int


class Fit(Section):
    """Bounds of a FIT file, and how far its clocks are believed."""

    most_messages: int
    most_definitions: int
    most_parts: int
    most_sessions: int
    most_fields_decoded: int
    most_hr_bytes: int
    far_away_s: int
    session_far_away_s: int
    longest_offset_s: int
    timer_slack_s: int
    longest_waking_s: int
    longest_stage_s: int


class Copies(Section):
    """When two recordings are one activity."""

    overlap_share: float
    much_longer: float
    longest_s: int


class People(Section):
    """When sessions of several folders are those of several people."""

    at_once_s: int
    fewest_days: int
    copy_start_s: int
    copy_apart_m: int
    copy_share: float


class Nights(Section):
    """Which stretches of sleep are one night, and which are naps."""

    near_leg_h: int
    apart_h: int
    nap_h: int
    day_from_h: int
    day_to_h: int


class Clocks(Section):
    """When a file's date is doubted."""

    lonely_days: int
    lonely_files: int
    lonely_share: float
    name_apart_days: int
    silent_days: int
    habit_days: int
    habit_share: float


class SleepJson(Section):
    """Bounds of a sleep record, and how many remarks one file may bring."""

    longest_frame_h: int
    rounding_s: int
    most_remarks: int
    most_foreign: int


class Reading(Section):
    """Bounds of reading a folder: depth, time, memory, processes."""

    deepest_folder: int
    fewest_bytes_for_workers: int
    most_bytes_here: int
    members_a_job: int
    most_jobs_an_archive: int
    longest_s: float
    longest_s_a_member: int
    most_memory_bytes: int
    most_tries: int
    many_unread: int
    many_unread_share: float
    write_every_s: float


class Store(Section):
    """Bounds of what is kept in the user's cache folder."""

    most_bytes: int
    most_bytes_a_row: int
    most_bytes_a_study: int
    most_bytes_in_all: int
    keep_unused_days: int
    keep_gone_days: int
    longest_s: float


class Archives(Section):
    """Bounds of an archive."""

    deepest: int
    most_members: int
    most_directory_bytes: int
    most_bytes: int
    most_bytes_in_all: int
    highest_ratio: int
    always_bytes: int
