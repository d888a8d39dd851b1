"""The whole page as finished values: the template that prints it decides nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from taperback.common.limits import LIMITS
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, listing, number_word
from taperback.evidence.model import STRENGTHS, Evidence
from taperback.raceweek.window.counting import activity_words
from taperback.report.sections.factors import (
    EffectsView,
    FactorView,
    effects_view,
    factor_views,
)
from taperback.report.sections.glance import Glance, best_and_worst, glance
from taperback.report.sections.made_from import MadeFrom, made_from
from taperback.report.sections.measures import Measures, measures
from taperback.report.sections.next_time import NextTime, next_time
from taperback.report.sections.pair import Pair, pair
from taperback.report.sections.panic import Panic, flag_numbers, panic
from taperback.report.sections.rule import RuleView, rule_view
from taperback.report.sections.sources import Sources, sources
from taperback.report.sections.unused import Unused, unused
from taperback.report.sections.week_strips import Strip, legend, strips
from taperback.report.words.cells import RaceRef, label_of, race_refs
from taperback.report.words.findings import adds_nothing, finding
from taperback.report.words.wording import short
from taperback.study.besides import Besides
from taperback.study.review import Study

UNCONFIRMED = (
    "Nobody has confirmed these races: they are what the files show, with the files' times. Write "
    "them down with taperback draft, put them right, and review again before you act on this page."
)

BY_PLACE = (
    "Results are compared by place, since no two races have a finish time with an expected or a "
    "reference time, and are shown as the time that such places differ by in a usual field. A "
    "place also depends on who else raced: where your sport has times, type those."
)


@dataclass(frozen=True)
class Page:
    """Everything on the page, in its order."""

    title: str
    athlete: str
    subtitle: str
    first: tuple[str, ...]
    rule: RuleView
    glance: Glance
    strips: tuple[Strip, ...]
    measures: Measures
    effects: EffectsView
    factors: tuple[FactorView, ...]
    adds_nothing: str
    outcome: str
    other_outcome: tuple[str, tuple[str, ...]]
    pair: Pair
    panic: Panic
    next_time: NextTime
    unused: Unused
    made_from: MadeFrom
    sources: Sources

    @property
    def has_diary(self) -> bool:
        """Whether a diary stands below any strip."""
        return any(strip.diary for strip in self.strips)

    @property
    def legend(self) -> tuple[tuple[str, str], ...]:
        """What the signs in the strips mean."""
        return legend(self.strips)


def page_view(study: Study, *, of_squad: bool = False) -> Page:
    """The study as the page shows it; `of_squad`: a coach's page has a range for the athlete."""
    refs = race_refs(study.weeks)
    outcome = study.outcome
    asked = study.asked
    athlete = study.journal.athlete
    return Page(
        title=f"Race weeks of {short(athlete.name) or 'an athlete'}",
        athlete=short(athlete.name) or "An athlete",
        subtitle=_subtitle(refs, study.result.n),
        first=tuple(_first(study)),
        rule=rule_view(study, refs, of_squad=of_squad),
        glance=glance(study.weeks, asked, refs),
        strips=strips(
            study.weeks,
            outcome,
            refs,
            athlete.sports,
            flag_numbers(study.weeks),
            {week.race_id for week in best_and_worst(study.weeks, asked) if week},
        ),
        measures=measures(study.weeks, refs),
        effects=effects_view(asked),
        adds_nothing=adds_nothing(asked.factors, outcome),
        factors=factor_views(asked, refs, study.weeks),
        outcome=label_of(outcome.name),
        other_outcome=_other(study.other),
        pair=pair(study.weeks, asked, refs),
        panic=panic(study.weeks, outcome, refs),
        next_time=next_time(study.next_week, study.result.rule, refs, study.ahead),
        unused=unused(asked, study.notices, refs, study.weeks, study.journal.files),
        made_from=made_from(study.imported, study.journal, study.versions),
        sources=sources(study.weeks),
    )


def _first(study: Study) -> Iterator[str]:
    """What a reader must know before anything else on the page."""
    if study.unconfirmed:
        yield UNCONFIRMED
    if any(week.scale == "place" for week in study.weeks):
        yield BY_PLACE
    if study.besides.share > LIMITS.sessions.besides_share:
        yield besides_words(study.besides)
    if study.imported.many_unread_words:
        yield study.imported.many_unread_words
    if study.imported.wrong_clock_words:
        yield study.imported.wrong_clock_words


def besides_words(besides: Besides) -> str:
    """What is done beside training, for the first screen."""
    names = listing([activity_words(name) for name in besides.names])
    return (
        f"Besides: {QUANTITIES['other_h'].show(besides.weekly_h)} a week of {names}, which "
        f"{'does' if len(besides.names) == 1 else 'do'} not count as training. The sports that "
        "count are in athlete.toml."
    )


def _subtitle(refs: dict[str, RaceRef], compared: int) -> str:
    dates = [ref.date for ref in refs.values()]
    if not dates:
        return "No race"
    if len(dates) == 1:
        return f"One race, {dates[0]}"
    rests = "" if compared == len(dates) else f"; the rule rests on {number_word(compared)} of them"
    return f"{count(len(dates), 'race').capitalize()}, {dates[0]} to {dates[-1]}{rests}"


def _other(evidence: Evidence) -> tuple[str, tuple[str, ...]]:
    """The outcome that was not asked for: a sentence for each factor that stands out."""
    sentences = [
        f"{label_of(factor.factor).capitalize()}: {finding(factor, evidence.outcome)}"
        for factor in evidence.factors
        if factor.strength != STRENGTHS[0] or factor.points_against
    ]
    if not sentences and evidence.n:
        expected = (
            " from what published studies expect"
            if evidence.outcome.published
            else ", and no published study says what to expect"
        )
        sentences = [f"In {count(evidence.n, 'race')} nothing stands out{expected}."]
    return label_of(evidence.outcome.name), tuple(sentences)
