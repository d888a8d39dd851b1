"""The races at a glance: one row a race, what was done and what came of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from taperback.common.outcomes import Outcome
from taperback.common.quantities import PRIMARY_FACTORS, QUANTITIES
from taperback.common.quantity import MINUS
from taperback.common.wording import count, listing
from taperback.evidence.model import Evidence
from taperback.journal.times import about, clock
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import (
    UNKNOWN,
    Cell,
    RaceRef,
    label_of,
    measure_cell,
    number_notes,
)
from taperback.report.words.wording import is_nothing, sentence, short


@dataclass(frozen=True)
class GlanceRow:
    """One race.

    Attributes:
        time: its finish time, and what that is held against; nothing where none is typed.
        temperature, note: the day's temperature and the athlete's note, empty where not typed.
        flags: counts its panic flags. mark: one of its outcome's `ends` or empty.
    """

    race: RaceRef
    time: tuple[str, ...]
    temperature: str
    note: str
    cells: tuple[Cell, ...]
    flags: str
    mark: str


@dataclass(frozen=True)
class Glance:
    """The table. `columns` head the cells; `notes` are the footnotes, in order."""

    lead: str
    columns: tuple[str, ...]
    rows: tuple[GlanceRow, ...]
    notes: tuple[str, ...]
    signs: str


def glance(weeks: tuple[RaceWeek, ...], evidence: Evidence, refs: dict[str, RaceRef]) -> Glance:
    """The races in order of date, with footnotes for whatever is unknown."""
    names = (evidence.outcome.name, *PRIMARY_FACTORS)
    rows, notes = number_notes([[measure_cell(week, name) for name in names] for week in weeks])
    best, worst = best_and_worst(weeks, evidence)
    ends = evidence.outcome.ends
    marks = {best.race_id: ends[0], worst.race_id: ends[1]} if best and worst else {}
    degrees = [week.race.get("temp_c") for week in weeks]
    temperatures = [
        f"{celsius:g} °C".replace("-", MINUS)
        if isinstance(celsius, float) and celsius == celsius
        else ""
        for celsius in degrees
    ]
    return Glance(
        lead=_lead(best, worst, evidence, refs),
        columns=tuple(label_of(name) for name in names),
        rows=tuple(
            GlanceRow(
                refs[week.race_id],
                tuple(_time(week)),
                temperature,
                short(str(week.race.get("notes") or ""), LONGEST_NOTE),
                tuple(cells),
                flags_text(week),
                marks.get(week.race_id, ""),
            )
            for week, temperature, cells in zip(weeks, temperatures, rows, strict=True)
        ),
        notes=notes,
        signs=signs_explained(evidence.outcome),
    )


LONGEST_NOTE = 160
"""Letters of a note that the table shows; the whole note is in `study.json`."""


def _time(week: RaceWeek) -> Iterator[str]:
    """The finish time and what was expected of it, or the place where races are compared by it."""
    row = week.race
    known = {name: value for name, value in row.items() if isinstance(value, float) and value > 0}
    if ended := _ENDED.get(str(row.get("status"))):
        yield ended
    if "finish_time_s" in known:
        yield clock(known["finish_time_s"])
    if week.scale == "place" and "place" in known:
        field = f" of {known['field_size']:.0f}" if "field_size" in known else ""
        yield f"place {known['place']:.0f}{field}"
    if "expected_time_s" in known:
        expected, estimate = known["expected_time_s"], row.get("expected_source")
        yield f"expected {f'{about(expected)} by estimate' if estimate else clock(expected)}"
    if "reference_time_s" in known:
        yield f"{row.get('reference') or 'reference'} {clock(known['reference_time_s'])}"


_ENDED = {
    "dnf": "not finished",
    "dns": "not started",
    "short_course": "short course",
    "cancelled": "cancelled",
}


def best_and_worst(
    weeks: tuple[RaceWeek, ...], evidence: Evidence
) -> tuple[RaceWeek | None, RaceWeek | None]:
    """The weeks before the best and the worst race; neither where under two can be compared, or
    all went alike."""
    out = {label for label, _ in evidence.left_out}
    known = [
        (float(value), week)
        for week in weeks
        if week.race_id not in out and (value := week.number(evidence.outcome.name)) is not None
    ]
    if len(known) < 2:
        return None, None
    in_order = sorted(known, key=lambda pair: pair[0], reverse=evidence.outcome.more_is_good)
    if in_order[0][0] == in_order[-1][0]:
        return None, None
    return in_order[0][1], in_order[-1][1]


def flags_text(week: RaceWeek) -> str:
    """How many sessions were caught, and by which rules; unknown is not none."""
    flags, counted = week.flags, week.measures.get("panic_sessions")
    caveat = f" ({counted.caveat})" if counted and counted.caveat else ""
    if not flags:
        return f"none{caveat}" if week.looked_at else UNKNOWN
    rules = list(dict.fromkeys(flag.rule.replace("_", " ") for flag in flags))
    at_least = "" if week.looked_at else "at least "
    return f"{at_least}{count(len(flags), 'flag')}: {listing(rules)}{caveat}"


def cuts_compared(weeks: tuple[RaceWeek, ...], evidence: Evidence, refs: dict[str, RaceRef]) -> str:
    """What volume cut the best and the worst race came after; empty where that is unknown."""
    best, worst = best_and_worst(weeks, evidence)
    if best is None or worst is None:
        return ""
    cuts = [measure_cell(week, "volume_cut") for week in (best, worst)]
    if any(cut.reason for cut in cuts):
        return ""
    return (
        f"Your best race, {refs[best.race_id].key}, came after a volume cut of {cuts[0].text}; "
        f"your worst, {refs[worst.race_id].key}, after one of {cuts[1].text}."
    )


def _lead(
    best: RaceWeek | None,
    worst: RaceWeek | None,
    evidence: Evidence,
    refs: dict[str, RaceRef],
) -> str:
    if best is None or worst is None:
        alike = ", and all went alike" if evidence.n > 1 else ""
        races = count(evidence.n, "race")
        return sentence(f"{races} can be compared{alike}, so no best week is named")
    said = []
    for which, week in zip(evidence.outcome.ends, (best, worst), strict=True):
        race, clauses = refs[week.race_id], week_clauses(week)
        name = evidence.outcome.name
        result = f"{label_of(name)} {measure_cell(week, name).text}"
        before = f". The week before it held {listing(clauses)}" if clauses else ""
        said.append(f"The {which} was race {race.key}, {race.date}, {result}{before}.")
    return " ".join(said)


def week_clauses(week: RaceWeek) -> list[str]:
    """What a race week was, in words: volume, hard work, sleep, body clock, flags."""
    clauses = []
    if (cut := week.number("volume_cut")) is not None:
        clauses.append(
            compared("volume_cut", -cut, "as much training as usual", "training than usual")
        )
    if (kept := week.number("intensity_kept")) is not None:
        clauses.append(f"{QUANTITIES['intensity_kept'].show(kept)} of the usual share of hard work")
    if (change := week.number("sleep_change_h")) is not None:
        clauses.append(compared("sleep_change_h", change, "the usual sleep", "sleep"))
    if (lag := week.number("body_clock_lag_h")) is not None and lag > 0:
        clauses.append(f"{QUANTITIES['body_clock_lag_h'].show(lag)} of a time change left")
    if week.flags:
        clauses.append(count(len(week.flags), "panic flag"))
    return clauses


def compared(name: str, more: float, as_usual: str, what: str = "") -> str:
    """A change in words: "46% less training than usual"."""
    quantity = QUANTITIES[name]
    if is_nothing(quantity, more):
        return as_usual
    digits = quantity.show(abs(more)).lstrip("+")
    return f"{digits} {'more' if more > 0 else 'less'} {what}".rstrip()


def signs_explained(outcome: Outcome) -> str:
    """How to read the signs of the table."""
    result = (
        "A positive result is faster than the comparison, a negative one slower."
        if outcome.more_is_good
        else "Race RPE runs from 0, no effort, to 10, the hardest."
    )
    return (
        f"{result} A negative volume cut means that race week was larger than a usual week. Sleep "
        "change is against your own usual night. Body clock behind is what was left of a time "
        "change on race day. Intensity kept is the share of hard time in race week over that in a "
        "usual week: 100% is as usual."
    )
