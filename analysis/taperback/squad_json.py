"""A squad as `squad.json`: every number of the coach's page, with what it rests on."""

from __future__ import annotations

import pandas as pd

from taperback.evidence.squad import compare
from taperback.plain import plain
from taperback.quantities import QUANTITIES
from taperback.resources import shared_toml
from taperback.squad import Member, Squad, flags_by_rule, is_thin
from taperback.study_json import INTERVAL

SQUAD_SCHEMA_VERSION = 1
"""Version of `squad.json`; it rises when a field changes its meaning or goes."""


def squad_json(squad: Squad) -> dict[str, object]:
    """The squad in plain values, ready for `json.dumps`."""
    return {
        "squad_schema_version": SQUAD_SCHEMA_VERSION,
        "athletes": [_athlete(member) for member in squad.members],
        "counts": _counts(squad),
        "evidence": plain(squad.evidence),
        "mixed_model_compared": plain(compare(squad.evidence)) if squad.evidence else {},
        "left_out": [{"text": str(notice), "notice": plain(notice)} for notice in squad.left_out],
        "quantities": {
            name: {"label": q.label, "unit": q.unit, "meaning": q.meaning}
            for name, q in QUANTITIES.items()
        },
        "settings": {"interval": INTERVAL, "published": plain(shared_toml("published.toml"))},
        "versions": squad.versions,
    }


def _counts(squad: Squad) -> dict[str, object]:
    """Sums over the squad that the page tells."""
    races = [race for member in squad.members for race in member.races]
    return {
        "athletes_with_results": sum(1 for member in squad.members if member.results),
        "races_over": len(races),
        "races_with_flags": sum(1 for race in races if race.flags),
        "flags": {
            rule: {"seen": days.total(), "days_before": sorted(days)}
            for rule, days in flags_by_rule(squad.members).items()
        },
        "athletes_with_nothing_unknown": sum(1 for m in squad.members if not is_thin(m)),
    }


def _athlete(member: Member) -> dict[str, object]:
    return {
        "folder": member.key,
        "name": member.name,
        "results": member.results,
        "panic_flags": sum(len(race.flags) for race in member.races),
        "flagged_races": sum(1 for race in member.races if race.flags),
        "rule": plain(member.rule),
        "race_weeks": plain(member.table),
        "past_races": plain(member.races),
        "next_race": plain(member.next_race),
        "gaps": plain(member.gaps),
        "notices": [{"text": str(notice), "notice": plain(notice)} for notice in member.notices],
    }


def athletes_table(squad: Squad) -> pd.DataFrame:
    """One row an athlete: the own rule, the range with the squad, every effect alone and together.

    Columns: `athlete` (folder), `name`, `races`, `results`, `strength`, `own_cut_low`, `_high`,
    `_best` and `squad_cut_low`, `_high`, `_best` (fractions), `next_race`, `next_race_date`,
    `panic_flags`, `flagged_races`, `unknown_measures`, `faults`; then for each factor the effect
    per its unit `<factor>_alone`, `_alone_low`, `_alone_high`, `_together`, `_together_low`,
    `_together_high` (percent of the result), `_borrowed` and `_pulled` (fractions).
    """
    return pd.DataFrame([_row(squad, member) for member in squad.members])


def _row(squad: Squad, member: Member) -> dict[str, object]:
    part = member.rule.parts[0] if member.rule and member.rule.parts else None
    own = (part.low, part.high, part.best) if part else (None, None, None)
    row: dict[str, object] = {
        "athlete": member.key,
        "name": member.name,
        "races": len(member.races),
        "results": member.results,
        "strength": member.rule.strength if member.rule else None,
    }
    row |= dict(zip(("own_cut_low", "own_cut_high", "own_cut_best"), own, strict=True))
    if squad.evidence is not None:
        cut = squad.evidence.cuts[member.key]
        row |= {"squad_cut_low": cut.low, "squad_cut_high": cut.high, "squad_cut_best": cut.best}
    row |= {
        "next_race": member.next_race.name if member.next_race else None,
        "next_race_date": member.next_race.day if member.next_race else None,
        "panic_flags": sum(len(race.flags) for race in member.races),
        "flagged_races": sum(1 for race in member.races if race.flags),
        "unknown_measures": len(member.gaps),
        "faults": member.has_faults,
    }
    return row | _effects(squad, member)


def _effects(squad: Squad, member: Member) -> dict[str, object]:
    row: dict[str, object] = {}
    for factor in squad.evidence.factors if squad.evidence else ():
        one = factor.athletes[member.key]
        for how, estimate in (("alone", one.alone), ("together", one.together)):
            name = f"{factor.factor}_{how}"
            row |= {name: estimate.mean, f"{name}_low": estimate.low, f"{name}_high": estimate.high}
        row[f"{factor.factor}_borrowed"] = one.borrowed
        row[f"{factor.factor}_pulled"] = one.pulled
    return row
