"""The page as a whole: order, outcome asked for, and what is said when there is little."""

from __future__ import annotations

from report.studies import nothing_known, study
from taperback.report.view import page_view


def test_the_first_screen_has_the_rule_why_and_the_strength_of_each_part() -> None:
    rule = page_view(study()).rule
    assert rule.sentence.startswith("In the last seven days, train 4.4 to 6.1 h")
    assert "Your best race, C, came after a volume cut of 52%; your worst, B, after one of 8%." in (
        rule.reasons
    )
    assert [(part.label, part.range, part.strength) for part in rule.parts] == [
        ("volume cut", "42 to 58%", "leaning"),
        ("intensity kept", "at least 80%", "published only"),
        ("sleep change", "as much as usual or more", "leaning"),
        ("body clock behind", "at most 1.0 h", "published only"),
    ]


def test_the_outcome_asked_for_is_compared_and_the_rule_still_comes_from_results() -> None:
    page = page_view(study(outcome="rpe"))
    assert page.outcome == "race RPE"
    assert page.glance.columns[0] == "race RPE"
    assert page.rule.sentence == page_view(study()).rule.sentence
    assert page.rule.reasons[-1].startswith("The rule and its reasons come from race results.")
    assert page.other_outcome[0] == "result"
    assert page.effects.start.endswith("nothing is published")


def test_the_other_outcome_is_told_only_where_it_stands_out() -> None:
    label, told = page_view(study()).other_outcome
    assert label == "race RPE"
    assert told == (
        "In four races nothing stands out, and no published study says what to expect.",
    )
    _, told = page_view(study(outcome="rpe")).other_outcome
    assert told[0].startswith("Volume cut: In your races a larger cut in volume tended")


def test_the_assumption_behind_the_range_is_told_with_what_it_changes() -> None:
    assert page_view(study()).rule.sensitivity.endswith(
        "44 to 56% if it is 2.0%; 42 to 58% if it is 2.5%; 39 to 61% if it is 5.0%."
    )


def test_a_folder_without_races_gives_a_page_that_says_so() -> None:
    page = page_view(nothing_known())
    assert page.subtitle == "No race"
    assert page.rule.sentence == "There is no rule to give yet."
    assert page.rule.parts == ()
    assert page.strips == ()
    assert page.panic.lead == "There is no race week to look at."
