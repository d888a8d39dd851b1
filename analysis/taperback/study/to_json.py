"""A study as `study.json`: every number of the page, with its unit and what it rests on.

The schema is documented in DEVELOPERS.md. Coordinates, device settings and file paths outside the
athlete's folder are never part of it.
"""

from __future__ import annotations

from collections.abc import Iterable

from taperback.common.files.resources import shared_toml
from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.common.plain import plain
from taperback.common.quantities import QUANTITIES
from taperback.evidence.model import INTERVAL, Evidence
from taperback.journal.columns import TABLES
from taperback.raceweek.model import RaceWeek
from taperback.study.review import SCHEMA_VERSION, Study

LEG_COLUMNS = ("leg_id", "file", "sport", "sub_sport", "local_day", "moving_s", "distance_m")
"""What `study.json` tells of a leg, so that a measure's inputs can be followed to a file."""


def to_json(study: Study) -> dict[str, object]:
    """The study in plain values, ready for `json.dumps`."""
    athlete = study.journal.athlete
    legs = study.imported.legs
    used: set[str] = set()
    for week in study.weeks:
        used.update(week.race_legs)
        used.update(*(measured.legs for measured in week.measures.values()))
        used.update(*(flag.legs for flag in week.flags))
    file_counts: dict[str, dict[str, int]] = {}
    for (status, kind), rows in study.imported.files.groupby(["status", "file_format"]):
        file_counts.setdefault(str(status), {})[str(kind)] = len(rows)
    return {
        "schema_version": SCHEMA_VERSION,
        "athlete": plain(athlete),
        "journal": {name: len(getattr(study.journal, name)) for name in TABLES},
        "outcome": study.outcome.asked,
        "unconfirmed": study.unconfirmed,
        "besides": plain(study.besides),
        "races": [_race(week) for week in study.weeks],
        "races_ahead": plain(study.ahead),
        "last_recorded_day": plain(study.last_day),
        "evidence": {"result": _evidence(study.result), "rpe": _evidence(study.rpe)},
        "next_week": plain(study.next_week),
        "legs": plain(legs[legs["leg_id"].isin(used)][list(LEG_COLUMNS)]),
        "files": plain(study.imported.files),
        "file_counts": file_counts,
        "unread": {
            "files": len(study.imported.unread),
            "of": len(study.imported.files),
            "days": plain(sorted(study.imported.unread_days)),
        },
        "wrong_clocks": plain(study.imported.wrong_clocks),
        "silent_days": plain(sorted(study.imported.silent_days)),
        "copies": plain(study.imported.copies),
        "removed_s": study.imported.removed_s,
        "notices": notices_json(study.notices),
        "quantities": quantities_json(),
        "settings": {
            "interval": INTERVAL,
            "limits": plain(LIMITS),
            "published": plain(shared_toml("published.toml")),
        },
        "versions": study.versions,
    }


def notices_json(notices: Iterable[Notice]) -> list[dict[str, object]]:
    """Remarks, each as its sentence and in its parts."""
    return [{"text": str(notice), "notice": plain(notice)} for notice in notices]


def quantities_json() -> dict[str, object]:
    """Every quantity by its name: what it is called, its unit, and what it means."""
    return {
        name: {"label": quantity.label, "unit": quantity.unit, "meaning": quantity.meaning}
        for name, quantity in QUANTITIES.items()
    }


def _evidence(evidence: Evidence) -> dict[str, object]:
    """The evidence, its outcome by name."""
    outcome = evidence.outcome
    values = {name: plain(value) for name, value in vars(evidence).items() if name != "outcome"}
    return {"outcome": outcome.name, "more_is_good": outcome.more_is_good} | values


def _race(week: RaceWeek) -> dict[str, object]:
    return {
        "race_id": week.race_id,
        "name": week.name,
        "date": plain(week.day0),
        "journal": plain(week.race),
        "measures": {
            name: {
                "value": plain(measured.value),
                "unit": QUANTITIES[name].unit if name in QUANTITIES else "",
                "reason": measured.reason,
                "basis": measured.basis,
                "days": plain(measured.days),
                "legs": list(measured.legs),
            }
            for name, measured in week.measures.items()
        },
        "days": plain(week.days),
        "diary": plain(week.diary),
        "flags": plain(week.flags),
        "race_legs": list(week.race_legs),
        "facts": list(week.facts),
    }
