"""The diary below a strip: only where one was typed, with the same numbers as its table."""

from __future__ import annotations

from dataclasses import replace

import pytest

from report.diaries import diary_of
from report.studies import race_week, study
from taperback.raceweek.model import Measured
from taperback.report.charts.diary import diary_chart
from taperback.report.charts.figures import diary_figures
from taperback.report.page import charts, page_html
from taperback.report.sections.diary import DiaryView, diary_view
from taperback.report.sections.pair import pair
from taperback.report.view import page_view
from taperback.report.words.cells import race_refs

STUDY = study()
REFS = race_refs(STUDY.weeks)
TYPED = race_week(1)


def view_of(**changes: object) -> DiaryView:
    """The view of the one race that has a diary, some of its columns changed."""
    week = replace(TYPED, diary=TYPED.diary.assign(**changes))
    view = diary_view(week, REFS[week.race_id])
    assert view is not None
    return view


def traces(view: DiaryView) -> dict[str, dict]:
    return {trace["name"]: trace for trace in diary_chart(view)["data"]}


def test_a_race_without_a_diary_has_no_place_for_one() -> None:
    assert diary_view(race_week(0), REFS[race_week(0).race_id]) is None
    assert [bool(strip.diary) for strip in page_view(STUDY).strips] == [False, True] + [False] * 3
    bare = replace(STUDY, weeks=tuple(replace(w, diary=w.diary[:0]) for w in STUDY.weeks))
    assert "diary" not in page_html(page_view(bare)).partition("<script")[0].lower()


def test_only_what_was_typed_has_a_column_and_a_panel() -> None:
    view = view_of()
    assert view.columns == ("fatigue", "stress", "soreness", "resting heart rate, bpm")
    assert tuple(panel.label for panel in view.panels) == view.columns


def test_the_chart_has_the_numbers_of_the_table_and_gaps_where_there_are_none() -> None:
    view = view_of()
    line = traces(view)["fatigue"]
    drawn = {x: y for x, y in zip(line["x"], line["y"], strict=True) if y is not None}
    told = {day: float(numbers[0]) for day, numbers in view.numbers.items() if day}
    assert drawn == told
    assert not {-12, -11, 0} & drawn.keys()
    assert view.numbers_of(0) == view.numbers_of(-12) == ("–",) * 4


def test_massages_and_notes_are_marks_and_notes_are_words_below() -> None:
    view = view_of()
    assert traces(view)["massage"]["x"] == [-3]
    assert traces(view)["note"]["x"] == [-1]
    assert view.notes == (("the day before", "slept in a tent"),)
    assert view.massage_words == {-3: "massage", -2: "no massage"}
    remarks = {row.label: row.remarks for row in page_view(STUDY).strips[1].rows}
    assert remarks["3"].endswith("massage")
    assert remarks["2"].endswith("flag 3 (late), no massage")


def test_a_diary_of_notes_alone_is_drawn_as_marks() -> None:
    nothing = dict.fromkeys(("fatigue", "stress", "soreness", "resting_hr_bpm"), float("nan"))
    view = view_of(**nothing, massage=None)
    assert (view.columns, view.panels) == ((), ())
    assert list(traces(view)) == ["note"]


def test_a_diary_that_has_only_days_without_a_massage_is_no_chart_of_nothing() -> None:
    nothing = dict.fromkeys(("fatigue", "stress", "soreness", "resting_hr_bpm"), float("nan"))
    view = view_of(**nothing, massage=False, notes="")
    assert not view.drawn
    week = replace(TYPED, diary=TYPED.diary.assign(**nothing, massage=False, notes=""))
    weeks = tuple(week if w.race_id == week.race_id else w for w in STUDY.weeks)
    page = page_view(replace(STUDY, weeks=weeks))
    assert view.place not in charts(page)
    assert "Diary of B" not in page_html(page)
    assert any("no massage" in row.remarks for row in page.strips[1].rows)


@pytest.mark.parametrize("usual", [None, 52.0])
def test_the_usual_resting_heart_rate_is_a_dotted_line(usual: float | None) -> None:
    known = Measured("usual_resting_hr_bpm", usual, "" if usual else "too few days")
    week = replace(TYPED, measures={**TYPED.measures, "usual_resting_hr_bpm": known})
    view = diary_view(week, REFS[week.race_id])
    assert view is not None
    panel = view.panels[-1]
    assert (panel.usual, panel.ends) == (usual, (48.0, usual or 51.0))
    levels = [shape["y0"] for shape in diary_chart(view)["layout"]["shapes"]]
    assert (52.0 in levels) == (usual is not None)


def test_a_flood_of_a_note_is_cut_on_the_page() -> None:
    (note,) = view_of(notes=["W" * 10_000 if note else "" for note in TYPED.diary["notes"]]).notes
    assert len(note[1]) == 300


def test_means_stand_in_the_best_and_worst_table_where_a_week_has_them() -> None:
    fatigue = Measured("fatigue", 3.4, basis="the mean", caveat="5 of 7 days")
    weeks = tuple(
        replace(w, measures={**w.measures, "fatigue": fatigue}) if w.name == TYPED.name else w
        for w in STUDY.weeks
    )
    made = pair(weeks, STUDY.asked, REFS)
    found = {label: (a.text, b.text) for label, a, b in (*made.rows, *made.more)}
    assert found["fatigue, 1 to 7"] == ("unknown", "3.4 (5 of 7 days)")
    assert "stress, 1 to 7" not in found


def test_the_figures_are_there_for_a_notebook() -> None:
    assert list(diary_figures(STUDY)) == [TYPED.race_id]
    assert len(diary_of(TYPED.day0)) == len(page_view(STUDY).strips[1].diary.numbers)
