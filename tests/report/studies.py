"""Hand-built studies: what every later test of the report starts from."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd

from report.diaries import diary_of
from taperback.common.notices import Level, Notice
from taperback.common.outcomes import OUTCOMES, RESULT, RPE
from taperback.evidence.model import (
    Classical,
    Curve,
    CutRange,
    Estimate,
    Evidence,
    FactorEvidence,
    Ranked,
    Refusal,
    Rule,
    RulePart,
    Slope,
    WorthKnowing,
)
from taperback.importer.model import PLACED_COLUMNS, Imported
from taperback.journal.columns import TABLES
from taperback.journal.model import (
    NIGHT_COLUMNS,
    RACE_COLUMNS,
    TRIP_COLUMNS,
    Athlete,
    Journal,
    Threshold,
)
from taperback.raceweek.model import (
    DAY_COLUMNS,
    Flag,
    Measured,
    RaceWeek,
    no_diary,
    unknown,
)
from taperback.study.next_week import plan_next_week
from taperback.study.review import Study

RACES = (
    # name, date, result, RPE, cut, intensity kept, sleep change, lag
    ("Lake of Larches", date(2029, 6, 17), 1.4, 7.5, 0.46, 0.92, 0.3, 0.0),
    ("Three Valleys", date(2029, 9, 9), -1.9, 9.0, 0.08, 1.31, -0.2, 0.0),
    ("Harbour Sprint", date(2030, 5, 19), 2.3, 7.0, 0.52, 0.88, 0.4, 0.0),
    ("Salt Coast", date(2030, 8, 4), -0.6, 8.5, 0.44, None, -0.9, 0.0),
    ("Far Shore", date(2030, 10, 20), None, 9.0, 0.55, 0.71, -0.4, 4.2),
)
NO_SIGNAL = "only 41% of the training time has a known intensity, 60% are needed"
NO_RESULT = "no finish time and no reference time in the journal"


def race_id(place: int) -> str:
    """Id of the race at that place of `RACES`."""
    return RACES[place][1].isoformat()


def measure(name: str, value: float | None, reason: str, basis: str = "") -> Measured:
    """A measure, known where a value is given."""
    return unknown(name, reason) if value is None else Measured(name, value, basis=basis)


def days_of(day0: date, cut: float, slept: float, lag: float) -> pd.DataFrame:
    """Fifty-seven days of steady training, a cut last week, one unknown night and day."""
    rows = []
    for d in range(-56, 1):
        share = 1 - cut if d >= -7 else 1.0
        sports = [("cycling", 2.0), ("running", 0.8), ("swimming", 1.0), ("rest", 0.0)]
        sport, hours = sports[d % 4]
        brick = {"running": round(0.4 * share, 3)} if d % 8 == 0 else {}
        trained = {} if d == 0 or not hours else {sport: round(hours * share, 3), **brick}
        state = "recorded" if trained else "rest"
        if d == -17:
            trained, state = {}, "unknown"
        hard = 12.0 if sport == "running" and trained else 0.0
        night = float("nan") if d == -12 else 7.4 + 0.3 * (d % 3) + (slept if d >= -6 else 0.0)
        travel = {-3: "depart", -2: "arrive"}.get(d, "away" if d >= -1 else "") if lag else ""
        rows.append(
            (day0 + timedelta(d), d, state, trained, {}, hard, round(night, 2), "journal", travel)
        )
    return pd.DataFrame(rows, columns=list(DAY_COLUMNS))


def race_week(place: int, flags: tuple[Flag, ...] = ()) -> RaceWeek:
    """One of `RACES`, measured."""
    name, day0, result, rpe, cut, kept, sleep, lag = RACES[place]
    measures = [
        measure("result_pct", result, NO_RESULT, "against the median of the age group"),
        Measured("race_rpe", rpe, basis="as typed in races.csv"),
        Measured("volume_h", round(10.5 * (1 - cut), 3), basis="moving time of 6 sessions"),
        Measured("baseline_weekly_h", 10.5, basis="median of six usable weeks"),
        Measured("volume_cut_week_3", -0.04, basis="days 21 to 15 before the race"),
        Measured("volume_cut_week_2", 0.12, basis="days 14 to 8 before the race"),
        Measured("usual_night_h", 7.7, basis="38 nights"),
        Measured("baseline_hard_min", 52.0, basis="median of six usable weeks"),
        Measured("volume_cut", cut, basis="race week against the median of six usable weeks"),
        measure("intensity_kept", kept, NO_SIGNAL, "critical power 251 W, critical speed 4.2 m/s"),
        Measured("sleep_change_h", sleep, basis="7 nights against 38 usual nights"),
        Measured("zones_crossed", 7.0 if lag else 0.0, basis="offsets of the journal's trip"),
        Measured("body_clock_lag_h", lag, basis="57 minutes a day eastward"),
        Measured("taper_shape", "linear", basis="least squares over 21 days"),
        Measured("panic_sessions", float(len(flags)), basis="sessions outside habit"),
    ]
    return RaceWeek(
        race_id=day0.isoformat(),
        name=name,
        day0=day0,
        race={"date": day0, "name": name, "race_rpe": rpe, "notes": ""},
        measures={m.name: m for m in measures},
        days=days_of(day0, cut, sleep, lag),
        flags=flags,
        race_legs=(),
        diary=diary_of(day0) if place == 1 else no_diary(),
        facts=("The baseline shares two weeks with the race before.",) if place == 3 else (),
    )


def panic_flags() -> tuple[Flag, ...]:
    """A week that panicked: one long ride, one late hard run, volume caught up."""
    day0 = RACES[1][1]
    return (
        Flag("catching_up", day0 - timedelta(5), 5, ("b.0",), "bike ride", 11.2, 10.5, "h", 0, 6),
        Flag("long", day0 - timedelta(4), 4, ("b.0",), "bike ride of 3.4 h", 3.4, 2.6, "h", 1, 24),
        Flag("late", day0 - timedelta(2), 2, ("c.0",), "run of 55 min", 22.0, 10.0, "min", 0, 31),
    )


REFUSED = Refusal(
    needed="at least six races with this factor",
    had="four",
    done="rank statistics and the model with published values",
    direction="an interval too narrow by about a third",
    remedy="two more races with a result",
)


def curve() -> Curve:
    """A dose-response with its peak near one half."""
    at = np.arange(0.0, 0.81, 0.05)
    published = 2.0 - 8.0 * (at - 0.5) ** 2
    personal = published * 1.2
    return Curve(
        at, published, published - 1.5, published + 1.5, personal, personal - 0.9, personal + 0.9
    )


def factor(name: str, strength: str, **changes: object) -> FactorEvidence:
    """Evidence about one factor over the races that have it and a result."""
    column = {"volume_cut": 4, "intensity_kept": 5, "sleep_change_h": 6, "body_clock_lag_h": 7}
    with_result = [place for place, race in enumerate(RACES) if race[2] is not None]
    used = [place for place in with_result if RACES[place][column[name]] is not None]
    labels = tuple(race_id(place) for place in used)
    exposure = np.array([RACES[place][column[name]] for place in used], float)
    outcome = np.array([RACES[place][2] for place in used], float)
    slopes = tuple((label, 5.0 + place) for place, label in enumerate(labels))
    made = FactorEvidence(
        factor=name,
        labels=labels,
        exposure=exposure,
        outcome=outcome,
        races=len(used),
        missing=tuple((race_id(place), NO_SIGNAL) for place in with_result if place not in used),
        ranked=Ranked("spearman", len(used), 0.8, 1 / 3, "enumeration", 24),
        slope=Slope(len(used), 6.5, -1.5, 0.083, "enumeration", 24, slopes, 5.0, 8.0),
        classical=REFUSED,
        p_holm=0.33,
        effect_unit=0.1 if name in ("volume_cut", "intensity_kept") else 1.0,
        published=Estimate(0.4, -0.1, 0.9),
        personal=Estimate(0.6, 0.1, 1.1),
        more_is_better=0.86,
        published_better=0.71,
        direction=1.0,
        moved_sd=0.31,
        moved_bits=0.31,
        strength=strength,
        curve=curve() if name == "volume_cut" else None,
        carried_by=race_id(3),
    )
    return replace(made, **changes)


def with_races(n: int, **changes: object) -> FactorEvidence:
    """A factor with so many races."""
    made = factor("sleep_change_h", "published only")
    return replace(
        made,
        labels=made.labels[:n],
        exposure=made.exposure[:n],
        outcome=made.outcome[:n],
        races=n,
        **changes,
    )


def rule(strength: str = "leaning") -> Rule:
    """A rule with all four parts."""
    gain = Estimate(1.84, -0.2, 3.9)
    inf = float("inf")
    parts = (
        RulePart("volume_cut", 0.42, 0.58, 0.5, gain, strength, "published"),
        RulePart("intensity_kept", 0.8, inf, 1.0, gain, "published only", "published"),
        RulePart("sleep_change_h", 0.0, inf, 0.5, gain, "leaning", "tried"),
        RulePart("body_clock_lag_h", -inf, 1.0, 0.0, gain, "published only", "published"),
    )
    sensitivity = ((2.0, 0.44, 0.56, 0.5), (2.5, 0.42, 0.58, 0.5), (5.0, 0.39, 0.61, 0.5))
    return Rule(
        parts,
        before=CutRange(0.35, 0.65, 0.5),
        best_inside=0.64,
        not_knowing=0.52,
        passed_up=0.0,
        at_most_lost=1.7,
        worthwhile=0.9,
        worthwhile_source="half of the race-to-race variation",
        worth_knowing=WorthKnowing("intensity_kept", 1, 4, 0.3),
        sensitivity=sensitivity,
    )


def evidence(strength: str = "leaning") -> Evidence:
    """Evidence on results: four races, one left out."""
    return Evidence(
        outcome=RESULT,
        n=4,
        points=tuple((race_id(place),) for place in range(4)),
        left_out=((race_id(4), NO_RESULT),),
        noise_published=Estimate(1.8, 1.2, 2.7),
        noise_personal=Estimate(1.6, 1.1, 2.4),
        factors=(
            factor("volume_cut", strength, against=(race_id(3),)),
            factor(
                "intensity_kept",
                "published only",
                personal=Estimate(-0.1, -0.5, 0.3),
                classical=REFUSED,
            ),
            factor("sleep_change_h", "leaning", classical=line()),
            factor("body_clock_lag_h", "published only", personal=Estimate(-0.3, -0.6, 0.0)),
        ),
        rule=rule(strength),
    )


def line() -> Classical:
    """A least-squares line that one race carries."""
    return Classical(4, 2.1, 0.5, 0.7, 0.1, 4.1, 0.09, race_id(3))


def rpe_evidence() -> Evidence:
    """Evidence on how hard the races felt: no rule is made from it."""
    made = evidence()
    felt = tuple(
        replace(found, outcome=found.outcome + 7, strength="published only")
        for found in made.factors
    )
    return replace(made, outcome=RPE, left_out=(), factors=felt, rule=None)


def imported() -> Imported:
    """What the importer handed over, without the legs' own samples."""
    legs = pd.DataFrame(columns=list(PLACED_COLUMNS))
    legs.loc[0, ["leg_id", "file", "sport", "sub_sport", "moving_s", "distance_m"]] = (
        "b.0",
        "2029/ride.fit",
        "cycling",
        "road",
        12240.0,
        98000.0,
    )
    legs.at[0, "local_day"] = date(2029, 9, 5)
    legs.at[0, "removed_s"] = {"recording gap": 341.0, "heart rate spike": 12.0, "pause": 0.0}
    files = pd.DataFrame(
        [
            ("2029/ride.fit", "aa", "fit", "used", 1, 12240.0),
            ("2029/ride.tcx", "bb", "tcx", "copy", 1, 12240.0),
            ("2029/empty.fit", "cc", "fit", "unused", 0, 0.0),
        ],
        columns=["file", "digest", "file_format", "status", "legs", "training_s"],
    )
    copies = pd.DataFrame(
        [("2029/ride.tcx", 0, "b.0", "the same bike ride as 2029/ride.fit, which is richer")],
        columns=["file", "leg_index", "same_as", "reason"],
    )
    nights = pd.DataFrame(columns=["day", "sleep_h", "quality", "source", "file"])
    return Imported(legs, nights, files, copies, ())


NOTICES = (
    Notice("nights.csv", 14, "sleep_h", "range", "found 77", "expected 0 to 24 hours", Level.FAULT),
    Notice("2029/empty.fit", 0, "", "empty", "the file is empty", "", Level.UNUSED),
    Notice("2029/ride.fit", 0, "", "fit-crc", "the checksum does not fit; what was read is used"),
)


def journal(name: str = "Wren Alder") -> Journal:
    """What the athlete typed."""
    absent = TABLES["races"].absent
    races = pd.DataFrame([absent | {"date": race[1], "name": race[0]} for race in RACES])
    athlete = Athlete(
        name,
        "Europe/Vienna",
        ("swimming", "cycling", "running"),
        thresholds=(Threshold(date(2029, 1, 1), "cycling", "critical_power_w", 251.0),),
    )
    return Journal(
        athlete,
        races.reindex(columns=list(RACE_COLUMNS)),
        pd.DataFrame(columns=list(NIGHT_COLUMNS)),
        pd.DataFrame(columns=list(TRIP_COLUMNS)),
        NOTICES,
    )


def study(strength: str = "leaning", outcome: str = "result") -> Study:
    """Five races: one unknown result, one unknown intensity, one week of panic training."""
    weeks = tuple(
        race_week(place, panic_flags() if place == 1 else ()) for place in range(len(RACES))
    )
    found = evidence(strength)
    table = pd.DataFrame(
        [
            {"race_id": w.race_id, "name": w.name, **{n: m.value for n, m in w.measures.items()}}
            for w in weeks
        ]
    )
    return Study(
        journal=journal(),
        imported=imported(),
        weeks=weeks,
        table=table,
        outcome=OUTCOMES[outcome],
        result=found,
        rpe=rpe_evidence(),
        next_week=plan_next_week(weeks, found.rule),
        notices=NOTICES,
        versions={"taperback": "0.1.0", "python": "3.11.9", "fitdecode": "0.11.0"},
    )


def nothing_known() -> Study:
    """A study of no races at all."""
    made = study()
    empty = replace(
        made.result,
        n=0,
        points=(),
        left_out=(),
        factors=tuple(
            replace(
                found,
                labels=(),
                exposure=np.array([]),
                outcome=np.array([]),
                races=0,
                missing=(),
                ranked=REFUSED,
                slope=REFUSED,
                classical=REFUSED,
                p_holm=float("nan"),
                strength="published only",
                against=(),
            )
            for found in made.result.factors
        ),
        rule=None,
    )
    return replace(
        made,
        weeks=(),
        table=made.table.iloc[:0],
        result=empty,
        rpe=replace(empty, outcome=RPE),
        next_week=plan_next_week((), None),
        notices=(),
    )
