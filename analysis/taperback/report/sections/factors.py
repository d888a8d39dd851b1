"""What went with good races: each factor's finding, numbers, and what its chart shows."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from taperback.common.outcomes import Outcome
from taperback.common.quantities import QUANTITIES
from taperback.evidence.model import Curve, Estimate, Evidence, FactorEvidence, RulePart
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import RaceRef, label_of, missing_races, point_keys
from taperback.report.words.factors import (
    against_words,
    effect_sentences,
    exact_sentences,
    strength_word,
)
from taperback.report.words.findings import MORE_OF, count_races, finding


@dataclass(frozen=True)
class RacePoint:
    """One race in a factor's chart, in the units of the page, and as the table has it."""

    key: str
    x: float
    y: float
    x_text: str
    y_text: str
    carries: bool
    against: bool


@dataclass(frozen=True)
class Ribbon:
    """A line with its interval, in the units of the page; shape (k,) each."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class FactorView:
    """One factor, finished.

    Attributes:
        factor, label, strength: its name, what it is called, and how strongly it is said.
        finding, effects, against, exact: sentences.
        missing: (race letter, why) for each race that is not among the points.
        points, published, personal: what the chart shows; `rule_range` is its column.
        place: where the chart stands; empty where races that all had the same value show nothing.
        x_title, y_title: axes with units.
        how_to_read: sentences beside the chart.
        summary: what the chart shows, for those who cannot see it.
    """

    factor: str
    label: str
    strength: str
    finding: str
    effects: tuple[str, ...]
    against: str
    exact: tuple[str, ...]
    missing: tuple[tuple[str, str], ...]
    points: tuple[RacePoint, ...]
    published: Ribbon | None
    personal: Ribbon | None
    rule_range: tuple[float, float] | None
    place: str
    x_title: str
    y_title: str
    how_to_read: tuple[str, ...]
    summary: str


def factor_views(
    evidence: Evidence, refs: dict[str, RaceRef], weeks: tuple[RaceWeek, ...] = ()
) -> tuple[FactorView, ...]:
    """Every primary factor, in order; `weeks` say why a race lacks one."""
    parts = {part.factor: part for part in (evidence.rule.parts if evidence.rule else ())}
    keys = point_keys(evidence, refs)
    return tuple(
        _view(
            factor, parts.get(factor.factor), evidence.outcome, keys, missing_races(factor, weeks)
        )
        for factor in evidence.factors
    )


def _view(
    factor: FactorEvidence,
    part: RulePart | None,
    outcome: Outcome,
    keys: dict[str, str],
    missing: tuple[tuple[str, str], ...],
) -> FactorView:
    points = _points(factor, outcome, keys)
    published, personal = _ribbons(factor, outcome, points)
    label = label_of(factor.factor)
    return FactorView(
        factor=factor.factor,
        label=label,
        strength=strength_word(factor.strength, outcome),
        finding=finding(factor, outcome),
        effects=effect_sentences(factor, outcome),
        against=against_words(factor, keys),
        exact=exact_sentences(factor, outcome, keys),
        missing=tuple((keys.get(race, race), why) for race, why in missing),
        points=points,
        published=published,
        personal=personal,
        rule_range=_rule_range(part),
        place=f"chart-{factor.factor}" if len({point.x for point in points}) > 1 else "",
        x_title=_axis(factor.factor),
        y_title=_axis(outcome.name),
        how_to_read=_how_to_read(factor, points, outcome, part is not None),
        summary=_summary(label, count_races(len(points), factor.races), outcome),
    )


def _summary(label: str, races: str, outcome: Outcome) -> str:
    return (
        f"Chart: {label} of {races} against {outcome.quantity.label}, with the "
        "estimate before and after adding them. The table below it holds the same races."
    )


def _points(
    factor: FactorEvidence, outcome: Outcome, keys: dict[str, str]
) -> tuple[RacePoint, ...]:
    x, y = QUANTITIES[factor.factor], outcome.difference
    y_as_printed = outcome.quantity
    carrier = factor.carried_by
    return tuple(
        RacePoint(
            keys.get(label, label),
            float(exposure) * x.scale,
            float(result) * y.scale,
            x.show(float(exposure)),
            y_as_printed.show(float(result)),
            label == carrier,
            label in factor.against,
        )
        for label, exposure, result in zip(
            factor.labels, factor.exposure, factor.outcome, strict=True
        )
    )


def _ribbons(
    factor: FactorEvidence, outcome: Outcome, points: tuple[RacePoint, ...]
) -> tuple[Ribbon | None, Ribbon | None]:
    """Both estimates, laid at the height of the races, since only their shape is evidence."""
    if not points:
        return None, None
    xs, ys = np.array([p.x for p in points]), np.array([p.y for p in points])
    scale = QUANTITIES[factor.factor].scale
    if factor.curve is not None:
        return _curves(factor.curve, scale, xs, ys)
    wide = float(xs.max() - xs.min()) or factor.effect_unit * scale
    at = np.linspace(xs.min() - wide, xs.max() + wide, 31)
    step = factor.effect_unit * scale
    return (
        _line(at, factor.published, step, float(xs.mean()), float(ys.mean())),
        _line(at, factor.personal, step, float(xs.mean()), float(ys.mean())),
    )


def _curves(curve: Curve, scale: float, xs: np.ndarray, ys: np.ndarray) -> tuple[Ribbon, Ribbon]:
    at = np.asarray(curve.at, float) * scale
    height = float(ys.mean() - np.interp(xs, at, curve.personal).mean())
    return (
        _ribbon(at, curve.published + height, curve.published_low, curve.published_high, height),
        _ribbon(at, curve.personal + height, curve.personal_low, curve.personal_high, height),
    )


def _ribbon(
    at: np.ndarray, y: np.ndarray, low: np.ndarray, high: np.ndarray, height: float
) -> Ribbon:
    return Ribbon(
        _four_digits(at), _four_digits(y), _four_digits(low + height), _four_digits(high + height)
    )


def _line(at: np.ndarray, effect: Estimate, step: float, mean_x: float, mean_y: float) -> Ribbon:
    steps = (at - mean_x) / step
    edges = np.stack([steps * effect.low, steps * effect.high])
    return _ribbon(at, mean_y + steps * effect.mean, edges.min(axis=0), edges.max(axis=0), mean_y)


def _four_digits(values: np.ndarray) -> tuple[float, ...]:
    """Values as a chart needs them: four digits are more than a screen can show."""
    return tuple(float(f"{value:.4g}") for value in values)


def _rule_range(part: RulePart | None) -> tuple[float, float] | None:
    if part is None or (math.isinf(part.low) and math.isinf(part.high)):
        return None
    scale = QUANTITIES[part.factor].scale
    return part.low * scale, part.high * scale


def _axis(name: str) -> str:
    quantity = QUANTITIES[name]
    unit = f" ({quantity.shown_unit})" if quantity.shown_unit else ""
    return f"{quantity.label}{unit}"


def _how_to_read(
    factor: FactorEvidence, points: tuple[RacePoint, ...], outcome: Outcome, has_rule: bool
) -> tuple[str, ...]:
    """What right and up mean in this chart, and its marks."""
    lines = [
        f"Further right is {MORE_OF.get(factor.factor, ('more of it', ''))[0]}; further up is "
        f"{'a better result' if outcome.more_is_good else 'a race that felt harder'}."
    ]
    if has_rule:
        lines.append("The shaded column is the range of the rule.")
    carriers = [point.key for point in points if point.carries]
    if carriers:
        lines.append(f"The ring marks race {carriers[0]}: without it the answer changes most.")
    return tuple(lines)
