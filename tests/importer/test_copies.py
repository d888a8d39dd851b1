"""Which of two files about one activity stays."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pandas as pd

from importer.test_samples import START, every_second, recording
from importer.test_summary import summary
from taperback.importer.duplicates import drop_copies
from taperback.importer.local_day import place_legs
from taperback.importer.model import LegSummary, legs_frame

LEG = summary(recording(every_second(1000), "cycling", speed_mps=9.0))
WATTS = np.array([1000], np.int32)


def leg(file: str, since_s: float = 0, lasts_s: float = 1000, **more: object) -> LegSummary:
    start = START + timedelta(seconds=since_s)
    return replace(LEG, file=file, digest=file, start_utc=start, elapsed_s=lasts_s, **more)


def kept(*legs: LegSummary) -> list[str]:
    placed = place_legs(legs_frame(list(legs)), "Etc/UTC")
    left, copies = drop_copies(placed)
    assert len(left) + len(copies) == len(legs)
    return left["file"].tolist()


def test_an_overlap_of_over_80_percent_of_the_shorter_is_one_activity() -> None:
    assert kept(leg("a.fit"), leg("b.fit", since_s=190)) == ["a.fit"]
    assert kept(leg("a.fit"), leg("b.fit", since_s=210)) == ["a.fit", "b.fit"]
    assert kept(leg("a.fit"), leg("b.fit", since_s=300, lasts_s=100)) == ["a.fit"]


def test_more_channels_win() -> None:
    assert kept(leg("a.fit"), leg("b.gpx", power_seconds=WATTS, file_format="gpx")) == ["b.gpx"]


def test_with_the_same_channels_the_richer_format_wins() -> None:
    assert kept(leg("a.gpx", file_format="gpx"), leg("b.fit"), leg("c.tcx", file_format="tcx")) == [
        "b.fit"
    ]


def test_with_the_same_channels_and_format_the_multisport_file_wins() -> None:
    assert kept(leg("a.fit"), leg("race.fit", legs_in_file=5)) == ["race.fit"]


def test_else_the_first_name_wins() -> None:
    assert kept(leg("b.fit"), leg("a.fit")) == ["a.fit"]


def test_two_sports_at_one_time_are_two_activities() -> None:
    assert kept(leg("a.fit"), leg("b.fit", sport="running")) == ["a.fit", "b.fit"]


def test_a_file_without_a_sport_is_a_copy_of_one_with_it_and_never_the_reverse() -> None:
    whole = leg("whole.gpx", lasts_s=3000, sport="generic", power_seconds=WATTS)
    swim, ride = leg("swim.fit", sport="swimming"), leg("ride.fit", since_s=1000)
    assert kept(whole, swim, ride) == ["swim.fit", "ride.fit"]


def test_the_whole_stays_and_a_piece_goes_even_where_the_piece_is_richer() -> None:
    whole = leg("whole.fit", lasts_s=3000, moving_s=3000.0)
    piece = leg("piece.fit", since_s=500, power_seconds=WATTS)
    assert kept(whole, piece) == ["whole.fit"]


def test_pieces_that_make_up_the_whole_stay_where_they_are_richer() -> None:
    whole = leg("whole.fit", lasts_s=2000, moving_s=2000.0)
    pieces = [leg(f"{s}.fit", since_s=s, power_seconds=WATTS) for s in (0, 1000)]
    assert kept(whole, *pieces) == ["0.fit", "1000.fit"]


def test_an_activity_across_midnight_and_hours_is_still_found() -> None:
    long = leg("long.fit", since_s=-7200, lasts_s=30_000)
    assert kept(long, leg("z.fit", since_s=20_000, lasts_s=2000)) == ["long.fit"]


def test_copies_say_what_they_are_copies_of() -> None:
    placed = place_legs(legs_frame([leg("a.fit"), replace(leg("b.fit"), digest="a.fit")]), "UTC")
    _, copies = drop_copies(placed)
    assert copies.values.tolist() == [["b.fit", 0, "a.fit.0", "the same bytes"]]


def test_no_legs_give_no_copies() -> None:
    left, copies = drop_copies(place_legs(legs_frame([]), "Etc/UTC"))
    assert left.empty
    assert isinstance(copies, pd.DataFrame)


def test_what_only_a_copy_knows_is_kept_from_it() -> None:
    rates = np.array([0, 1000], np.int32)
    richer = leg("a.fit", power_seconds=WATTS, heart_rate_seconds=None, session_rpe=np.nan)
    copy = leg(
        "b.tcx", file_utc_offset_s=7200.0, session_rpe=6.0, heart_rate_seconds=rates,
        mean_heart_rate_bpm=141.0,
    )  # fmt: skip
    placed = place_legs(legs_frame([richer, copy]), "Etc/UTC")
    left, _ = drop_copies(placed)
    only = left.iloc[0]
    assert only["file"] == "a.fit"
    assert (only["file_utc_offset_s"], only["session_rpe"]) == (7200.0, 6.0)
    assert only["mean_heart_rate_bpm"] == 141.0
    assert only["heart_rate_seconds"] is rates


def test_a_damaged_twin_never_wins_over_a_sound_one() -> None:
    damaged = leg("a.fit", damaged=True, power_seconds=WATTS)
    assert kept(damaged, leg("b.gpx", file_format="gpx", sport="generic")) == ["b.gpx"]
