"""A squad as `squad.json`: every number of the coach's page, with what it rests on."""

from __future__ import annotations

from taperback.common.files.resources import shared_toml
from taperback.common.plain import plain
from taperback.evidence.model import INTERVAL
from taperback.evidence.squad import borrows, compare, surest
from taperback.squad.attention import attention, in_order
from taperback.squad.members import flags_by_rule, is_thin
from taperback.squad.model import Member, Squad
from taperback.study.to_json import notices_json, quantities_json

SQUAD_SCHEMA_VERSION = 3
"""Version of `squad.json`; it rises when a field changes its meaning or goes."""


def squad_json(squad: Squad) -> dict[str, object]:
    """The squad in plain values, ready for `json.dumps`."""
    races = [race for member in squad.members for race in member.races]
    return {
        "squad_schema_version": SQUAD_SCHEMA_VERSION,
        "athletes": [_athlete(member, squad) for member in squad.members],
        "look_at_first": plain([member.key for member in in_order(squad)]),
        "counts": {
            "athletes_with_results": sum(1 for member in squad.members if member.results),
            "races_over": len(races),
            "races_with_flags": sum(1 for race in races if race.flags),
            "flags": {
                rule: {"seen": days.total(), "days_before": sorted(days)}
                for rule, days in flags_by_rule(squad.members).items()
            },
            "athletes_alone_in_numbers": squad.alone_in_numbers,
            "athletes_with_nothing_unknown": sum(1 for m in squad.members if not is_thin(m)),
        },
        "evidence": plain(squad.evidence),
        "surest": most.factor if squad.evidence and (most := surest(squad.evidence)) else None,
        "mixed_model_compared": plain(compare(squad.evidence)) if squad.evidence else {},
        "broken": [
            plain({"folder": one.folder, "text": str(one.why), "notice": one.why})
            for one in squad.broken
        ],
        "left_out": notices_json(squad.left_out),
        "quantities": quantities_json(),
        "settings": {"interval": INTERVAL, "published": plain(shared_toml("published.toml"))},
        "versions": squad.versions,
    }


def _athlete(member: Member, squad: Squad) -> dict[str, object]:
    look = attention(member)
    return {
        "folder": plain(member.key),
        "name": member.name,
        "results": member.results,
        "panic_flags": look.flags,
        "flagged_races": look.flagged_races,
        "attention": plain(look),
        "use_cut_with_squad": squad.evidence is not None and borrows(squad.evidence, member.key),
        "rule": plain(member.rule),
        "race_weeks": member.weeks.rows(),
        "past_races": plain(member.races),
        "next_race": plain(member.next_race),
        "last_recorded_day": plain(member.last_day),
        "gaps": plain(member.gaps),
        "notices": notices_json(member.notices),
    }
