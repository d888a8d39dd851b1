"""The smaller sections: side by side, panic, next time, not used, made from, sources."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date

import pytest

from importer.test_samples import every_second, recording
from report.studies import (
    NOTICES,
    evidence,
    imported,
    journal,
    nothing_known,
    race_ahead,
    race_week,
    rule,
    run_up_to,
    study,
    study_ahead,
)
from taperback.common.notices import Level, Notice
from taperback.common.outcomes import RESULT
from taperback.evidence.model import WorthKnowing
from taperback.importer.summary.samples import clean
from taperback.raceweek.model import Flag, Measured, unknown
from taperback.raceweek.travel.trips import Trip
from taperback.report.sections.made_from import _RULES, made_from
from taperback.report.sections.next_time import next_time
from taperback.report.sections.pair import pair
from taperback.report.sections.panic import evidence_sentence, panic
from taperback.report.sections.sources import pieces, sources, value_text
from taperback.report.sections.unused import unused
from taperback.report.take_along import next_week_csv
from taperback.report.view import page_view
from taperback.report.words.cells import race_refs
from taperback.study.next_week import plan_next_week

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


class TestNextTime:
    def test_the_rule_becomes_hours_by_sport_and_minutes_by_day(self) -> None:
        made = next_time(STUDY.next_week, STUDY.result.rule, REFS)
        assert made.lead.startswith(
            "All training of the last seven days: 4.4 to 6.1 h, aim for about 5.2 h. That is the "
            "rule for your latest usual week of 10.5 h, the one before race E (20 October 2030)."
        )
        assert [day.label for day in made.days] == [
            *(f"{d} days before" for d in range(7, 1, -1)),
            "the day before",
        ]
        assert made.days[0].sessions == "run 45 min, 12 min of it hard"
        assert {row.sport for row in made.sports} == {"swim", "bike", "run"}
        assert made.hard == (
            "About 26 min of it hard, above the second threshold (21 min at least): 7 days before "
            "and 3 days before; after that only the opener."
        )

    def test_what_is_worth_writing_down_is_told_with_its_races(self) -> None:
        assert next_time(STUDY.next_week, rule(), REFS).teaches == (
            "To learn more from your races, write down intensity kept: it is unknown for one of "
            "four races, which makes that race count for less."
        )
        more = replace(rule(), worth_knowing=WorthKnowing("sleep_change_h", 3, 12, 0.4))
        assert next_time(STUDY.next_week, more, REFS).teaches == (
            "To learn more from your races, write down sleep change: it is unknown for three of "
            "12 races, which makes those races count for less."
        )
        assert next_time(STUDY.next_week, replace(rule(), worth_knowing=None), REFS).teaches == ""

    def test_no_plan_is_told_with_its_reason(self) -> None:
        bare = nothing_known()
        made = next_time(bare.next_week, None, {})
        assert (made.lead, made.days, made.teaches) == ("", (), "")
        assert made.reason == "No rule could be given for the volume cut."

    def test_unknown_hard_minutes_are_said_to_be_unknown(self) -> None:
        made = next_time(replace(STUDY.next_week, hard_min=None), rule(), REFS)
        assert made.hard == "How many minutes of that should be hard is unknown."

    @pytest.mark.parametrize("minutes", [0.0, 0.4])
    def test_who_does_no_hard_work_is_not_asked_to_keep_any(self, minutes: float) -> None:
        made = next_time(replace(STUDY.next_week, hard_min=minutes), rule(), REFS)
        assert made.hard == (
            "Your usual week holds next to no time above the second threshold, so none is planned "
            "here."
        )
        assert not any("hard" in line for line in made.others)
        assert len(made.others) == 2

    def test_a_rule_that_asks_for_no_hard_work_says_nothing_of_the_usual_week(self) -> None:
        none = replace(rule().parts[1], low=0.0, best=0.0)
        asked = replace(rule(), parts=(rule().parts[0], none))
        made = next_time(replace(STUDY.next_week, hard_min=0.0), asked, REFS)
        assert made.hard.startswith("About 0 min of it hard")


class TestTheRaceAhead:
    def test_it_heads_the_section_with_its_day_and_how_far_it_is(self) -> None:
        made = page_view(study_ahead()).next_time
        assert (made.race, made.when) == (
            "Gull Point",
            "Sunday 30 March 2031, 28 days after your last recorded day, 2 March 2031.",
        )
        assert made.lead == (
            "All training of the last seven days: 4.2 to 5.8 h, aim for about 5.0 h. That is the "
            "rule for your usual week of 10.0 h, the median of four weeks from 2 February 2031 to "
            "1 March 2031."
        )

    def test_older_weeks_are_said_to_be_older(self) -> None:
        older = replace(study_ahead().next_week, older=True)
        assert next_time(older, rule(), REFS).lead.endswith(
            "to 1 March 2031; these are older weeks, so review again nearer to the race."
        )

    def test_each_day_has_its_date_and_its_hard_part(self) -> None:
        made = page_view(study_ahead()).next_time
        assert [day.date for day in made.days] == [
            "Sunday 23 March",
            "Monday 24 March",
            "Tuesday 25 March",
            "Wednesday 26 March",
            "Thursday 27 March",
            "Friday 28 March",
            "Saturday 29 March",
        ]
        # of 30 minutes two are the opener's; the two hard days of the copied week were alike
        assert made.days[0].sessions == "run 45 min, 14 min of it hard: 4 x 1 km at 3:45 /km"

    def test_hard_minutes_are_the_same_everywhere(self) -> None:
        made = study_ahead()
        page = page_view(made)
        # half of 60 minutes in the usual week, at the whole of the usual share
        assert made.next_week.hard_min == pytest.approx(30.0)
        assert page.next_time.hard.startswith("About 30 min of it hard")
        assert "about 30 min" in page.rule.sentence
        assert sum(s.hard_min or 0 for s in made.next_week.sessions) == 30
        rows = list(csv.DictReader(next_week_csv(made.next_week).splitlines()))
        assert sum(int(row["hard_min"]) for row in rows) == 30
        assert {row["date"]: row["weekday"] for row in rows}["2031-03-23"] == "Sunday"

    def test_a_trip_leaves_its_days_free_and_says_what_is_left_of_the_time_change(self) -> None:
        away = Trip("journal", 9.0, "", date(2031, 3, 26), date(2031, 3, 27), 14.0, ((9.0, 3),))
        made = page_view(study_ahead(trip=away)).next_time
        free = {day.date: day.sessions for day in made.days}
        assert free["Wednesday 26 March"] == free["Thursday 27 March"] == "travel, no training"
        # nine hours east at 57 minutes a day: 6.15 left after three days, 0.45 after nine
        assert made.others[-1] == (
            "Your trip arrives three days before the race; on race day your body clock will be 6.2 "
            "h from local time. The rule is 1.0 h at most: arrive nine days before the race, on 21 "
            "March 2031."
        )
        assert made.pattern.endswith("what did is on the nearest other day.")

    @pytest.mark.parametrize(
        ("trip", "line"),
        [
            (
                Trip("journal", None, "no zone", None, date(2031, 3, 29)),
                "arrives the day before the race; its time zone is not typed, so nothing is known "
                "of your body clock.",
            ),
            (
                Trip("journal", 0.0, "", None, date(2031, 3, 30)),
                "arrives on race day, in your own time zone.",
            ),
            (
                Trip("journal", -1.0, "", None, date(2031, 3, 28), None, ((-1.0, 2),)),
                "arrives two days before the race; on race day your body clock will be 0.0 h from "
                "local time, which is within the 1.0 h of the rule.",
            ),
        ],
    )
    def test_other_trips(self, trip: Trip, line: str) -> None:
        assert page_view(study_ahead(trip=trip)).next_time.others[-1] == f"Your trip {line}"

    def test_the_other_races_ahead_are_named_with_what_they_are_for(self) -> None:
        made = study_ahead()
        assert page_view(made).next_time.also == (
            "Also after your last recorded day: Weir Sprint on 16 March 2031 (tune-up) and Long "
            "Dyke on 8 June 2031."
        )
        off = race_ahead(date(2031, 5, 1), "Off", status="cancelled")
        out = race_ahead(date(2031, 5, 2), "Out", leave_out="with my daughter")
        assert next_time(made.next_week, rule(), REFS, (off, out)).also == (
            "Also after your last recorded day: Off on 1 May 2031 (cancelled) and Out on 2 May "
            "2031 (left out)."
        )

    def test_a_usual_week_of_an_earlier_race_is_said_to_be_one(self) -> None:
        race = race_ahead(date(2032, 3, 28))
        far = replace(run_up_to(race), weekly=unknown("baseline_weekly_h", "no week is recorded"))
        week = plan_next_week(STUDY.weeks, STUDY.result.rule, far)
        made = next_time(week, STUDY.result.rule, REFS)
        assert "the one before race E" in made.lead
        assert made.others[-1] == (
            "The usual week of the weeks before this race is not known, so that of an earlier race "
            "is used: no week is recorded."
        )


class TestUnused:
    def test_gaps_methods_and_remarks_each_have_their_reason(self) -> None:
        made = unused(evidence(), NOTICES, REFS, WITH_ROWS)
        assert [(gap.measures, gap.races) for gap in made.missing] == [
            ("intensity kept", "race D"),
            ("result", "race E"),
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
            ("volume cut and sleep change", "races A, B and C", "No usual week."),
            ("intensity kept", "races A, B and C", "Only 41, 42 and 43% has an intensity."),
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
