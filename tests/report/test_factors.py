"""Each factor's points, lines and sentences, finished."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from report.studies import evidence, factor, race_id, study
from taperback.report.sections.factors import FactorView, factor_views
from taperback.report.words.cells import race_refs

REFS = race_refs(study().weeks)


def views(**changes: object) -> dict[str, FactorView]:
    """Views of the study's factors, by name."""
    return {view.factor: view for view in factor_views(replace(evidence(), **changes), REFS)}


def test_points_are_in_the_pages_units_and_have_the_races_letters() -> None:
    points = views()["volume_cut"].points
    assert [point.key for point in points] == ["A", "B", "C", "D"]
    assert [point.x for point in points] == pytest.approx([46, 8, 52, 44])
    assert (points[1].x_text, points[1].y_text) == ("8%", "−1.9%")


def test_the_race_that_carries_it_and_those_against_it_are_marked() -> None:
    found = views()
    assert [p.key for p in found["sleep_change_h"].points if p.carries] == ["D"]
    assert [p.key for p in found["volume_cut"].points if p.against] == ["D"]
    assert "The ring marks race D: without it the answer changes most." in (
        found["sleep_change_h"].how_to_read
    )


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


def test_a_factor_without_races_has_no_lines() -> None:
    bare = factor(
        "volume_cut",
        "published only",
        labels=(),
        exposure=np.array([]),
        outcome=np.array([]),
        missing=((race_id(0), "no usual week"),),
    )
    view = views(factors=(bare,))["volume_cut"]
    assert (view.points, view.published, view.place) == ((), None, "")
    assert view.missing == (("A", "No usual week."),)


def test_a_label_that_is_no_race_of_the_page_is_shown_as_it_is() -> None:
    strange = replace(evidence().factors[0], labels=("x", "y", "z", "w"), against=("x",))
    view = views(factors=(strange,))["volume_cut"]
    assert [point.key for point in view.points] == ["x", "y", "z", "w"]
