"""Four people whom nobody planned for: a modern pentathlete, a rower whose heart a pacemaker
drives, a family that shares one watch, and an ultra runner by night who writes in German. Planted:
what they train, and where they race."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from activity_files import fit_close, fit_open, fit_session, fit_track
from people.folders import Person, clock, day
from plan import Session
from signals import Track

RACES = (0, -70, -140, -210, -280)
"""Days of the five races, counted from `folders.DAY0`."""
CUTS = (0.5, 0.3, 0.6, 0.2, 0.4)
"""By how much race week is shortened before each."""
WEEKS = range(-49, 0)


def _share(k: int) -> float:
    """How much of the usual is done on a day."""
    before = zip(RACES, CUTS, strict=True)
    return next((1 - cut for race, cut in before if race - 7 <= k < race), 1.0)


PLACES = (4, 9, 2, 14, 7)


def pentathlete(folder: Path) -> Person:
    """Swims and runs from files, fencing and shooting typed; five cups with a placing and points.

    Points are the result of the sport; there is no time for the day.
    """
    person = Person(folder, "Ana", toml=False)
    for week in WEEKS:
        for place in range(3):
            k = 7 * week + 2 * place
            if k in RACES:
                continue
            lengths = round(120 * _share(k))
            person.pool(k, lengths, 30.0, at=7.0)
            person.count(k, lengths * 30 / 3600)
            seconds = 2700 * _share(k + 1)
            person.tcx(k + 1, "running", seconds, seconds / 0.3)
            person.count(k + 1, seconds / 3600)
        for place in range(4):
            k = 7 * week + place + 1
            person.session(k, "fencing", 1.5 * _share(k))
        for place in (0, 4):
            k = 7 * week + place
            if k not in RACES:
                person.session(k, "laser shooting", 0.5 * _share(k))
    person.write()
    return person


CUPS = tuple(
    {"date": day(k).isoformat(), "name": f"Cup {n}", "sports": "modern pentathlon", "place": place,
     "field_size": 36, "race_rpe": rpe}
    for n, (k, place, rpe) in enumerate(zip(RACES, PLACES, (8, 9, 7, 9, 8), strict=True), 1)
)  # fmt: skip

BEATS = 70
"""What the pacemaker sets, asleep or racing."""


def rower(folder: Path, waver: int = 0) -> Person:
    """A machine indoors and a single scull outdoors; every second of every file has 70 beats, or
    up to so many more."""
    person = Person(folder, "Bo", toml=False)
    for week in WEEKS:
        for place, (hours, sub_sport) in enumerate(
            ((1.0, "indoor_rowing"), (1.0, "indoor_rowing"), (1.25, ""), (1.25, ""))
        ):
            k = 7 * week + 1 + place
            seconds = 3600 * hours * _share(k)
            rowed(person, k, seconds, 2.8 * seconds, sub_sport, waver)
    for k, seconds in zip(RACES, (1120, 1150, 1109, 1160, 1131), strict=True):
        rowed(person, k, seconds, 5000, "", waver)
    person.write()
    return person


def rowed(
    person: Person, k: int, seconds: float, metres: float, sub_sport: str, waver: int
) -> None:
    """A FIT file of rowing at one pace and one heart rate."""
    start = datetime.combine(day(k), datetime.min.time(), UTC) + timedelta(hours=7)
    time_s = np.arange(0.0, round(seconds) + 1, 10.0)
    same = np.ones(len(time_s))
    way = metres / seconds * time_s
    inside = bool(sub_sport)
    track = Track(
        time_s=time_s,
        lat=same * (0.0 if inside else 38.7) + (0.0 if inside else way / 111_195),
        lon=same * (0.0 if inside else -9.1),
        altitude_m=same,
        distance_m=way,
        speed_mps=same * metres / seconds,
        power_w=same,
        heart_rate_bpm=BEATS + np.arange(len(same)) // 6 % (waver + 1) * 1.0,
        cadence_rpm=same * 22,
    )
    writer = fit_open(start)
    fit_track(writer, track, start, power=False)
    fit_session(
        writer,
        Session(start.date(), 7.0, "rowing", "", ()),
        start,
        elapsed_s=float(time_s[-1]),
        timer_s=float(time_s[-1]),
        distance_m=float(way[-1]),
        rpe=None,
        sub_sport=sub_sport,
    )
    end = start + timedelta(seconds=float(time_s[-1]))
    person.folder.mkdir(parents=True, exist_ok=True)
    name = f"{day(k)}-row.fit"
    (person.folder / name).write_bytes(fit_close(writer, end, 3600, 1))
    person.count(k, seconds / 3600)


REGATTAS = tuple(
    {"date": day(k).isoformat(), "name": f"Head {n}", "sports": "rowing", "finish_time": clock(s),
     "reference_time": clock(1100), "reference": "winner"}
    for n, (k, s) in enumerate(zip(RACES, (1120, 1150, 1109, 1160, 1131), strict=True), 1)
)  # fmt: skip


def family(folder: Path) -> Person:
    """One watch for three: a mother who runs and races, a father who runs and rides, a child who
    swims; all that it recorded lies in one folder. What counts is the mother's."""
    person = Person(folder, "Cleo", toml=False)
    for week in WEEKS:
        for place, seconds in ((0, 3600), (2, 3600), (5, 5400)):
            k = 7 * week + place
            if k not in RACES:
                long = seconds * _share(k)
                person.tcx(k, "running", long, 3.0 * long, at=6.0)
                person.count(k, long / 3600)
        for place in (1, 3, 6):
            person.tcx(7 * week + place, "running", 2400, 2400 * 2.3, at=19.0)
        person.tcx(7 * week + 5, "cycling", 9000, 65_000, at=14.0)
        person.pool(7 * week + 4, 20, 45.0, at=16.0)
    for k in RACES:
        person.tcx(k, "running", 6000, 21_100, at=10.0)
    person.write()
    return person


NIGHTS_OUT = (0, -70, -140)
"""Days on which Greta's races start, at ten in the evening; they end after nine the next day."""
NIGHT_CUTS = (0.5, 0.3, 0.6)
NIGHT_TIMES_S = (39_900, 40_800, 39_000)
VIENNA = (48.21, 16.37)


def night_runner(folder: Path) -> Person:
    """An ultra runner who nurses at night, from Vienna: 100 km from evening to morning, a watch
    that dies half-way in the second race, tables of a German spreadsheet, sports in her words."""
    person = Person(folder, "Greta", zone="Europe/Vienna", toml=False)
    cut_before = dict(zip(NIGHTS_OUT, NIGHT_CUTS, strict=True))
    for k in range(-60 + NIGHTS_OUT[-1], 12):
        cut = next((cut for race, cut in cut_before.items() if race - 7 <= k < race), 0.0)
        if k % 7 in (1, 3, 5) and not any(race <= k <= race + 6 for race in NIGHTS_OUT):
            seconds = (5400 if k % 7 == 5 else 3600) * (1 - cut)
            summer = 1.0 if k < -91 else 2.0
            person.tcx(k, "running", seconds, 2.8 * seconds, at=17.0, where=VIENNA, zone_h=summer)
            person.count(k, seconds / 3600)
        if k % 7 == 2 and k not in NIGHTS_OUT:
            person.session(k, "Radfahren", 1.0 - cut, notes="Heimtrainer, müde nach Nachtdienst")
    for race, seconds in zip(NIGHTS_OUT, NIGHT_TIMES_S, strict=True):
        recorded = 19_800 if race == -70 else seconds
        summer = 1.0 if race < -91 else 2.0
        metres = 100_000 * recorded / seconds
        person.tcx(race, "running", recorded, metres, at=22.0, where=VIENNA, zone_h=summer)
    person.write()
    _german(folder / "sessions.csv", "date;sport;duration;notes", person.diary)
    return person


def _german(path: Path, header: str, rows: list[dict[str, str]]) -> None:
    """A table as a German spreadsheet saves it: semicolons, its own days, and no UTF-8."""
    lines = [header]
    for row in rows:
        date, *rest = row.values()
        lines.append(";".join([".".join(reversed(date.split("-"))), *rest]))
    path.write_bytes("\r\n".join([*lines, ""]).encode("cp1252"))


def night_races(folder: Path) -> None:
    """What Greta types of her races, nights and life, each as her spreadsheet saves it."""
    rows = [
        {"date": day(k).isoformat(), "name": name, "sport": "Laufen", "time": clock(s),
         "expected": clock(40_200), "rpe": "8,5", "note": "Uhr nach 5½ h leer" if k == -70 else ""}
        for k, name, s in zip(NIGHTS_OUT, ("Donau bei Nacht", "Wachau im Mai", "Föhnlauf"),
                              NIGHT_TIMES_S, strict=True)
    ]  # fmt: skip
    head = "date;name;sports;finish_time;expected_time;race_rpe;notes"
    _german(folder / "races.csv", head, rows)
    slept = [
        {"date": day(k).isoformat(), "sleep_h": "6,5" if race - 7 < k <= race else "7,0"}
        for race in NIGHTS_OUT
        for k in range(race - 50, race + 1)
    ]
    _german(folder / "nights.csv", "date;sleep_h", slept)
