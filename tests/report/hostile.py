"""A study whose every typed word is an attack, a flood or a puzzle for the page."""

from __future__ import annotations

from dataclasses import replace

from report.studies import journal, study
from taperback.common.notices import Level, Notice
from taperback.raceweek.model import Measured
from taperback.study.review import Study

SCRIPT = "</script><img src=x onerror=alert(1)><script>alert(2)</script>"
FLOOD = "W" * 10_000
TURNED = "\u202e\u05d0\u05d1\u05d2 \u0645\u0631\u062d\u0628\u0627\u202c"
EMOJI = "\U0001f3ca\U0001f6b4\U0001f3c3\u200d\u2640\ufe0f {{ 7*7 }} {% raw %} ]]> --> &amp; '\""
WORDS = (SCRIPT, FLOOD, TURNED, EMOJI, "\ud800 \x00 \x1b[31m")


def hostile() -> Study:
    """The usual study with those words wherever a person or a file could have put them."""
    made = study()
    weeks = tuple(
        replace(
            week,
            name=word,
            race={**week.race, "name": word, "notes": word},
            facts=(word,),
            diary=week.diary.assign(notes=word),
            flags=tuple(replace(flag, session=word) for flag in week.flags),
            measures={
                **week.measures,
                "result_pct": replace(week.measures["result_pct"], basis=word),
                "taper_shape": Measured("taper_shape", word, basis=word),
            },
        )
        for week, word in zip(made.weeks, WORDS, strict=True)
    )
    notices = tuple(
        Notice(f"{word}/a.fit", 3, word, "empty", word, word, level)
        for word in WORDS
        for level in Level
    )
    return replace(made, journal=journal(SCRIPT), weeks=weeks, notices=notices)
