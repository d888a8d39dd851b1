"""What an athlete's own races are said to say: as much as they do, and in the right direction."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from report.studies import factor, with_races
from taperback.common.outcomes import RESULT, RPE
from taperback.evidence.model import STRENGTHS, Curve, Estimate, Ranked
from taperback.report.words.findings import adds_nothing, finding

UP = Ranked("spearman", 4, 0.8, 1 / 3, "enumeration", 24)
DOWN = Ranked("spearman", 4, -0.8, 1 / 3, "enumeration", 24)


def cut_near(best: float = 0.5) -> Curve:
    """A published curve with its best there."""
    at = np.arange(0.0, 0.81, 0.05)
    flat = np.zeros(len(at))
    return Curve(at, -((at - best) ** 2), flat, flat, flat, flat, flat)


@pytest.mark.parametrize(
    ("strength", "ranked", "direction", "told"),
    [
        (
            "leaning",
            UP,
            1.0,
            "In your races a larger cut in volume tended to go with better results; that can "
            "still be chance.",
        ),
        (
            "supported",
            UP,
            1.0,
            "Your races support it: a larger cut in volume went with better results, more clearly "
            "than chance alone would often give.",
        ),
        (
            "strong",
            DOWN,
            -1.0,
            "Your races support it clearly: a smaller cut in volume went with better results, as "
            "chance alone would very seldom give.",
        ),
        # the published curve rises and falls: its height may go one way and the cut the other
        (
            "leaning",
            DOWN,
            1.0,
            "In your races cuts near 50%, as published studies expect, tended to go with better "
            "results; that can still be chance.",
        ),
        (
            "supported",
            UP,
            -1.0,
            "Your races support it: cuts far from 50%, which published studies advise, went with "
            "better results, more clearly than chance alone would often give.",
        ),
    ],
)
def test_a_finding_claims_what_its_strength_allows(
    strength: str, ranked: Ranked, direction: float, told: str
) -> None:
    made = factor("volume_cut", strength, ranked=ranked, direction=direction, curve=cut_near())
    assert finding(made, RESULT) == told


@pytest.mark.parametrize("strength", STRENGTHS)
def test_no_finding_speaks_of_causes_or_proof(strength: str) -> None:
    told = finding(factor("volume_cut", strength), RESULT).lower()
    assert not any(word in told for word in ("prove", "cause", "because", "certain", "always"))


def test_the_direction_follows_the_races() -> None:
    turned = factor("sleep_change_h", "leaning", ranked=DOWN, direction=-1.0)
    assert finding(turned, RESULT).startswith("In your races shorter sleep than usual tended")


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
    assert told.endswith(
        "Published studies still outweigh them in the estimate, which they moved somewhat, "
        "further the same way."
    )
    assert "published studies" not in finding(made, RPE).lower()


def test_races_that_the_other_factors_explain_are_told_as_such() -> None:
    made = factor("sleep_change_h", "published only", points_against=True)
    assert finding(made, RPE) == (
        "Your races point the other way: longer sleep than usual went with races that felt "
        "harder; that can still be chance. With the other factors taken into account the estimate "
        "does not follow them."
    )


def test_what_went_along_with_time_says_what_else_did() -> None:
    made = factor("volume_cut", "published only", with_time=True)
    assert finding(made, RESULT).endswith(
        "Both volume cut and results went one way from race to race; fitness, age or anything else "
        "that changed with time would look the same, so nothing more is said."
    )
    assert "one way" not in finding(factor("volume_cut", "published only"), RESULT)


def test_a_lean_that_chance_would_seldom_give_is_not_called_chance() -> None:
    """As of a real runner, whose hilly spring races came after the largest cuts."""
    made = factor("sleep_change_h", "leaning", p_holm=0.011)
    assert finding(made, RESULT) == (
        "In your races longer sleep than usual tended to go with better results, more clearly than "
        "chance alone would often give; the course or the weather can do that, too."
    )


BEFORE = 0.9


@pytest.mark.parametrize(
    ("n", "moved_sd", "after", "told"),
    [
        (
            20,
            -0.1,
            0.8,
            "",
        ),
        (
            20,
            -0.4,
            0.5,
            "Your 20 races do not show it by themselves, yet they moved what published studies "
            "expect somewhat, towards no effect.",
        ),
        # took an effect of +0.9% to 0.0
        (
            20,
            -1.0,
            0.0,
            "Your 20 races do not show it by themselves, yet they moved what published studies "
            "expect a good deal, towards no effect.",
        ),
        # turned another's sign
        (
            20,
            -1.3,
            -0.3,
            "Your 20 races do not show it by themselves, yet they moved what published studies "
            "expect a good deal, past zero to the other way.",
        ),
        (
            5,
            0.3,
            1.2,
            "Your five races do not show it by themselves, yet they moved what published studies "
            "expect somewhat, further the same way.",
        ),
        (
            1,
            0.1,
            1.0,
            "",
        ),
    ],
)
def test_how_far_races_moved_the_studies_is_told_as_far_as_it_is(
    n: int, moved_sd: float, after: float, told: str
) -> None:
    made = replace(
        factor("sleep_change_h", "published only"),
        labels=tuple(str(race) for race in range(n)),
        exposure=np.arange(float(n)),
        races=n,
        moved_sd=moved_sd,
        published=Estimate(BEFORE, -0.6, 2.4),
        personal=Estimate(after, after - 1, after + 1),
    )
    assert finding(made, RESULT) == told


def test_no_study_is_named_where_none_is_published() -> None:
    made = with_races(4, moved_sd=0.05)
    assert finding(made, RPE) == ""
    assert finding(replace(made, moved_sd=0.7), RPE) == (
        "Your four races do not show it, and no published study says what to expect; the "
        "estimate, which starts at no effect, moved a good deal."
    )


def test_effort_is_told_as_effort() -> None:
    made = factor("sleep_change_h", "leaning")
    assert "races that felt harder" in finding(made, RPE)


@pytest.mark.parametrize(
    ("n", "words"),
    [
        (1, "Your one race"),
        (4, "Your four races do not show it by themselves"),
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


def test_factors_to_which_races_add_nothing_share_one_sentence() -> None:
    silent = (with_races(4, moved_sd=0.05), replace(factor("volume_cut", "leaning")))
    assert adds_nothing(silent, RESULT) == (
        "On sleep change your own races say too little yet; only published studies speak there."
    )
    assert finding(with_races(0), RESULT) == ""
    none = (with_races(0), replace(with_races(4, moved_sd=0.0), factor="intensity_kept"))
    assert adds_nothing(none, RPE) == (
        "On sleep change and intensity kept your own races say too little yet; no published "
        "study says what to expect."
    )
    assert adds_nothing((factor("volume_cut", "leaning"),), RESULT) == ""
