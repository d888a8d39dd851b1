"""What would make known what is missing, in sentences of a page."""

from __future__ import annotations

from taperback.report.words.wording import sentence
from taperback.study.missing import Gap


def to_do(gap: Gap, *, named: bool = False) -> str:
    """What to add for one gap, with its race if it is to be named; empty where nothing helps."""
    if not gap.add:
        return ""
    of_race = f" for {gap.race}" if named else ""
    said = [sentence(f"{gap.add} would make {gap.label} known{of_race}")]
    said += ["Where nobody trained, periods.csv may say why."] if gap.or_period else []
    return " ".join([*said, sentence(gap.also)] if gap.also else said)
