"""Each factor's points, lines and sentences, finished."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from report.studies import evidence, factor, race_id, rpe_evidence, study
from taperback.raceweek.model import Measured
from taperback.report.charts.effects import effects_chart
from taperback.report.sections.factors import FactorView, effects_view, factor_views
from taperback.report.words.cells import race_refs
from taperback.report.words.events import events

REFS = race_refs(study().weeks)


def views(**changes: object) -> dict[str, FactorView]:
    """Views of the study's factors, by name."""
    return {view.factor: view for view in factor_views(replace(evidence(), **changes), REFS)}


def test_points_are_in_the_pages_units_and_have_the_races_letters() -> None:
    points = views()["volume_cut"].points
    assert [point.key for point in points] == ["A", "B", "C", "D"]
    assert [point.x for point in points] == pytest.approx([46, 8, 52, 44])
    assert (points[1].x_text, points[1].y_text) == ("8%", "−1.9%")


def test_the_race_with_most_weight_and_those_against_it_are_marked() -> None:
    found = views()
    assert [p.key for p in found["sleep_change_h"].points if p.weighs] == ["D"]
    assert [p.key for p in found["volume_cut"].points if p.against] == ["D"]
    assert "Race D (ringed) has most weight: it pulls the line down to the right." in (
        found["sleep_change_h"].how_to_read
    )
    assert found["volume_cut"].points[3].remark == "has most weight, speaks against it"


def test_lines_say_what_they_compare_with() -> None:
    found = views()
    assert (
        "The lines compare each cut with no cut, so their bands have no width at 0%."
        in found["volume_cut"].how_to_read
    )
    assert any("average week" in line for line in found["sleep_change_h"].how_to_read)


def test_what_else_was_unusual_stands_at_the_points() -> None:
    weeks = study().weeks
    made = {
        view.factor: {point.key: point.events for point in view.points}
        for view in factor_views(evidence(), REFS, weeks)
    }
    assert made["volume_cut"] == {"A": (), "B": ("131% intensity", "3 flags"), "C": (), "D": ()}
    assert made["intensity_kept"]["B"] == ("3 flags",)


def test_events_are_what_was_far_from_usual_and_nothing_else() -> None:
    far = study().weeks[4]
    assert events(far, "volume_cut") == ("7 zones east", "71% intensity")
    assert events(far, "body_clock_lag_h") == ("71% intensity",)
    slept = Measured("sleep_change_h", -1.34)
    west = Measured("zones_crossed", -1.0)
    week = replace(far, measures={"sleep_change_h": slept, "zones_crossed": west})
    assert events(week, "volume_cut") == ("1 zone west", "1.3 h less sleep")
    assert events(replace(far, measures={}), "volume_cut") == ()


def test_charts_are_open_where_races_moved_something() -> None:
    hardly = replace(factor("volume_cut", "leaning"), moved_sd=0.1)
    assert views(factors=(hardly,))["volume_cut"].moved is False
    assert views()["volume_cut"].moved is True


class TestEffects:
    def test_both_effects_stand_beside_each_other_with_their_chances(self) -> None:
        row = effects_view(evidence()).rows[0]
        assert (row.label, row.more) == ("volume cut", "10 points more, from 10 to 50%")
        assert row.published == pytest.approx((0.4, -0.1, 0.9))
        assert (row.published_text, row.personal_text) == (
            "+0.4% (−0.1 to +0.9%)",
            "+0.6% (+0.1 to +1.1%)",
        )
        assert row.chances == ("71%", "86%")

    def test_nothing_is_said_to_be_published_of_how_hard_a_race_feels(self) -> None:
        made = effects_view(rpe_evidence())
        assert made.start == "a start at zero: nothing is published"
        assert (made.helps, made.rows[0].strength) == ("feels easier", "not shown")

    def test_the_picture_holds_zero_and_every_interval(self) -> None:
        chart = effects_chart(effects_view(evidence()))
        low, high = chart["layout"]["xaxis"]["range"]
        ends = [x for trace in chart["data"] for x in trace["x"] if x is not None]
        assert low < min(0, *ends) and high > max(0, *ends)
        assert [trace["name"] for trace in chart["data"]] == [
            *("published studies, 90% interval", "published studies"),
            *("with your races, 90% interval", "with your races"),
        ]
        assert len(chart["layout"]["annotations"]) == 4


def test_the_rules_range_is_in_the_pages_units_and_may_be_open() -> None:
    found = views()
    assert found["volume_cut"].rule_range == pytest.approx((42, 58))
    assert found["body_clock_lag_h"].rule_range == (-np.inf, 1.0)
    assert views(rule=None)["volume_cut"].rule_range is None


def test_lines_pass_at_the_height_of_the_races() -> None:
    view = views()["sleep_change_h"]
    assert view.personal is not None
    at = float(np.mean([p.x for p in view.points]))
    height = float(np.mean([p.y for p in view.points]))
    assert np.interp(at, view.personal.x, view.personal.y) == pytest.approx(height, abs=0.01)
    assert all(
        low <= y <= high
        for low, y, high in zip(view.personal.low, view.personal.y, view.personal.high, strict=True)
    )


def test_the_slope_of_a_line_is_the_estimate() -> None:
    line = views()["sleep_change_h"].published
    assert line is not None
    slope = (line.y[-1] - line.y[0]) / (line.x[-1] - line.x[0])
    assert slope == pytest.approx(0.4, abs=0.01)


def test_the_curve_keeps_its_shape() -> None:
    curve = views()["volume_cut"].personal
    assert curve is not None
    best = curve.x[int(np.argmax(curve.y))]
    assert best == pytest.approx(50)
    assert max(curve.y) - curve.y[0] == pytest.approx(2.4, abs=0.01)


def test_races_that_were_all_alike_are_not_drawn() -> None:
    view = views()["body_clock_lag_h"]
    assert view.place == ""
    assert len(view.points) == 4


def view_without_races(*places: int) -> FactorView:
    """The volume cut where each of these races lacks a usual week, and no other is there."""
    bare = factor(
        "volume_cut",
        "published only",
        labels=(),
        exposure=np.array([]),
        outcome=np.array([]),
        missing=tuple((race_id(place), "no usual week") for place in places),
    )
    return views(factors=(bare,))["volume_cut"]


def test_a_factor_without_races_has_no_lines() -> None:
    view = view_without_races(0)
    assert (view.points, view.published, view.place) == ((), None, "")
    assert view.missing == (("race A", "No usual week."),)


def test_a_label_that_is_no_race_of_the_page_is_shown_as_it_is() -> None:
    strange = replace(evidence().factors[0], labels=("x", "y", "z", "w"), against=("x",))
    view = views(factors=(strange,))["volume_cut"]
    assert [point.key for point in view.points] == ["x", "y", "z", "w"]


def test_races_that_lack_a_factor_for_one_reason_are_named_together() -> None:
    (said,) = view_without_races(0, 1, 2).missing
    assert said == ("races A, B and C", "No usual week.")
