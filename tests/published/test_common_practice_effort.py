"""What coaches do in race week, from samples to sentence. Common practice, no source."""

from __future__ import annotations

import numpy as np

from build import journal, leg
from importer.test_samples import every_second, recording
from raceweek.efforts import kilometres, measured_by
from taperback.importer.model import Bout
from taperback.importer.summary.bouts import find_bouts
from taperback.importer.summary.samples import clean
from taperback.raceweek.factors.intervals import intervals

AREA = "measures"
PRACTICE = "common practice, no source"
RNG = np.random.default_rng(20300630)


def track_session(repetitions: int, pace_s: float) -> tuple[Bout, ...]:
    """Bouts of a run with that many kilometres at that pace [s/km], found in its samples."""
    easy, jog = np.full(900, 2.8), np.full(120, 2.1)
    work = np.full(round(pace_s), 1000 / pace_s)
    parts = [easy, *[part for _ in range(repetitions) for part in (work, jog)], easy]
    speed = np.concatenate(parts)
    speed = speed * (1 + 0.03 * RNG.standard_normal(len(speed)))
    run = recording(every_second(len(speed)), speed_mps=speed)
    return find_bouts(run, clean(run))


def test_a_track_session_of_five_repetitions_becomes_three_at_the_same_pace(outside) -> None:
    usual = [leg(k, bouts=track_session(5, 225)) for k in range(-56, -7, 7)]
    easy = [leg(k) for k in range(-55, -7, 2)]
    week = [leg(-5, bouts=track_session(3, 225)), leg(-3)]
    got = measured_by(intervals, [*usual, *easy, *week], journal(thresholds=()))
    assert str(got["repetitions"].value).startswith("3 x 1 km at 3:4")
    assert str(got["usual_repetitions"].value).startswith("5 x 1 km at 3:4")
    kept, level = got["repetitions_kept"].value, got["repetition_level_kept"].value
    source = "a track session of five repetitions becomes three at the same pace"
    outside("repetitions kept, from samples", 0.6, kept, 1e-9, source, PRACTICE)
    outside("pace kept in the repetitions, from samples", 1.0, level, 0.01, source, PRACTICE)


def test_an_opener_is_about_35_minutes_with_under_two_hard_ones(outside) -> None:
    bursts = tuple(Bout(900.0 + 150 * k, 25, 250, 10.0, 320, 150) for k in range(4))
    habit = [leg(k, "cycling") for k in range(-56, -1, 2)]
    short = leg(-1, "cycling", 35 / 60, hard_min=0, bouts=bursts)
    opener = measured_by(intervals, [*habit, short])["opener"]
    source = "a short ride of about 35 min with under two minutes of hard work, the day before"
    told = "day \u22121: 35 min of cycling with 2 min hard"
    outside("the opener, as it is told", told, str(opener.value), 0, source, PRACTICE)


def test_the_last_quality_run_is_about_five_days_before(outside) -> None:
    usual = [kilometres(k, 5, 225) for k in range(-56, -7, 7)]
    easy = [leg(k) for k in range(-55, -7, 2)]
    opener = leg(-1, "running", 20 / 60, hard_min=1.5)
    got = measured_by(intervals, [*usual, *easy, kilometres(-5, 3, 225), opener])
    source = "last quality run about five days before, accelerations the day before apart"
    outside("days from the last hard session", 5, got["last_hard_d"].value, 0, source, PRACTICE)
