"""What the report was made from: files, thresholds, rules, settings, versions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from taperback.common.dates import day_month_year
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import count, listing
from taperback.importer.model import Imported
from taperback.journal.model import Journal
from taperback.report.words.wording import sentence, short, sport_word

_STATUS = {
    "used": "used",
    "copy": "left out, the same activity being in another",
    "unused": "with nothing that could be used",
}
_UNITS = {"w": "W", "mps": "m/s", "bpm": "bpm"}
_RULES = {"recording gap": "gaps in recording", "pause": "pauses"}


@dataclass(frozen=True)
class MadeFrom:
    """Everything the page rests on, as finished lines.

    Attributes:
        files: how many files of which kind, and what became of them.
        copies: activities found twice: (file, why it was left out).
        journal: what the journal held.
        thresholds: personal limits, each with its date.
        cleaned: (rule, seconds taken out).
        versions: (name, version).
    """

    files: tuple[str, ...]
    copies: tuple[tuple[str, str], ...]
    journal: str
    thresholds: tuple[str, ...]
    cleaned: tuple[tuple[str, str], ...]
    versions: tuple[tuple[str, str], ...]


def made_from(imported: Imported, journal: Journal, versions: Mapping[str, str]) -> MadeFrom:
    """What files, journal, thresholds and versions stand behind the numbers."""
    held = (
        count(len(journal.races), "race"),
        count(len(journal.nights), "night"),
        count(len(journal.trips), "trip"),
        *([count(len(journal.sessions), "typed session")] if len(journal.sessions) else []),
        *([count(len(journal.days), "day") + " of a diary"] if len(journal.days) else []),
        f"{count(len(journal.athlete.periods), 'period')} of illness, injury, rest or missing "
        "records",
    )
    thresholds = []
    for limit in journal.athlete.thresholds:
        name, _, unit = limit.name.rpartition("_")
        value = f"{limit.value:.2f}" if unit == "mps" else f"{limit.value:.0f}"
        sport = f", {sport_word(limit.sport)}" if limit.sport else ""
        thresholds.append(
            f"{name.replace('_', ' ')}{sport}: {value} {_UNITS.get(unit, unit)}, from "
            f"{day_month_year(limit.since)}"
        )
    seconds_of = QUANTITIES["removed_s"]
    return MadeFrom(
        files=_files(imported.files),
        copies=tuple(
            (short(str(row.file), 120), str(row.reason)) for row in imported.copies.itertuples()
        ),
        journal=f"The journal holds {listing(held)}.",
        thresholds=tuple(thresholds),
        cleaned=tuple(
            (_RULES.get(rule, rule), seconds_of.show(seconds))
            for rule, seconds in imported.removed_s.items()
            if seconds > 0
        ),
        versions=tuple(versions.items()),
    )


def _files(files: pd.DataFrame) -> tuple[str, ...]:
    """One line a status: how many files, by format."""
    lines = []
    for status, words in _STATUS.items():
        formats = Counter(files.loc[files["status"] == status, "file_format"])
        if total := sum(formats.values()):
            kinds = [f"{n} {kind.upper()}" for kind, n in sorted(formats.items()) if kind]
            of_kinds = f" ({listing(kinds)})" if kinds else ""
            lines.append(sentence(f"{count(total, 'file')} {words}{of_kinds}"))
    return tuple(lines) or ("No activity files.",)
