"""The charts as plain data, and as figures that plotly itself accepts."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from report.studies import RACES, evidence, race_id, study
from taperback.common.outcomes import RESULT
from taperback.report.charts.factors import factor_chart, letter_places
from taperback.report.charts.figures import effects_figure, factor_figures, race_week_figures
from taperback.report.charts.theme import colours
from taperback.report.charts.weeks import week_chart
from taperback.report.sections.factors import FactorView, factor_views
from taperback.report.sections.panic import flag_numbers
from taperback.report.sections.week_strips import Strip, strips
from taperback.report.words.cells import race_refs

STUDY = study()
REFS = race_refs(STUDY.weeks)


def strip(place: int) -> Strip:
    """The strip of the race at that place."""
    numbers = flag_numbers(STUDY.weeks)
    return strips(STUDY.weeks, RESULT, REFS, (), numbers)[place]


def traces(chart: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The chart's traces by name."""
    return {trace["name"]: trace for trace in chart["data"]}


def view(name: str) -> FactorView:
    """The view of a factor."""
    return next(v for v in factor_views(evidence(), REFS) if v.factor == name)


class TestWeekChart:
    def test_bars_hold_each_sports_hours_and_never_race_day(self) -> None:
        found = traces(week_chart(strip(0), 2.4))
        assert {"swim", "bike", "run"} < set(found)
        assert found["bike"]["x"] == list(range(-21, 0))
        assert found["bike"]["y"][1] == 2.0

    def test_hard_minutes_stand_on_the_days_bar(self) -> None:
        hard = traces(week_chart(strip(0), 2.4))["hard minutes"]
        assert set(hard["text"]) == {"12"}
        assert hard["y"][0] == pytest.approx(0.8)

    def test_rest_and_unknown_days_have_different_signs(self) -> None:
        still = traces(week_chart(strip(0), 2.4))["rest or unknown"]
        signs = dict(zip(still["x"], still["text"], strict=True))
        assert (signs[-17], signs[-13]) == ("?", "·")

    def test_an_unknown_night_is_a_gap_not_a_nought(self) -> None:
        sleep = traces(week_chart(strip(0), 2.4))["sleep"]
        assert sleep["y"][sleep["x"].index(-12)] is None
        assert sleep["connectgaps"] is False

    def test_a_panel_that_nobody_recorded_is_not_there(self) -> None:
        nan = float("nan")
        points = tuple(replace(p, sleep_h=nan) for p in strip(0).points)
        chart = week_chart(replace(strip(0), points=points), 2.4, 1.5)
        assert not {"sleep", "does not count"} & set(traces(chart))
        assert not {"yaxis2", "yaxis3"} & set(chart["layout"])
        titles = [note["text"] for note in chart["layout"]["annotations"]]
        assert "training, h" in titles and "sleep, h" not in titles

    def test_an_hour_is_as_high_in_every_strip(self) -> None:
        pixels = []
        for n in range(5):
            layout = week_chart(strip(n), 2.4, float(n))["layout"]
            low, high = layout["yaxis"]["domain"]
            plot = layout["height"] - layout["margin"]["t"] - layout["margin"]["b"]
            pixels.append(round((high - low) * plot))
        assert len(set(pixels)) == 1

    def test_a_very_short_night_stays_inside_its_panel(self) -> None:
        points = tuple(replace(p, sleep_h=2.5) for p in strip(0).points)
        low, _ = week_chart(replace(strip(0), points=points), 2.4)["layout"]["yaxis2"]["range"]
        assert low == 2.5

    def test_sports_differ_without_colour(self) -> None:
        sports = ("swimming", "cycling", "running", "rowing")
        bars = week_chart(replace(strip(0), sports=sports), 2.4)["data"][:4]
        assert len({bar["marker"]["pattern"]["shape"] for bar in bars}) == 4

    def test_numbers_of_neighbouring_days_do_not_run_into_one_another(self) -> None:
        marks = [(10, -4), (11, -3), (12, -3), (13, -2), (1, -7)]
        flags = tuple(replace(strip(1).flags[0], number=n, days_to_race=d) for n, d in marks)
        found = traces(week_chart(replace(strip(1), flags=flags), 2.4))["panic flag"]
        height = dict(zip(found["x"], found["y"], strict=True))
        assert height[-4] != height[-3] != height[-2]
        assert height[-7] == height[-4]

    def test_flags_fall_on_their_days_with_the_pages_numbers(self) -> None:
        flags = traces(week_chart(strip(1), 2.4))["panic flag"]
        assert flags["x"] == [-5, -4, -2]
        assert flags["text"] == ["<b>1</b>", "<b>2</b>", "<b>3</b>"]

    def test_two_flags_on_a_day_share_a_mark(self) -> None:
        doubled = replace(
            strip(1), flags=tuple(replace(flag, days_to_race=-4) for flag in strip(1).flags)
        )
        flags = traces(week_chart(doubled, 2.4))["panic flag"]
        assert (flags["x"], flags["text"]) == ([-4], ["<b>1,2,3</b>"])

    def test_all_strips_share_both_axes(self) -> None:
        layouts = [week_chart(strip(n), 2.4)["layout"] for n in range(5)]
        for axis in ("xaxis", "yaxis", "yaxis2"):
            assert all(layout[axis]["range"] == layouts[0][axis]["range"] for layout in layouts)

    def test_being_away_is_drawn_from_departure_with_the_day_of_arrival(self) -> None:
        layout = week_chart(strip(4), 2.4)["layout"]
        texts = [note["text"] for note in layout["annotations"]]
        assert texts[:2] == ["training, h", "sleep, h"]
        assert texts[2:] == ["away, arrived −2", "4% more", "12% less", "55% less"]
        assert any(shape["x0"] == -3 and shape["x1"] == 0 for shape in layout["shapes"])

    def test_without_a_baseline_no_band_is_drawn(self) -> None:
        bare = replace(strip(0), usual_day_h=None, usual_night_h=None)
        kinds = [shape["type"] for shape in week_chart(bare, 2.4)["layout"]["shapes"]]
        assert "rect" not in kinds
        assert "rect" in [s["type"] for s in week_chart(strip(0), 2.4)["layout"]["shapes"]]


class TestFactorChart:
    def test_both_estimates_have_line_and_band(self) -> None:
        names = list(traces(factor_chart(view("volume_cut"))))
        assert names == [
            "published studies, 90% interval",
            "published studies",
            "with your races, 90% interval",
            "with your races",
            "most weight",
            "races",
        ]

    def test_the_rules_range_is_a_column_that_ends_with_the_axis(self) -> None:
        layout = factor_chart(view("sleep_change_h"))["layout"]
        assert layout["shapes"][0]["x0"] == 0.0
        assert layout["shapes"][0]["x1"] == layout["xaxis"]["range"][1]

    def test_letters_of_close_races_stand_on_different_sides(self) -> None:
        made = view("volume_cut")
        near = replace(made, points=tuple(replace(p, x=1.0, y=1.0) for p in made.points))
        assert letter_places(near) == [
            "middle left",
            "top center",
            "bottom center",
            "middle right",
        ]
        far = tuple(replace(p, x=30.0 * n, y=float(n)) for n, p in enumerate(made.points))
        assert set(letter_places(replace(made, points=far))) == {"middle right"}


class TestFigures:
    def test_plotly_accepts_every_week(self) -> None:
        figures = race_week_figures(STUDY)
        assert list(figures) == [race_id(place) for place in range(len(RACES))]
        assert figures[race_id(0)].layout.xaxis.range == (-21.7, 0.9)

    def test_plotly_accepts_every_factor_in_the_light_colours(self) -> None:
        figures = factor_figures(STUDY)
        assert list(figures) == [
            *("volume_cut", "intensity_kept"),
            *("sleep_change_h", "body_clock_lag_h"),
        ]
        races = next(trace for trace in figures["volume_cut"].data if trace.name == "races")
        assert races.marker.color == colours("light")["ink"]
        assert len(effects_figure(STUDY).data) == 4

    def test_the_other_outcome_can_be_drawn(self) -> None:
        figures = factor_figures(study(outcome="rpe"))
        assert figures["volume_cut"].layout.yaxis.title.text == "race RPE"


def test_what_does_not_count_stands_in_bars_of_a_day_however_few() -> None:
    points = tuple(
        replace(p, besides={"walking": 1.5} if p.days_to_race in (-9, -3) else {})
        for p in strip(0).points
    )
    chart = week_chart(replace(strip(0), points=points), 4.0, 1.5)
    bars = traces(chart)["does not count"]
    assert "does not count, h" in [note["text"] for note in chart["layout"]["annotations"]]
    assert (bars["x"], bars["y"]) == ([-9, -3], [1.5, 1.5])
    assert bars["width"] <= 1
