"""What a squad's report is made of, for whoever looks for one and reviews nothing."""

from __future__ import annotations

SQUAD_FILES = ("squad.html", "squad.csv", "squad_race_weeks.csv", "squad.json")
"""The files of a squad's report; the athletes' own reports lie in folders beside them."""
