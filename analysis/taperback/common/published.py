"""The published values, each with unit, source and status, from `shared/published.toml`.

A group is a `Section` and a value a field of it: `PUBLISHED.noise.race_to_race.value`. A value
without unit, source or known status is refused when this is loaded, so that none is ever used. A
new value is an entry in `shared/published.toml` and its field here.
"""

from __future__ import annotations

from collections.abc import Mapping

from taperback.common.errors import TaperbackError
from taperback.common.files.resources import shared_toml
from taperback.common.files.typed_toml import Section, as_dataclass

STATUSES = ("confirmed", "from memory", "common practice", "derived", "assumption")


class Entry(Section):
    """What every published value says of itself; `status` is one of `STATUSES`."""

    unit: str
    source: str
    status: str


class Value(Entry):
    """One number."""

    value: float


class ValueWithin(Value):
    """One number and how far to either side it may lie."""

    half_width: float


class ValueBetween(Value):
    """One number and the range in which it is believed to lie."""

    low: float
    high: float


class BySport(Entry):
    """One number a sport."""

    value: Mapping[str, float]


class Trimp(Section):
    """The two constants of the training impulse."""

    a: float
    b: float


class TrimpOfSex(Entry):
    """The constants for one sex."""

    value: Trimp


class Table(Entry):
    """A row of numbers."""

    value: tuple[float, ...]


class Count(Entry):
    """A whole number."""

    value: int


class DoseResponse(Entry):
    """The standardised effect of each bin of volume cuts, with its interval's half-width."""

    low: tuple[float, ...]
    high: tuple[float, ...]
    effect: tuple[float, ...]
    half_width: tuple[float, ...]


class OwnCurve(Value):
    """How far an athlete's own curve lies from the published one, and how smooth it is."""

    length_scale: float


class SmoothCurve(OwnCurve):
    """How far and how smoothly a curve may leave nothing, and what is left without training."""

    stopped: float
    stopped_sd: float


class BestCut(Entry):
    """Where the best cut of single athletes may lie, how likely, and how much that counts."""

    middle: float
    cut: tuple[float, ...]
    weight: tuple[float, ...]
    factor: float


class PublishedRange(Entry):
    """The range of cuts that was published, and the best part of it."""

    low: float
    high: float
    best_low: float
    best_high: float


class Effect(Value):
    """What one unit of a factor is worth, with its SD."""

    sd: float
    per: float


class EffectSd(Entry):
    """The SD around no effect, a factor a field."""

    volume_cut: float
    intensity_kept: float
    sleep_change_h: float
    body_clock_lag_h: float


class Furthest(Entry):
    """The most that a rule may give away of a factor."""

    furthest: float


class Intensity(Section):
    """Where easy ends and hard begins."""

    second_threshold_share_of_max_hr: ValueWithin
    first_threshold_share_of_max_hr: ValueWithin
    first_threshold_share_of_critical: BySport


class Load(Section):
    """Scales of load."""

    trimp_male: TrimpOfSex
    trimp_female: TrimpOfSex
    acute_chronic_ratio: Count


class Travel(Section):
    """The body clock."""

    body_clock_east_h_per_day: Value
    body_clock_west_h_per_day: Value
    jet_lag_from_zones: Count


class Statistics(Section):
    """Tables of distributions."""

    student_t_95: Table


class Outcome(Section):
    """Results on one scale."""

    field_spread_pct: Value


class Taper(Section):
    """The volume cut."""

    percent_per_standard_unit: ValueBetween
    dose_response: DoseResponse
    smooth_curve: SmoothCurve
    between_athletes: OwnCurve
    height_between_athletes: Value
    best_cut_between_athletes: BestCut
    published_range: PublishedRange


class Trend(Section):
    """What an athlete gains or loses from race to race whatever the week before was like."""

    result_pct: Value
    race_rpe: Value


class Noise(Section):
    """How one athlete's results vary."""

    race_to_race: ValueBetween
    worthwhile_share: Value


class Rpe(Section):
    """How one athlete's race RPE varies."""

    noise: ValueBetween
    effect_sd: EffectSd


class Squad(Section):
    """What athletes of a squad share."""

    shared_share: Value


class Result(Section):
    """Results over different distances."""

    riegel_exponent: Value


class Published(Section):
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
            where = f"{group}.{name} in published.toml"
            for needed in ("unit", "source", "status"):
                if not str(entry.get(needed, "")).strip():
                    raise TaperbackError(f"{where} has no {needed}, so it is not used")
            if entry["status"] not in STATUSES:
                raise TaperbackError(f"{where} has the unknown status {entry['status']!r}")
    return as_dataclass(Published, tables, "published.toml")


PUBLISHED = read_published(shared_toml("published.toml"))
