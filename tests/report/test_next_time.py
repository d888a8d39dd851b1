"""Next time: the rule in hours and minutes, before no race in particular and before one ahead."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date

import pytest

from report.ahead import race_ahead, run_up_to, study_ahead
from report.studies import nothing_known, rule, study
from taperback.evidence.model import WorthKnowing
from taperback.raceweek.model import unknown
from taperback.raceweek.travel.trips import Trip
from taperback.report.sections.next_time import next_time
from taperback.report.take_along import next_week_csv
from taperback.report.view import page_view
from taperback.report.words.cells import race_refs
from taperback.study.next_week import plan_next_week

STUDY = study()
REFS = race_refs(STUDY.weeks)


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
        assert made.days[0].sessions == ("run 45 min, 12 min hard",)
        assert {row.sport for row in made.sports} == {"swim", "bike", "run"}
        assert made.hard == (
            "About 26 min of it hard, above the second threshold (21 min at least): 7 days before "
            "and 3 days before; after that only the opener."
        )

    def test_what_is_worth_writing_down_is_told_with_its_races(self) -> None:
        assert next_time(STUDY.next_week, rule(), REFS).teaches == (
            "To learn more from your races, make intensity kept known: it is unknown for one of "
            "four races, which makes that race count for less. What would help stands under Not "
            "known."
        )
        more = replace(rule(), worth_knowing=WorthKnowing("sleep_change_h", 3, 12, 0.4))
        assert next_time(STUDY.next_week, more, REFS).teaches == (
            "To learn more from your races, make sleep change known: it is unknown for three of "
            "12 races, which makes those races count for less. What would help stands under Not "
            "known."
        )
        one = replace(rule(), worth_knowing=WorthKnowing("sleep_change_h", 1, 1, 0.4))
        assert "unknown for your one race, which" in next_time(STUDY.next_week, one, REFS).teaches
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

    def test_what_is_recorded_of_the_week_already_is_said(self) -> None:
        plan = replace(study_ahead().next_week, recorded_days=4, recorded_h=2.04)
        assert next_time(plan, rule(), REFS).lead.endswith(
            "1 March 2031. Four of the seven days are recorded already, with 2.0 h."
        )
        one = replace(plan, recorded_days=1)
        assert "One of the seven days is recorded" in next_time(one, rule(), REFS).lead

    def test_older_weeks_are_said_to_be_older(self) -> None:
        older = replace(study_ahead().next_week, older=True)
        assert next_time(older, rule(), REFS).lead.endswith(
            "to 1 March 2031; these are older weeks, so review again nearer to the race."
        )

    def test_each_day_has_its_date_and_its_hard_part(self) -> None:
        made = page_view(study_ahead()).next_time
        assert [day.date for day in made.days] == [
            "Sunday 23 Mar",
            "Monday 24 Mar",
            "Tuesday 25 Mar",
            "Wednesday 26 Mar",
            "Thursday 27 Mar",
            "Friday 28 Mar",
            "Saturday 29 Mar",
        ]
        # of 30 minutes two are the opener's; the two hard days of the copied week were alike
        assert made.days[0].sessions == ("run 45 min, 14 min hard: 4 x 1 km at 3:45 /km",)

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
        free = {day.date: day.free for day in made.days if not day.sessions}
        assert free == {
            "Wednesday 26 Mar": "travel, no training",
            "Thursday 27 Mar": "travel, no training",
            "Saturday 29 Mar": "free",
        }
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
