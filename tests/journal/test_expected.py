"""An expected time that nobody typed is an estimate, is called one, and replaces no typed one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from taperback.journal.load import read_journal
from taperback.journal.model import Journal

HEAD = "date,name,sports,distance,finish_time,expected_time,reference_time,status\n"


def journal(tmp_path: Path, *rows: str) -> Journal:
    (tmp_path / "athlete.toml").write_text('name = "Ada"\nhome_zone = "Europe/Lisbon"\n')
    (tmp_path / "races.csv").write_text(HEAD + "".join(f"{row}\n" for row in rows))
    return read_journal(tmp_path)


def test_earlier_results_over_the_distance_make_an_estimate(tmp_path: Path) -> None:
    told = journal(
        tmp_path,
        "2030-05-01,A,triathlon,olympic,2:20:00,,,",
        "2030-07-01,B,triathlon,Olympic,2:16:00,,,",
        "2030-09-01,C,triathlon,olympic,2:15:00,,,",
    )
    expected = told.races["expected_time_s"].tolist()
    assert np.isnan(expected[0])
    assert expected[1:] == [8400.0, 8280.0]
    assert told.races["expected_source"].tolist() == [
        "",
        "an estimate: the median of 1 earlier result over the distance",
        "an estimate: the median of 2 earlier results over the distance",
    ]
    assert [str(notice) for notice in told.notices] == [
        "races.csv, row 3, expected_time: none is typed; 2:20:00 is used, an estimate: "
        "the median of 1 earlier result over the distance",
        "races.csv, row 4, expected_time: none is typed; 2:18:00 is used, an estimate: "
        "the median of 2 earlier results over the distance",
    ]
    assert not told.has_faults


def test_a_typed_time_stays_and_is_not_called_an_estimate(tmp_path: Path) -> None:
    told = journal(
        tmp_path,
        "2030-05-01,A,run,10 km,40:00,,,",
        "2030-07-01,B,run,10 km,39:00,39:30,,",
    )
    assert told.races["expected_time_s"].iloc[1] == 2370.0
    assert told.races["expected_source"].iloc[1] == ""
    assert told.notices == ()


def test_a_typed_time_that_cannot_be_read_is_not_replaced_by_an_estimate(tmp_path: Path) -> None:
    told = journal(
        tmp_path,
        "2030-05-01,A,run,10 km,40:00,,,",
        "2030-07-01,B,run,10 km,39:00,soon,,",
    )
    assert np.isnan(told.races["expected_time_s"].iloc[1])
    assert [str(notice) for notice in told.notices] == [
        "races.csv, row 3, expected_time: 'soon' is not a time; write it as h:mm:ss"
    ]


def test_riegels_exponent_over_another_distance(tmp_path: Path) -> None:
    # Riegel 1981, Am Sci 69:285-290: T2 = T1 (D2 / D1)^1.06; 40:00 over 10 km is 1:28:16 over 21.1
    told = journal(
        tmp_path,
        "2030-05-01,A,run,10 km,40:00,,,",
        "2030-07-01,B,run,half marathon,1:29:00,,,",
    )
    assert told.races["expected_time_s"].iloc[1] == pytest.approx(2400 * 2.10975**1.06)
    assert told.races["expected_source"].iloc[1] == (
        "an estimate: 10 km on 2030-05-01 by Riegel's exponent 1.06"
    )


@pytest.mark.parametrize(
    "rows",
    [
        ("2030-05-01,A,run,5 km,20:00,,,", "2030-07-01,B,run,marathon,3:20:00,,,"),
        ("2030-05-01,A,run,10 km,40:00,,,dnf", "2030-07-01,B,run,10 km,39:00,,,"),
        ("2030-05-01,A,bike,40 km,1:00:00,,,", "2030-07-01,B,run,10 km,39:00,,,"),
        ("2030-05-01,A,triathlon,olympic,2:20:00,,,", "2030-07-01,B,triathlon,sprint,1:05:00,,,"),
        ("2030-05-01,A,run,,40:00,,,", "2030-07-01,B,run,,39:00,,,"),
    ],
)
def test_nothing_is_estimated_from_what_does_not_compare(
    tmp_path: Path, rows: tuple[str, ...]
) -> None:
    assert journal(tmp_path, *rows).races["expected_time_s"].isna().all()


def test_reference_times_are_measured_and_need_no_estimate(tmp_path: Path) -> None:
    told = journal(
        tmp_path,
        "2030-05-01,A,run,10 km,40:00,,38:00,",
        "2030-07-01,B,run,10 km,39:00,,37:00,",
    )
    assert told.races["expected_time_s"].isna().all()


def test_an_estimate_of_a_sprint_is_exact_to_the_hundredth_and_no_sprint_tells_another(
    tmp_path: Path,
) -> None:
    told = journal(
        tmp_path,
        "2030-05-01,A,swim,100 m,59.87,,,",
        "2030-05-02,B,swim,100 m,1:00.11,,,",
        "2030-07-01,C,swim,100 m,59.50,,,",
        "2030-07-02,D,swim,200 m,2:09.31,,,",
    )
    assert told.races["expected_time_s"].iloc[1:3].tolist() == pytest.approx([59.87, 59.99])
    assert np.isnan(told.races["expected_time_s"].iloc[3]), "a minute is no race of endurance"
    assert str(told.notices[-1]).startswith("races.csv, row 4, expected_time: none is typed; 59.99")


def test_a_stage_is_no_earlier_result_for_the_next_one(tmp_path: Path) -> None:
    """What a runner did yesterday in the same event says nothing of what to expect today."""
    (tmp_path / "athlete.toml").write_text('name = "Ada"\nhome_zone = "Europe/Lisbon"\n')
    (tmp_path / "races.csv").write_text(
        "date,name,sports,distance,finish_time,event\n"
        "2030-06-01,One,run,48 km,6:00:00,Ridge\n"
        "2030-06-02,Two,run,40 km,5:00:00,ridge\n"
        "2030-06-03,Three,run,40 km,5:06:00,Ridge\n"
        "2031-06-01,One,run,48 km,5:50:00,Ridge\n"
    )
    told = read_journal(tmp_path).races["expected_time_s"]
    assert told.iloc[:3].isna().all()
    assert told.iloc[3] == 21600.0, "last year's stage is one"
