"""Panic training: each session that left the athlete's habit, and what the race after it did."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from taperback.common.dates import day_month
from taperback.common.outcomes import RESULT, RPE, Outcome
from taperback.common.wording import count, hours_and_minutes, number_word, out_of
from taperback.raceweek.factors.panic import HARD_UNSEEN, TUNE_UP
from taperback.raceweek.model import Flag, RaceWeek
from taperback.report.words.cells import RaceRef, label_of, measure_cell
from taperback.report.words.wording import days_before, races_named, readable, sentence


@dataclass(frozen=True)
class FlagView:
    """One flagged session. `number` is its number on the whole page."""

    number: int
    anchor: str
    rule: str
    when: str
    session: str
    evidence: str


@dataclass(frozen=True)
class FlaggedWeek:
    """One race's flagged sessions, and what the race after them came to."""

    race: RaceRef
    flags: tuple[FlagView, ...]
    afterwards: str


@dataclass(frozen=True)
class Panic:
    """All flagged sessions by race, the lead above them, and the races without any.

    `unknown` says which weeks could not be looked at, a sentence for each reason.
    """

    lead: str
    weeks: tuple[FlaggedWeek, ...]
    calm: str
    unknown: tuple[str, ...]


def flag_numbers(weeks: tuple[RaceWeek, ...]) -> dict[str, tuple[int, ...]]:
    """The page's number of every flag, by race."""
    numbers: dict[str, tuple[int, ...]] = {}
    first = 1
    for week in weeks:
        numbers[week.race_id] = tuple(range(first, first + len(week.flags)))
        first += len(week.flags)
    return numbers


def panic(weeks: tuple[RaceWeek, ...], outcome: Outcome, refs: dict[str, RaceRef]) -> Panic:
    """Every flag with its evidence, and the outcome of the race that followed."""
    numbers = flag_numbers(weeks)
    flagged = []
    for week in (week for week in weeks if week.flags):
        flags = tuple(
            FlagView(
                number,
                f"flag-{number}",
                flag.rule.replace("_", " "),
                f"{days_before(flag.day_before)}, {day_month(flag.day)}",
                sentence(flag.session),
                evidence_sentence(flag),
            )
            for number, flag in zip(numbers[week.race_id], week.flags, strict=True)
        )
        race = refs[week.race_id]
        flagged.append(FlaggedWeek(race, flags, _afterwards(week, outcome, race)))
    looked_at = [week for week in weeks if week.looked_at]
    calm = [refs[week.race_id].key for week in looked_at if not week.flags]
    seen = f"Nothing of the kind was seen before {races_named(calm)}."
    return Panic(
        _lead(weeks, looked_at),
        tuple(flagged),
        seen if flagged and calm else "",
        tuple(_unlooked(weeks, refs)),
    )


def _unlooked(weeks: tuple[RaceWeek, ...], refs: dict[str, RaceRef]) -> Iterator[str]:
    """Which race weeks could not be looked at, or only half, the races of each reason together."""
    by_reason: dict[str, list[str]] = {}
    for week in weeks:
        sessions = week.measures["panic_sessions"]
        reason = sessions.caveat if sessions.caveat == HARD_UNSEEN else sessions.reason
        if reason:
            by_reason.setdefault(reason, []).append(refs[week.race_id].key)
    for reason, keys in by_reason.items():
        races = races_named(keys)
        if reason == HARD_UNSEEN:
            yield (
                f"Before {races} too little is known of how hard the sessions were to look for "
                "hard ones; only their length, sport and days were looked at."
            )
        elif reason == TUNE_UP:
            yield f"Before {races} nothing was looked for: {reason}."
        else:
            yield (
                f"The last days before {races} could not be looked at in full. {readable(reason)}"
            )


def _lead(weeks: tuple[RaceWeek, ...], looked_at: list[RaceWeek]) -> str:
    if not weeks:
        return "There is no race week to look at."
    flags = sum(len(week.flags) for week in weeks)
    if not flags and not looked_at:
        return "No race week could be looked at for panic training."
    if not flags:
        which = "each race that could be looked at" if len(looked_at) < len(weeks) else "each race"
        return f"In the last ten days before {which}, no session was outside what you usually do."
    races = sum(1 for week in weeks if week.flags)
    return (
        f"Before {out_of(races, len(weeks), 'race')}, something in the last ten "
        f"days was unusual for you: {count(flags, 'flag')}. Nerves before a race are normal; this "
        "only shows where a week differed from your others, and cannot tell that it changed the "
        "race."
    )


def evidence_sentence(flag: Flag) -> str:
    """What was measured, what the limit is, and how often the usual weeks saw the like."""
    figure, limit = amount(flag.figure, flag.unit), amount(flag.limit, flag.unit)
    why = {
        "long": f"It took {figure}; your usual sessions set the limit at {limit}.",
        "hard": f"It held {figure} of hard work; your usual sessions set the limit at {limit}.",
        "late": f"It held {figure} of hard work this close to the race, where up to {limit} "
        "passes as an opener.",
        "catching_up": f"Seven days came to {figure}, above the limit of {limit} that your usual "
        "week sets, after a week below the usual one.",
        "on_feet": f"It came to {figure} on your feet; your usual days set the limit at {limit}.",
        "first_time": "Your usual weeks hold nothing of this kind.",
    }.get(flag.rule, f"{figure} against a limit of {limit}.")
    if flag.out_of == 0 or flag.rule == "first_time":
        return why
    seen = number_word(flag.seen_before).capitalize() if flag.seen_before else "None"
    habit = "; it is the day that is unusual" if flag.seen_before else ""
    of_what, did = {
        "late": ("usual training day", f"held more than that{habit}"),
        "on_feet": ("usual day", "went as far"),
        "catching_up": ("usual pair", "of weeks changed that much from one to the next"),
    }.get(flag.rule, ("usual session", "went as far"))
    return f"{why} {seen} of {count(flag.out_of, of_what)} {did}."


def amount(value: float, unit: str) -> str:
    """A flag's figure: hours to a tenth, minutes and counts whole, long ones in hours, too."""
    if unit == "min":
        return hours_and_minutes(value)
    decimals = 1 if unit == "h" else 0
    return f"{value:.{decimals}f} {unit}".strip()


def _afterwards(week: RaceWeek, outcome: Outcome, race: RaceRef) -> str:
    names = dict.fromkeys((outcome.name, RESULT.name, RPE.name))
    values = [
        f"{label_of(name)} {cell.text}"
        for name in names
        if not (cell := measure_cell(week, name)).reason
    ]
    if not values:
        return f"What race {race.key} came to is unknown: {measure_cell(week, outcome.name).reason}"
    return f"The race after it: {', '.join(values)}."
