"""What an athlete's own races are said to say: as much as they do, and in the right direction."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from report.studies import factor, with_races
from taperback.common.outcomes import RESULT, RPE
from taperback.evidence.model import STRENGTHS, Ranked
from taperback.report.words.findings import finding

UP = Ranked("spearman", 4, 0.8, 1 / 3, "enumeration", 24)
DOWN = Ranked("spearman", 4, -0.8, 1 / 3, "enumeration", 24)


@pytest.mark.parametrize(
    ("strength", "words"),
    [
        ("leaning", "tended to go with better results; that can still be chance."),
        ("supported", "more clearly than chance alone would often give."),
        ("strong", "as chance alone would very seldom give."),
    ],
)
def test_a_finding_claims_what_its_strength_allows(strength: str, words: str) -> None:
    told = finding(factor("volume_cut", strength), RESULT)
    assert "a larger cut in volume" in told
    assert told.endswith(words)


@pytest.mark.parametrize("strength", STRENGTHS)
def test_no_finding_speaks_of_causes_or_proof(strength: str) -> None:
    told = finding(factor("volume_cut", strength), RESULT).lower()
    assert not any(word in told for word in ("prove", "cause", "because", "certain", "always"))


def test_the_direction_follows_the_races() -> None:
    turned = factor("sleep_change_h", "leaning", ranked=DOWN, direction=-1.0)
    assert finding(turned, RESULT).startswith("In your races shorter sleep than usual tended")


@pytest.mark.parametrize(
    ("ranked", "direction", "words"),
    [
        (UP, 1.0, "a larger cut in volume"),
        (DOWN, -1.0, "a smaller cut in volume"),
        (DOWN, 1.0, "the cuts that published studies expect most of"),
        (UP, -1.0, "the cuts that published studies expect least of"),
    ],
)
def test_a_cut_is_called_larger_only_where_larger_cuts_went_with_it(
    ranked: Ranked, direction: float, words: str
) -> None:
    """The published curve rises and falls: its height may go one way and the cut the other."""
    made = factor("volume_cut", "supported", ranked=ranked, direction=direction)
    assert f"support it: {words} went with better results" in finding(made, RESULT)


@pytest.mark.parametrize(
    ("p_holm", "words"),
    [(0.07, "more clearly than chance alone would often give"), (0.5, "that can still be chance")],
)
def test_races_against_the_studies_are_told_as_such(p_holm: float, words: str) -> None:
    made = factor(
        "sleep_change_h",
        "published only",
        ranked=DOWN,
        direction=-1.0,
        points_against=True,
        p_holm=p_holm,
    )
    told = finding(made, RESULT)
    assert told.startswith("Your races point the other way: shorter sleep than usual went with")
    assert words in told
    assert "hardly moved" not in told
    assert "published studies" not in finding(made, RPE).lower()


def test_what_went_along_with_time_says_what_else_did() -> None:
    made = factor("volume_cut", "leaning", with_time=True)
    assert "one way from race to race" in finding(made, RESULT)
    assert "one way" not in finding(factor("volume_cut", "leaning"), RESULT)


@pytest.mark.parametrize(
    ("bits", "words"), [(0.04, "hardly moved"), (0.05, "moved a little by your races")]
)
def test_how_far_races_moved_the_studies_is_told_as_far_as_it_is(bits: float, words: str) -> None:
    made = factor("sleep_change_h", "published only", moved_bits=bits)
    assert finding(made, RESULT).endswith(f"{words}.")


def test_effort_is_told_as_effort() -> None:
    made = factor("sleep_change_h", "leaning")
    assert "races that felt harder" in finding(made, RPE)


@pytest.mark.parametrize(
    ("n", "words"),
    [
        (0, "None of your races can be used here"),
        (1, "One race says nothing of its own"),
        (4, "Your four races say too little on their own"),
    ],
)
def test_too_little_is_said_to_be_too_little(n: int, words: str) -> None:
    assert finding(with_races(n), RESULT).startswith(words)


def test_races_that_were_all_alike_cannot_tell() -> None:
    alike = replace(with_races(4), exposure=np.zeros(4))
    assert finding(alike, RESULT) == (
        "Your four races all had 0.0 h a night, so they cannot say what a difference does; only "
        "published studies speak."
    )
