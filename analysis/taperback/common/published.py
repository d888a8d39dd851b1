"""The published values, each with unit, source and status, from `shared/published.toml`.

A group is a dataclass and a value a field of it: `PUBLISHED.noise.race_to_race.value`. A value
without unit, source or known status is refused when this is loaded, so that none is ever used. A
new value is an entry in `shared/published.toml` and its field here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from taperback.common.errors import TaperbackError
from taperback.common.files.resources import shared_toml
from taperback.common.files.typed_toml import as_dataclass

STATUSES = ("confirmed", "from memory", "common practice", "derived", "assumption")


@dataclass(frozen=True)
class Entry:
    """What every published value says of itself; `status` is one of `STATUSES`."""

    unit: str
    source: str
    status: str


@dataclass(frozen=True)
class Value(Entry):
    """One number."""

    value: float


@dataclass(frozen=True)
class ValueWithin(Value):
    """One number and how far to either side it may lie."""

    half_width: float


@dataclass(frozen=True)
class ValueBetween(Value):
    """One number and the range in which it is believed to lie."""

    low: float
    high: float


@dataclass(frozen=True)
class BySport(Entry):
    """One number a sport."""

    value: Mapping[str, float]


@dataclass(frozen=True)
class Trimp:
    """The two constants of the training impulse."""

    a: float
    b: float


@dataclass(frozen=True)
class TrimpOfSex(Entry):
    """The constants for one sex."""

    value: Trimp


@dataclass(frozen=True)
class Table(Entry):
    """A row of numbers."""

    value: tuple[float, ...]


@dataclass(frozen=True)
class Count(Entry):
    """A whole number."""

    value: int


@dataclass(frozen=True)
class DoseResponse(Entry):
    """The standardised effect of each bin of volume cuts, with its interval's half-width."""

    low: tuple[float, ...]
    high: tuple[float, ...]
    effect: tuple[float, ...]
    half_width: tuple[float, ...]


@dataclass(frozen=True)
class OwnCurve(Value):
    """How far an athlete's own curve lies from the published one, and how smooth it is."""

    length_scale: float


@dataclass(frozen=True)
class SmoothCurve(OwnCurve):
    """How far and how smoothly a curve may leave nothing, and what is left without training."""

    stopped: float
    stopped_sd: float


@dataclass(frozen=True)
class BestCut(Entry):
    """Where the best cut of single athletes may lie, how likely, and how much that counts."""

    middle: float
    cut: tuple[float, ...]
    weight: tuple[float, ...]
    factor: float


@dataclass(frozen=True)
class PublishedRange(Entry):
    """The range of cuts that was published, and the best part of it."""

    low: float
    high: float
    best_low: float
    best_high: float


@dataclass(frozen=True)
class Effect(Value):
    """What one unit of a factor is worth, with its SD."""

    sd: float
    per: float


@dataclass(frozen=True)
class EffectSd(Entry):
    """The SD around no effect, a factor a field."""

    volume_cut: float
    intensity_kept: float
    sleep_change_h: float
    body_clock_lag_h: float


@dataclass(frozen=True)
class Furthest(Entry):
    """The most that a rule may give away of a factor."""

    furthest: float


@dataclass(frozen=True)
class Intensity:
    """Where easy ends and hard begins."""

    second_threshold_share_of_max_hr: ValueWithin
    first_threshold_share_of_max_hr: ValueWithin
    first_threshold_share_of_critical: BySport


@dataclass(frozen=True)
class Load:
    """Scales of load."""

    trimp_male: TrimpOfSex
    trimp_female: TrimpOfSex
    acute_chronic_ratio: Count


@dataclass(frozen=True)
class Travel:
    """The body clock."""

    body_clock_east_h_per_day: Value
    body_clock_west_h_per_day: Value
    jet_lag_from_zones: Count


@dataclass(frozen=True)
class Statistics:
    """Tables of distributions."""

    student_t_95: Table


@dataclass(frozen=True)
class Outcome:
    """Results on one scale."""

    field_spread_pct: Value


@dataclass(frozen=True)
class Taper:
    """The volume cut."""

    percent_per_standard_unit: ValueBetween
    dose_response: DoseResponse
    smooth_curve: SmoothCurve
    between_athletes: OwnCurve
    height_between_athletes: Value
    best_cut_between_athletes: BestCut
    published_range: PublishedRange


@dataclass(frozen=True)
class Trend:
    """What an athlete gains or loses from race to race whatever the week before was like."""

    result_pct: Value
    race_rpe: Value


@dataclass(frozen=True)
class Noise:
    """How one athlete's results vary."""

    race_to_race: ValueBetween
    worthwhile_share: Value


@dataclass(frozen=True)
class Rpe:
    """How one athlete's race RPE varies."""

    noise: ValueBetween
    effect_sd: EffectSd


@dataclass(frozen=True)
class Squad:
    """What athletes of a squad share."""

    shared_share: Value


@dataclass(frozen=True)
class Result:
    """Results over different distances."""

    riegel_exponent: Value


@dataclass(frozen=True)
class Published:
    """Every group of `shared/published.toml`; `effect` and `rule` are by name of the factor."""

    intensity: Intensity
    load: Load
    travel: Travel
    statistics: Statistics
    outcome: Outcome
    taper: Taper
    effect: Mapping[str, Effect]
    trend: Trend
    noise: Noise
    rpe: Rpe
    rule: Mapping[str, Furthest]
    squad: Squad
    result: Result


def read_published(tables: Mapping[str, Mapping[str, Mapping[str, object]]]) -> Published:
    """The values of these tables, every one of them checked.

    Raises:
        TaperbackError: an entry has no unit, source or known status, or is not what its field is.
    """
    for group, entries in tables.items():
        for name, entry in entries.items():
            _check_source(f"{group}.{name} in published.toml", entry)
    return as_dataclass(Published, tables, "published.toml")


def _check_source(name: str, entry: Mapping[str, object]) -> None:
    for needed in ("unit", "source", "status"):
        if not str(entry.get(needed, "")).strip():
            raise TaperbackError(f"{name} has no {needed}, so it is not used")
    if entry["status"] not in STATUSES:
        raise TaperbackError(f"{name} has the unknown status {entry['status']!r}")


PUBLISHED = read_published(shared_toml("published.toml"))
