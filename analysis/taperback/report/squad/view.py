"""The coach's page as finished values: the template that prints it decides nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from taperback.common.dates import day_month_year
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, listing, number_word
from taperback.evidence.effects import EFFECT_UNITS
from taperback.evidence.mixed import FEWEST_ATHLETES
from taperback.evidence.squad import SquadEvidence, borrows, scattered, surest
from taperback.report.sections.sources import Source, sources
from taperback.report.squad.athletes import AthleteRow, athlete_name, athlete_rows
from taperback.report.squad.factors import DIFFERENCE, SquadFactorView, squad_factors
from taperback.report.words.cells import label_of
from taperback.report.words.factors import effect_step
from taperback.report.words.findings import MORE_OF
from taperback.report.words.gaps import to_do
from taperback.report.words.wording import days_before, interval, sentence, short, span
from taperback.squad.attention import in_order
from taperback.squad.members import FEWEST_RESULTS, flags_by_rule, is_thin
from taperback.squad.model import Member, PastRace, Squad

_UNSIGNED = replace(QUANTITIES["result_pct"], signed=False)


@dataclass(frozen=True)
class PanicRow:
    """One race with flags before it."""

    number: int
    name: str
    race: str
    flags: tuple[str, ...]


@dataclass(frozen=True)
class ThinRow:
    """One athlete whose data are thin: what is unknown, and what would help."""

    number: int
    name: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class SquadPage:
    """Everything on the page, in its order."""

    title: str
    subtitle: str
    rule: str
    reasons: tuple[str, ...]
    athletes: tuple[AthleteRow, ...]
    factors: tuple[SquadFactorView, ...]
    panic_lead: str
    panic: tuple[PanicRow, ...]
    panic_when: tuple[tuple[str, str, str], ...]
    thin: tuple[ThinRow, ...]
    enough: str
    left_out: tuple[str, ...]
    sources: tuple[tuple[str, tuple[Source, ...]], ...]
    versions: dict[str, str]
    anonymous: bool


def squad_view(squad: Squad, *, anonymous: bool = False) -> SquadPage:
    """The squad as the page shows it; `anonymous` says that names and days were taken out."""
    members = in_order(squad)
    names = {m.key: athlete_name(m) for m in members}
    thin = tuple(_thin(n, m) for n, m in enumerate(members, 1) if is_thin(m))
    others = count(len(members) - len(thin), "other athlete")
    who = f"Of {others}" if thin else "Of every athlete"
    days = [race.day for member in members for race in member.races if race.day]
    races = f"{count(sum(member.results for member in members), 'race')} with a result"
    since = f", {day_month_year(min(days))} to {day_month_year(max(days))}" if days else ""
    return SquadPage(
        title=f"Squad of {count(len(members), 'athlete')}",
        subtitle=f"{races}{since}",
        rule=_rule(squad.evidence),
        reasons=_reasons(squad),
        athletes=tuple(athlete_rows(squad, members, anonymous)),
        factors=squad_factors(squad.evidence, names) if squad.evidence else (),
        panic_lead=_panic_lead(members),
        panic=tuple(
            _panic_row(number, member, race)
            for number, member in enumerate(members, 1)
            for race in member.races
            if race.flags
        ),
        panic_when=tuple(
            (
                rule.replace("_", " "),
                str(days_of.total()),
                listing(str(day) for day in sorted(days_of, reverse=True)),
            )
            for rule, days_of in flags_by_rule(members).items()
        ),
        thin=thin,
        enough=f"{who}, everything that evidence rests on is known for the races that are over."
        if len(members) > len(thin)
        else "",
        left_out=tuple(map(str, squad.left_out)),
        sources=sources(()).groups,
        versions=squad.versions,
        anonymous=anonymous,
    )


def _rule(evidence: SquadEvidence | None) -> str:
    """What the squad is surest of, and the cut for whom nothing else is known of."""
    if evidence is None:
        return "No athlete's folder could be used."
    sure = "The squad's races leave it open whether any of the four helps."
    if factor := surest(evidence):
        more, less = MORE_OF[factor.factor]
        sure = (
            f"The squad is surest that {more if factor.shared.mean > 0 else less} goes with faster "
            f"races: {interval(DIFFERENCE, factor.shared)} "
            f"{effect_step(factor.factor, EFFECT_UNITS[factor.factor])}."
        )
    cut = span(QUANTITIES["volume_cut"], evidence.cut.low, evidence.cut.high)
    return (
        f"{sure} For an athlete of whom nothing else is known, train {cut} "
        "less than usual in the last seven days."
    )


def _reasons(squad: Squad) -> tuple[str, ...]:
    evidence = squad.evidence
    if evidence is None:
        return ()
    with_results = [m for m in squad.members if m.results]
    without = [athlete_name(m) for m in squad.members if not m.results]
    reasons = [
        f"It starts from published studies and adds {count(evidence.races, 'race')} with a result "
        f"of {count(len(with_results), 'athlete')}.",
        "Every cut in that range is expected to be as good as the best, as far as data can show.",
        *_which_range(squad, evidence),
        "Between two races of one athlete, results vary by "
        f"{interval(_UNSIGNED, evidence.noise)} for reasons that nothing here "
        "explains.",
    ]
    wild = scattered(evidence)
    if wild:
        names = [athlete_name(m) for m in squad.members if m.key in wild]
        reasons.append(
            f"The races of {listing(names)} scatter far more than is usual here, which makes "
            "everybody's races count for less."
        )
    if 0 < len(with_results) < FEWEST_ATHLETES:
        few = f"{count(len(with_results), 'athlete')} with a result"
        says = "says" if len(with_results) == 1 else "say"
        reasons.append(sentence(f"{few} {says} little of what athletes have in common"))
    if without:
        reasons.append(
            f"{listing(without)} {'has' if len(without) == 1 else 'have'} no race with a result: "
            "what the table gives there with the squad is the squad's estimate alone."
        )
    reasons.append(
        "Only results are compared over a squad: how hard a race felt is each athlete's own."
    )
    if squad.alone_in_numbers is not None:
        reasons.append(recognisable(squad.alone_in_numbers, len(squad.members)))
    return tuple(reasons)


def _which_range(squad: Squad, evidence: SquadEvidence) -> tuple[str, ...]:
    """Which range to use for whom."""
    own = [
        athlete_name(m)
        for m in squad.members
        if m.rule and m.results and not borrows(evidence, m.key)
    ]
    rests = (
        "It rests on the athlete's own races and on those of the squad: the fewer the own are, the "
        "more it follows the squad."
    )
    if not own:
        return (f"For each athlete, use the cut with the squad. {rests}",)
    return (
        f"Use the cut with the squad. {rests}",
        f"For {listing(own)} use the own cut: the squad's races scatter more and make it no surer.",
    )


def recognisable(alone: int, athletes: int) -> str:
    """Who can still be recognised on a page for showing, as a sentence."""
    if not alone:
        return "No athlete here can be recognised by numbers: each has the same as another."
    can = f"{number_word(alone)} of {count(athletes, 'athlete')} can"
    return sentence(
        f"{can} still be recognised by whoever has that athlete's own report, since no other "
        "athlete here has the same numbers"
    )


def _panic_lead(members: tuple[Member, ...]) -> str:
    races = sum(len(member.races) for member in members)
    flagged = [member for member in members if any(race.flags for race in member.races)]
    if not races:
        return "No race is over yet."
    if not flagged:
        return (
            f"Before none of {count(races, 'race')} was a session seen that was unusual for its "
            "athlete."
        )
    weeks = sum(1 for member in flagged for race in member.races if race.flags)
    return (
        f"Before {number_word(weeks)} of {count(races, 'race')}, {count(len(flagged), 'athlete')} "
        "did something that was unusual for them in the last ten days. Nerves are normal; it shows "
        "where a week differed, not that it changed the race."
    )


def _panic_row(number: int, member: Member, race: PastRace) -> PanicRow:
    when = f", {day_month_year(race.day)}" if race.day else ""
    flags = tuple(
        f"{flag.rule.replace('_', ' ')}, {days_before(flag.day_before)}"
        + (f": {short(flag.session)}" if flag.session else "")
        for flag in race.flags
    )
    return PanicRow(number, athlete_name(member), f"{short(race.name)}{when}", flags)


def _thin(number: int, member: Member) -> ThinRow:
    """What is unknown of one athlete, the same measure once."""
    lines = []
    if member.has_faults:
        lines.append("Something in the journal should be put right: taperback check says what.")
    if member.results < FEWEST_RESULTS:
        few = "No race has a result" if not member.results else "Few races have a result"
        lines.append(f"{few}: each further one would help most.")
    by_measure: dict[str, list[Any]] = {}
    for gap in member.gaps:
        by_measure.setdefault(gap.measure, []).append(gap)
    for measure, gaps in by_measure.items():
        line = sentence(f"{label_of(measure)} is unknown for {count(len(gaps), 'race')}")
        why = to_do(gaps[-1], named=True) or sentence(gaps[-1].reason)
        lines.append(f"{line} {why}".strip())
    return ThinRow(number, athlete_name(member), tuple(lines))
