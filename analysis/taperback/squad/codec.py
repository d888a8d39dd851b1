"""A member of a squad and the athlete's own report, packed into bytes and back.

Every member goes through them, made now or long ago, so that a squad cannot depend on which. What
comes back is plain data of its types, and checked: nothing of it can stop the squad's evidence or
page, whatever somebody or something did to the bytes.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from datetime import date

import msgspec
import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.common.quantities import QUANTITIES
from taperback.evidence.model import STRENGTHS, Rule
from taperback.evidence.points import Points
from taperback.evidence.priors import FACTORS
from taperback.importer.store.codec import NotOursError, framed, unframed
from taperback.squad.model import OUTCOME, Member, NextRace, PastRace
from taperback.squad.weeks import DAY, Weeks
from taperback.study.missing import ASKED, Gap

Files = Mapping[str, tuple[bytes, ...]]
"""An athlete's own report: name -> the file's bytes in parts, as whoever made it cut them."""

_MOST = 1e12
_MOST_ROWS = 10_000
_FIRST, _LAST = date(1900, 1, 1), date(2200, 1, 1)
_HEAD = {"race_id", "name", "date"}
_NONE = type(None)
_KINDS: dict[str, set[type]] = {
    "float64": {float},
    "int64": {int},
    "str": {str, _NONE},
    "object": {str, float, int, bool, _NONE},
    DAY: {str},
}
"""Kinds of the columns of a table of race weeks, and what their cells may be."""


class _Kept(msgspec.Struct, array_like=True, frozen=True):
    """A member in plain values, beside its report."""

    name: str
    weeks: Weeks
    rule: Rule | None
    point_races: tuple[tuple[str, ...], ...]
    exposures: bytes
    values: bytes
    races: tuple[PastRace, ...]
    next_race: NextRace | None
    gaps: tuple[Gap, ...]
    notices: tuple[Notice, ...]
    last_day: date | None
    files: dict[str, tuple[bytes, ...]]


def pack(member: Member, files: Files) -> tuple[bytes, Member]:
    """(the member and the report in bytes, the member as it comes back from them).

    Raises:
        NotOursError: `unpack` would not take them back.
    """
    try:
        kept = _Kept(
            member.name,
            member.weeks,
            member.rule,
            member.points.races,
            member.points.exposures.astype("<f8").tobytes(),
            member.points.values.astype("<f8").tobytes(),
            member.races,
            member.next_race,
            member.gaps,
            member.notices,
            member.last_day,
            dict(files),
        )
        plain = _ENCODER.encode(kept)
    except (TypeError, ValueError, OverflowError, NotImplementedError) as error:
        raise NotOursError(str(error)) from error
    packed = framed(zlib.compress(plain, level=1))
    return packed, unpack(member.key, packed)[0]


def unpack(key: str, packed: bytes) -> tuple[Member, Files]:
    """(the member of that folder's name, the files of the athlete's own report).

    Raises:
        NotOursError: the bytes were not made by `pack`, or not by this version.
    """
    try:
        inflate, most = zlib.decompressobj(), LIMITS.store.most_bytes_a_study
        plain = inflate.decompress(unframed(packed), most)
        if not inflate.eof or inflate.unused_data:
            raise ValueError("not whole, or larger than any study")
        kept = _DECODER.decode(plain)
        return _member(key, kept), kept.files
    except (msgspec.MsgspecError, zlib.error, ValueError, TypeError, OverflowError) as error:
        raise NotOursError(str(error)) from error
    except RecursionError as error:
        raise NotOursError("too deep") from error


def _member(key: str, kept: _Kept) -> Member:
    """The member, all of it checked.

    Raises:
        ValueError: something is not what it may be.
    """
    _check_weeks(kept.weeks)
    if kept.rule is not None:
        _check_rule(kept.rule)
    days = [race.day for race in kept.races if race.day is not None]
    days += [kept.last_day] if kept.last_day else []
    if kept.next_race is not None:
        days.append(kept.next_race.day)
        _expect(abs(kept.next_race.days_to_go) < _MOST_ROWS)
        planned = (kept.next_race.target_h, kept.next_race.hard_min)
        _expect(all(number is None or 0 <= number < _MOST for number in planned))
    _expect(all(_FIRST < day < _LAST for day in days) and len(kept.races) <= _MOST_ROWS)
    flags = [flag for race in kept.races for flag in race.flags]
    _expect(all(0 <= flag.day_before < _MOST_ROWS and flag.rule for flag in flags))
    _expect(all(gap.measure in ASKED for gap in kept.gaps))
    _expect(all(0 <= notice.row < _MOST for notice in kept.notices))
    values = _numbers(kept.values)
    exposures = _numbers(kept.exposures).reshape(len(values), len(FACTORS))
    _expect(len(kept.point_races) == len(values) <= _MOST_ROWS and all(kept.point_races))
    _expect(bool(np.isfinite(values).all()))
    return Member(
        key=key,
        name=kept.name,
        weeks=kept.weeks,
        rule=kept.rule,
        results=kept.weeks.known(OUTCOME.name),
        points=Points(kept.point_races, exposures, values, np.arange(float(len(values)))),
        races=kept.races,
        next_race=kept.next_race,
        gaps=kept.gaps,
        notices=kept.notices,
        last_day=kept.last_day,
    )


def _check_rule(rule: Rule) -> None:
    """A rule names every factor, and its first range is one of cuts."""
    _expect(tuple(part.factor for part in rule.parts) == FACTORS)
    _expect({part.strength for part in rule.parts} <= set(STRENGTHS))
    cut = rule.parts[0]
    ends = (cut.low, cut.best, cut.high, rule.before.low, rule.before.best, rule.before.high)
    _expect(all(0 <= end <= 1 for end in ends))
    _expect(rule.worth_knowing is None or rule.worth_knowing.factor in FACTORS)
    for gain in (part.gain for part in rule.parts):
        _expect(all(abs(each) < _MOST for each in (gain.mean, gain.low, gain.high)))  # so not NaN


def _expect(holds: bool) -> None:
    if not holds:
        raise ValueError("not what it may be")


def _numbers(data: bytes) -> np.ndarray:
    """The floats in the bytes, each unknown or within all measure."""
    numbers = np.frombuffer(data, "<f8")
    _expect(not (np.abs(numbers) > _MOST).any())
    return numbers


def _check_weeks(weeks: Weeks) -> None:
    """A table of race weeks: as many rows in each column, and columns of names that we give."""
    _expect(len({each.name for each in weeks.columns}) == len(weeks.columns))
    _expect(len({len(each.cells) for each in weeks.columns}) <= 1 and len(weeks) <= _MOST_ROWS)
    for name, kind, cells in weeks.columns:
        _expect(name in _HEAD or name.removesuffix("_reason") in QUANTITIES)
        _expect(kind in _KINDS and {type(cell) for cell in cells} <= _KINDS[kind])
        _expect(kind != DAY or all(_FIRST < date.fromisoformat(str(day)) < _LAST for day in cells))
        numbers = [cell for cell in cells if isinstance(cell, (int, float))]
        _expect(not any(abs(number) > _MOST for number in numbers))


def _to_plain(value: object) -> object:
    if isinstance(value, np.generic):
        return value.item()
    raise NotImplementedError(type(value).__name__)


_ENCODER = msgspec.msgpack.Encoder(enc_hook=_to_plain)
_DECODER = msgspec.msgpack.Decoder(_Kept)
