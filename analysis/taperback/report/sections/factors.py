"""What went with good races: each factor's finding, numbers, and what its chart shows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from taperback.common.outcomes import Outcome
from taperback.common.quantities import QUANTITIES
from taperback.evidence.model import Estimate, Evidence, FactorEvidence, RulePart
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import RaceRef, label_of, missing_races, point_keys
from taperback.report.words.events import events
from taperback.report.words.factors import (
    against_words,
    chance_texts,
    effect_text,
    exact_sentences,
    more_words,
    strength_word,
    weight_words,
)
from taperback.report.words.findings import HARDLY, MORE_OF, count_races, far_moved, finding
from taperback.report.words.weave import Said, weave
from taperback.report.words.wording import races_named


@dataclass(frozen=True)
class RacePoint:
    """One race in a factor's chart, in the units of the page, and as the table has it.

    `weighs` marks the one with most weight; `events` are what else was far from usual.
    """

    key: str
    x: float
    y: float
    x_text: str
    y_text: str
    weighs: bool
    against: bool
    events: tuple[str, ...]

    @property
    def remark(self) -> str:
        """What else the table says of it."""
        marks = (("has most weight", self.weighs), ("speaks against it", self.against))
        return ", ".join([*(words for words, there in marks if there), *self.events])


@dataclass(frozen=True)
class Ribbon:
    """A line with its interval, in the units of the page; shape (k,) each."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class EffectRow:
    """One factor's effect: in words, and in the units of the page as (mean, low, high).

    `chances` are how likely more of it helps: by studies alone, and with the races.
    """

    label: str
    more: str
    strength: str
    published: tuple[float, float, float]
    personal: tuple[float, float, float]
    published_text: str
    personal_text: str
    chances: tuple[str, str]


@dataclass(frozen=True)
class EffectsView:
    """The four effects in one picture.

    `start` is what they start from, `helps` what more of a factor may do; `place` is empty where no
    race adds anything, so that both would be the same.
    """

    rows: tuple[EffectRow, ...]
    x_title: str
    start: str
    helps: str
    summary: str
    place: str


@dataclass(frozen=True)
class FactorView:
    """One factor, finished.

    Attributes:
        factor, label: its name, and what it is called.
        finding, against, exact: sentences; the first two are empty where there is nothing to add.
        missing: (races, why) of those that are not among the points.
        points, published, personal: what the chart shows; `rule_range` is its column.
        place: where the chart stands; empty where races that all had the same value show nothing.
        moved: whether the races moved the estimate by more than hardly.
        x_title, y_title: axes with units.
        how_to_read: sentences beside the chart.
        summary: what the chart shows, for those who cannot see it.
    """

    factor: str
    label: str
    finding: str
    against: str
    exact: tuple[str, ...]
    missing: tuple[tuple[str, str], ...]
    points: tuple[RacePoint, ...]
    published: Ribbon | None
    personal: Ribbon | None
    rule_range: tuple[float, float] | None
    place: str
    moved: bool
    x_title: str
    y_title: str
    how_to_read: tuple[str, ...]
    summary: str


def effects_view(evidence: Evidence) -> EffectsView:
    """How much faster a usual step of each factor makes, published beside the athlete's own."""
    outcome = evidence.outcome
    helps = "helps" if outcome.published else "feels easier"
    unit = "% faster" if outcome.published else "points of race RPE"
    scale = outcome.difference.scale
    rows = []
    for factor in evidence.factors:
        published, personal = (
            (one.mean * scale, one.low * scale, one.high * scale)
            for one in (factor.published, factor.personal)
        )
        rows.append(
            EffectRow(
                label=label_of(factor.factor),
                more=more_words(factor),
                strength=strength_word(factor.strength, outcome),
                published=published,
                personal=personal,
                published_text=effect_text(factor.published, outcome),
                personal_text=effect_text(factor.personal, outcome),
                chances=chance_texts(factor),
            )
        )
    return EffectsView(
        rows=tuple(rows),
        x_title=f"effect of one step more ({unit})",
        start="published studies" if outcome.published else "a start at zero: nothing is published",
        helps=helps,
        summary=(
            "Chart: the effect of a step of each factor with its 90% interval, before and after "
            "adding your races. The table below it holds the same numbers."
        ),
        place="chart-effects" if any(factor.labels for factor in evidence.factors) else "",
    )


def factor_views(
    evidence: Evidence, refs: dict[str, RaceRef], weeks: tuple[RaceWeek, ...] = ()
) -> tuple[FactorView, ...]:
    """Every primary factor, in order; `weeks` say why a race lacks one, and what else happened."""
    parts = {part.factor: part for part in (evidence.rule.parts if evidence.rule else ())}
    keys = point_keys(evidence, refs)
    return tuple(
        _view(factor, parts.get(factor.factor), evidence.outcome, keys, weeks)
        for factor in evidence.factors
    )


def _view(
    factor: FactorEvidence,
    part: RulePart | None,
    outcome: Outcome,
    keys: dict[str, str],
    weeks: tuple[RaceWeek, ...],
) -> FactorView:
    points = _points(factor, outcome, keys, weeks)
    published, personal = _ribbons(factor, points)
    label = label_of(factor.factor)
    missing = missing_races(factor, weeks)
    scale, rule_range = QUANTITIES[factor.factor].scale, None
    if part is not None and not (math.isinf(part.low) and math.isinf(part.high)):
        rule_range = (part.low * scale, part.high * scale)
    return FactorView(
        factor=factor.factor,
        label=label,
        finding=finding(factor, outcome),
        against=against_words(factor, keys),
        exact=exact_sentences(factor, outcome, keys),
        missing=tuple(
            (races_named([keys.get(race, race) for race in said.races]), said.text)
            for said in weave(Said((race,), why) for race, why in missing)
        ),
        points=points,
        published=published,
        personal=personal,
        rule_range=rule_range,
        place=f"chart-{factor.factor}" if len({point.x for point in points}) > 1 else "",
        moved=bool(points) and far_moved(factor.moved_sd) != HARDLY,
        x_title=_axis(factor.factor),
        y_title=_axis(outcome.name),
        how_to_read=_how_to_read(factor, points, outcome, keys),
        summary=(
            f"Chart: {label} of {count_races(len(points), factor.races)} against "
            f"{outcome.quantity.label}, with the estimate before and after adding them. The table "
            "below it holds the same races."
        ),
    )


def _points(
    factor: FactorEvidence,
    outcome: Outcome,
    keys: dict[str, str],
    weeks: tuple[RaceWeek, ...],
) -> tuple[RacePoint, ...]:
    x, y = QUANTITIES[factor.factor], outcome.difference
    by_race = {week.race_id: week for week in weeks}
    return tuple(
        RacePoint(
            key=keys.get(label, label),
            x=float(exposure) * x.scale,
            y=float(result) * y.scale,
            x_text=x.show(float(exposure)),
            y_text=outcome.quantity.show(float(result)),
            weighs=label == factor.carried_by,
            against=label in factor.against,
            events=events(by_race[label], factor.factor) if label in by_race else (),
        )
        for label, exposure, result in zip(
            factor.labels, factor.exposure, factor.outcome, strict=True
        )
    )


def _ribbons(
    factor: FactorEvidence, points: tuple[RacePoint, ...]
) -> tuple[Ribbon | None, Ribbon | None]:
    """Both estimates, laid at the height of the races, since only their shape is evidence."""
    if not points:
        return None, None
    xs, ys = np.array([p.x for p in points]), np.array([p.y for p in points])
    scale = QUANTITIES[factor.factor].scale
    if (curve := factor.curve) is not None:
        at = np.asarray(curve.at, float) * scale
        up = float(ys.mean() - np.interp(xs, at, curve.personal).mean())
        return (
            _ribbon(at, curve.published + up, curve.published_low, curve.published_high, up),
            _ribbon(at, curve.personal + up, curve.personal_low, curve.personal_high, up),
        )
    wide = float(xs.max() - xs.min()) or factor.effect_unit * scale
    at = np.linspace(xs.min() - wide, xs.max() + wide, 31)
    step = factor.effect_unit * scale
    return (
        _line(at, factor.published, step, float(xs.mean()), float(ys.mean())),
        _line(at, factor.personal, step, float(xs.mean()), float(ys.mean())),
    )


def _ribbon(
    at: np.ndarray, y: np.ndarray, low: np.ndarray, high: np.ndarray, height: float
) -> Ribbon:
    return Ribbon(
        four_digits(at), four_digits(y), four_digits(low + height), four_digits(high + height)
    )


def _line(at: np.ndarray, effect: Estimate, step: float, mean_x: float, mean_y: float) -> Ribbon:
    steps = (at - mean_x) / step
    edges = np.stack([steps * effect.low, steps * effect.high])
    return _ribbon(at, mean_y + steps * effect.mean, edges.min(axis=0), edges.max(axis=0), mean_y)


def four_digits(values: Iterable[float]) -> tuple[float, ...]:
    """Values as a chart needs them: four digits are more than a screen can show."""
    return tuple(float(f"{value:.4g}") for value in values)


def _axis(name: str) -> str:
    quantity = QUANTITIES[name]
    unit = f" ({quantity.shown_unit})" if quantity.shown_unit else ""
    return f"{quantity.label}{unit}"


def _how_to_read(
    factor: FactorEvidence,
    points: tuple[RacePoint, ...],
    outcome: Outcome,
    keys: dict[str, str],
) -> tuple[str, ...]:
    """What right and up mean in this chart, what its lines compare with, and its marks."""
    reference = (
        "The lines compare each cut with no cut, so their bands have no width at 0%."
        if factor.curve is not None
        else "The lines compare with your average week, so their bands have no width there."
    )
    lines = (
        f"Further right is {MORE_OF.get(factor.factor, ('more of it', ''))[0]}; further up is "
        f"{'a better result' if outcome.more_is_good else 'a race that felt harder'}.",
        reference,
        weight_words(factor, keys) if any(point.weighs for point in points) else "",
    )
    return tuple(line for line in lines if line)
