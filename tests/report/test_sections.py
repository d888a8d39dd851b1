"""The smaller sections: side by side, panic, next time, not used, made from, sources."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pandas as pd
import pytest

from importer.test_samples import every_second, recording
from report.studies import (
    NOTICES,
    evidence,
    imported,
    journal,
    race_week,
    study,
)
from taperback.common.notices import Level, Notice
from taperback.common.outcomes import RESULT
from taperback.importer.summary.samples import clean
from taperback.raceweek.factors.panic import HARD_UNSEEN
from taperback.raceweek.model import Flag, Measured, unknown
from taperback.report.sections.made_from import _RULES, made_from
from taperback.report.sections.pair import pair
from taperback.report.sections.panic import evidence_sentence, panic
from taperback.report.sections.sources import pieces, sources, value_text
from taperback.report.sections.unused import unused
from taperback.report.words.cells import race_refs

STUDY = study()
REFS = race_refs(STUDY.weeks)
WITH_ROWS = tuple(
    replace(week, race={**week.race, "row": row, "status": "finished"}, lost_to=())
    for row, week in enumerate(STUDY.weeks, start=2)
)


def flag(rule_name: str, figure: float, limit: float, unit: str, seen: int, of: int) -> Flag:
    """A flag with that evidence."""
    day = date(2029, 9, 7)
    return Flag(rule_name, day, 2, ("c.0",), "run", figure, limit, unit, seen, of)


class TestPair:
    def test_best_and_worst_stand_beside_each_other(self) -> None:
        made = pair(STUDY.weeks, STUDY.result, REFS)
        assert made.best is not None
        assert made.worst is not None
        assert (made.best.key, made.worst.key) == ("C", "B")
        rows = {label: (best.text, worst.text) for label, best, worst in made.rows}
        assert rows["volume cut"] == ("52%", "8%")
        assert rows["panic flags"] == ("none", "three flags: catching up, long and late")

    def test_what_differs_comes_first_and_the_largest_difference_first_of_all(self) -> None:
        made = pair(STUDY.weeks, STUDY.result, REFS)
        assert [label for label, *_ in made.rows] == [
            *("result", "sleep change", "panic flags", "volume cut", "intensity kept"),
            "race RPE",
        ]
        assert [label for label, *_ in made.more] == ["race-week volume"]

    def test_a_hundredth_of_what_never_varies_is_no_difference(self) -> None:
        steady = [100.0, 99.0, 100.0, 99.5, 99.7]
        weeks = tuple(
            replace(w, measures={**w.measures, "usual_night_h": Measured("usual_night_h", value)})
            for w, value in zip(STUDY.weeks, steady, strict=True)
        )
        made = pair(weeks, STUDY.result, REFS)
        assert "usual night" not in [label for label, *_ in (*made.rows, *made.more)]

    def test_what_neither_week_knows_is_left_out(self) -> None:
        made = pair(STUDY.weeks, STUDY.result, REFS)
        assert "distance from home" not in [label for label, *_ in (*made.rows, *made.more)]

    def test_one_race_has_no_other_to_stand_beside(self) -> None:
        made = pair(STUDY.weeks[:1], replace(STUDY.result, n=1), REFS)
        assert made.best is None
        assert made.reason == "One race with a comparable outcome; two are needed."


class TestPanic:
    @pytest.mark.parametrize(
        ("found", "text"),
        [
            (
                flag("long", 3.44, 2.6, "h", 1, 24),
                "It took 3.4 h; your usual sessions set the limit at 2.6 h. One of 24 usual "
                "sessions went as far.",
            ),
            (
                flag("late", 22.4, 10, "min", 0, 31),
                "It held 22 min of hard work this close to the race, where up to 10 min passes as "
                "an opener. None of 31 usual training days held more than that.",
            ),
            (
                flag("late", 22.4, 10, "min", 9, 31),
                "It held 22 min of hard work this close to the race, where up to 10 min passes as "
                "an opener. Nine of 31 usual training days held more than that; it is the day that "
                "is unusual.",
            ),
            (
                flag("catching_up", 11.2, 10.5, "h", 2, 6),
                "Seven days came to 11.2 h, above the limit of 10.5 h that your usual week sets, "
                "after a week below the usual one. Two of six usual pairs of weeks changed that "
                "much from one to the next.",
            ),
            (
                flag("first_time", 1, 0, "", 0, 40),
                "Your usual weeks hold nothing of this kind.",
            ),
            (flag("new_rule", 5, 4, "min", 0, 0), "5 min against a limit of 4 min."),
        ],
    )
    def test_a_flag_tells_figure_limit_and_how_usual_it_was(self, found: Flag, text: str) -> None:
        assert evidence_sentence(found) == text

    def test_weeks_that_could_not_be_looked_at_are_named_with_the_reason(self) -> None:
        why = unknown("panic_sessions", "only 1 of 6 baseline weeks can be used")
        weeks = tuple(
            replace(week, flags=(), measures={**week.measures, "panic_sessions": why})
            if week.race_id in (STUDY.weeks[0].race_id, STUDY.weeks[2].race_id)
            else week
            for week in STUDY.weeks
        )
        made = panic(weeks, RESULT, REFS)
        assert made.unknown == (
            "The last days before races A and C could not be looked at in full. Only 1 of 6 "
            "baseline weeks can be used.",
        )
        assert "A" not in made.calm and "C" not in made.calm
        nothing = tuple(
            replace(week, flags=(), measures={**week.measures, "panic_sessions": why})
            for week in STUDY.weeks
        )
        assert panic(nothing, RESULT, REFS).lead == (
            "No race week could be looked at for panic training."
        )

    def test_flags_stand_under_their_race_with_what_came_of_it(self) -> None:
        made = panic(STUDY.weeks, RESULT, REFS)
        assert [week.race.key for week in made.weeks] == ["B"]
        assert [f.number for f in made.weeks[0].flags] == [1, 2, 3]
        assert made.weeks[0].flags[0].when == "5 days before, 4 Sep"
        assert made.weeks[0].afterwards == "The race after it: result −1.9%, race RPE 9.0."
        assert made.calm == "Nothing of the kind was seen before races A, C, D and E."

    def test_nobody_is_blamed(self) -> None:
        made = panic(STUDY.weeks, RESULT, REFS)
        text = f"{made.lead} {[f.evidence for week in made.weeks for f in week.flags]}".lower()
        assert not any(word in text for word in ("should", "mistake", "wrong", "bad", "ruin"))
        assert "cannot tell that it changed the race" in text

    def test_a_calm_season_and_an_empty_one_are_different(self) -> None:
        assert panic((race_week(0),), RESULT, REFS).lead == (
            "In the last ten days before each race, no session was outside what you usually do."
        )
        assert panic((), RESULT, {}).lead == "There is no race week to look at."

    def test_where_hard_work_is_unknown_calm_is_not_claimed_for_it(self) -> None:
        calm = race_week(0)
        seen = replace(calm.measures["panic_sessions"], caveat=HARD_UNSEEN)
        half = replace(calm, measures={**calm.measures, "panic_sessions": seen})
        assert panic((calm,), RESULT, REFS).unknown == ()
        assert panic((half,), RESULT, REFS).unknown == (
            "Before race A too little is known of how hard the sessions were to look for hard "
            "ones; only their length, sport and days were looked at.",
        )

    def test_calm_is_said_of_no_race_that_could_not_be_looked_at(self) -> None:
        calm, why = race_week(0), unknown("panic_sessions", "no usual week")
        unseen = replace(race_week(1), flags=(), measures={"panic_sessions": why})
        assert panic((calm, unseen), RESULT, REFS).lead.startswith(
            "In the last ten days before each race that could be looked at, no session"
        )


class TestUnused:
    def test_gaps_methods_and_remarks_each_have_their_reason(self) -> None:
        made = unused(evidence(), NOTICES, REFS, WITH_ROWS)
        assert [(gap.measures, gap.races) for gap in made.missing] == [
            ("Intensity kept", "race D"),
            ("Result", "race E"),
        ]
        assert made.missing[1].reason == "No finish time and no reference time in the journal."
        assert made.missing[1].to_do == (
            "A finish_time and an expected_time or a reference_time in row 6 of races.csv would "
            "make result known."
        )
        assert [group.title for group in made.remarks] == [
            "Please put right in your journal",
            "Left out",
            "Used, with a remark: one",
        ]
        assert made.nothing == ""

    def test_one_reason_is_told_once_for_all_its_races_and_measures(self) -> None:
        weeks = tuple(
            replace(
                week,
                measures=week.measures
                | {
                    "intensity_kept": unknown("intensity_kept", f"only {n}% has an intensity"),
                    "volume_cut": unknown("volume_cut", "no usual week"),
                    "sleep_change_h": unknown("sleep_change_h", "no usual week"),
                },
            )
            for n, week in enumerate(WITH_ROWS[:3], start=41)
        )
        made = unused(evidence(), (), REFS, weeks).missing
        assert [(gap.measures, gap.races, gap.reason) for gap in made] == [
            ("Volume cut and sleep change", "races A, B and C", "No usual week."),
            ("Intensity kept", "races A, B and C", "Only 41, 42 and 43% has an intensity."),
        ]

    def test_what_is_only_described_and_unknown_is_pointed_to(self) -> None:
        weeks = tuple(
            replace(w, measures=w.measures | {"monotony": unknown("monotony", "no load")})
            for w in WITH_ROWS
        )
        assert unused(evidence(), (), REFS, weeks).described.startswith(
            "One of the measures that are only described is unknown for some race, too;"
        )
        assert unused(evidence(), (), REFS, WITH_ROWS).described == ""

    def test_a_refusal_that_many_factors_share_is_one_sentence(self) -> None:
        assert unused(evidence(), (), REFS).methods == (
            "Least squares could not be applied to volume cut, intensity kept and body clock "
            "behind. Needs at least six races with this factor; you have four.",
        )

    def test_many_remarks_are_folded_and_counted(self) -> None:
        many = tuple(
            Notice(f"{n}.fit", 0, "", "empty", "the file is empty", "", Level.UNUSED)
            for n in range(40)
        )
        groups = unused(evidence(), many, REFS).remarks
        assert (groups[0].title, groups[0].folded) == ("Left out: 40", True)

    def test_an_endless_file_name_is_cut(self) -> None:
        endless = (Notice("x" * 10_000, 0, "", "empty", "the file is empty"),)
        assert len(unused(evidence(), endless, REFS).remarks[0].remarks[0]) <= 400

    def test_nothing_left_out_is_said(self) -> None:
        bare = replace(evidence(), left_out=(), factors=())
        assert unused(bare, (), REFS).nothing == "Everything could be used."


class TestMadeFrom:
    def test_files_journal_thresholds_and_versions_are_told(self) -> None:
        made = made_from(imported(), journal(), STUDY.versions)
        assert made.files == (
            "One file used (1 FIT).",
            "One file left out, the same activity being in another (1 TCX).",
            "One file with nothing that could be used (1 FIT).",
        )
        assert made.journal.startswith("The journal holds five races, no nights, no trips")
        assert made.thresholds == ("critical power, bike: 251 W, from 1 January 2029",)
        assert ("python", "3.11.9") in made.versions

    def test_cleaning_rules_that_took_nothing_are_not_told(self) -> None:
        made = made_from(imported(), journal(), {})
        told = (("heart rate spike", "0.2 min"), ("gaps in recording", "5.7 min"))
        assert made.cleaned == told

    def test_the_rules_are_called_as_the_importer_calls_them(self) -> None:
        beats = [100.0] * 10 + [220.0] + [100.0] * 10
        took = clean(recording([*map(float, range(20)), 200.0], heart_rate_bpm=beats)).removed_s
        took |= clean(recording(every_second(20), speed_mps=3.0, pauses=((5, 8),))).removed_s
        assert set(imported().removed_s) <= set(took)
        assert set(_RULES) <= set(took)

    def test_sessions_and_days_that_were_typed_are_counted(self) -> None:
        book = journal()
        sessions = pd.DataFrame([{}] * 69, columns=book.sessions.columns)
        days = pd.DataFrame([{}] * 2, columns=book.days.columns)
        made = made_from(imported(), replace(book, sessions=sessions, days=days), {})
        assert "69 typed sessions, two days of a diary and" in made.journal

    def test_an_empty_folder_is_told_as_one(self) -> None:
        bare = imported()
        bare = replace(bare, files=bare.files.iloc[:0], legs=bare.legs.iloc[:0])
        assert made_from(bare, journal(), {}).files == ("No activity files.",)


class TestSources:
    def test_every_published_value_is_told_with_its_status(self) -> None:
        entries = [entry for _, group in sources(STUDY.weeks).groups for entry in group]
        assert len(entries) >= 4
        assert all(entry.source and entry.status for entry in entries)

    def test_the_glossary_explains_every_measure_of_the_weeks(self) -> None:
        glossary = dict(sources(STUDY.weeks).glossary)
        assert glossary["race RPE"] == "How hard the race felt, 0 to 10 (Borg CR-10)."
        assert "hard minutes" in glossary

    def test_measures_of_single_sports_share_their_meaning(self) -> None:
        cut = Measured("volume_cut_running", 0.4)
        week = replace(
            race_week(0),
            measures={"volume_cut_running": cut, "volume_cut_cycling": cut, "volume_cut": cut},
        )
        told = [label for label, _ in sources((week,)).glossary if label.startswith("volume")]
        assert told == ["volume cut", "volume cut, each sport"]

    @pytest.mark.parametrize(
        ("entry", "text"),
        [
            ({"value": 0.935, "half_width": 0.025, "unit": "of peak"}, "0.935 ± 0.025 (of peak)"),
            ({"value": -0.45, "unit": "SMD"}, "−0.45 (SMD)"),
            ({"value": [6.3, 2.9, *[1.8] * 9, 1.7]}, "6.3 to 1.7"),
            ({"value": {"cycling": 0.75, "running": 0.85}}, "cycling 0.75, running 0.85"),
            ({"low": 0.2, "best_low": 0.41, "unit": "of cut"}, "low 0.2; best low 0.41 (of cut)"),
            ({"cut": [0.0, 0.1], "effect": [0, 1]}, "cut 0, 0.1; effect 0, 1"),
        ],
    )
    def test_values_are_told_with_their_spread(self, entry: dict, text: str) -> None:
        assert value_text(entry) == text

    def test_every_doi_of_a_source_is_a_link_of_its_own(self) -> None:
        found = pieces("A 2007, doi 10.1249/mss.0b013e31806010e0; B (doi 10.1371/journal.pone.1).")
        assert [doi for _, doi in found if doi] == [
            "10.1249/mss.0b013e31806010e0",
            "10.1371/journal.pone.1",
        ]
        assert "".join(text for text, _ in found).endswith("(doi 10.1371/journal.pone.1).")
