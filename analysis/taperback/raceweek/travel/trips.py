"""The way to a race: what the journal says, what the files show, and where the two disagree."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.quantities import show
from taperback.raceweek.travel.whereabouts import Whereabouts, zones_between_h
from taperback.raceweek.window.window import Window
from taperback.raceweek.wording import day_name

NOTHING = "the journal tells of no trips, and no file of the race has a position or a clock"


@dataclass(frozen=True)
class Trip:
    """The way to a race, from whichever source tells it.

    Attributes:
        source: `journal`, `files`, `none` (the athlete was at home) or `unknown`.
        zones_h: hours of time difference to home, east positive; None where not known.
        why: why the time difference is not known; empty where it is.
        depart, arrive: local days of the last stage; None where not known or no trip.
        travel_h: door-to-door hours of all stages, None where not typed.
        stages: (time change [h], days until the next stage or the race), in order.
        seen: what the files show of it, where they alone tell it.
        basis: how it is known, with what another source says against it.
        legs: ids of the legs it rests on.
    """

    source: str
    zones_h: float | None
    why: str = ""
    depart: date | None = None
    arrive: date | None = None
    travel_h: float | None = None
    stages: tuple[tuple[float, int], ...] = ()
    seen: str = ""
    basis: str = ""
    legs: tuple[str, ...] = ()


def find_trip(window: Window, there: Whereabouts) -> Trip:
    """The trip to the race: the journal's, else what the files show, else that there was none.

    No trip and a race that started at home, or under home's clock, is known to be none. Without
    position and clock there was none where the athlete writes trips down and wrote none for this
    race; otherwise nothing is known.
    """
    home, most = window.athlete.home_zone, LIMITS.travel.trip_days
    days = np.array([(window.day0 - day).days for day in window.trips["arrive_date"]], int)
    rows = window.trips[(days >= 0) & (days <= most)]
    zones = zip(rows["from_zone"], rows["to_zone"], strict=True)
    homeward = [k for k, (start, end) in enumerate(zones, 1) if end == home != start != ""]
    outward = rows.iloc[max(homeward, default=0) :]
    if len(outward):
        return _from_journal(window, outward, there)
    if there.first_there is not None and not len(rows):
        return _from_files(window, there)
    return _no_trip(window, there, rows)


def _from_journal(window: Window, rows: pd.DataFrame, there: Whereabouts) -> Trip:
    last = rows.iloc[-1]
    home = rows.iloc[0]["from_zone"] or window.athlete.home_zone
    zones = (
        zones_between_h(home, last["to_zone"], window.day0) if last["to_zone"] else there.zones_h
    )
    known = zones == zones
    hours = float(rows["travel_h"].sum(min_count=len(rows)))
    lines = " and ".join(str(row) for row in rows["row"])
    basis = f"trips, row{'s' if len(rows) > 1 else ''} {lines}: arrival on {last['arrive_date']}"
    basis += f" in {last['to_zone']} from {home}" if last["to_zone"] else ""
    return Trip(
        source="journal",
        zones_h=zones if known else None,
        why="" if known else f"trips, row {last['row']} has no to_zone",
        depart=last["depart_date"],
        arrive=last["arrive_date"],
        travel_h=hours if hours == hours else None,
        stages=_stages(window, rows, home, zones) if known else (),
        basis=basis + _against_files(window, zones, last["arrive_date"], there),
        legs=there.race_legs,
    )


def _stages(
    window: Window, rows: pd.DataFrame, home: str, zones_h: float
) -> tuple[tuple[float, int], ...]:
    """The time change of each stage; the last one makes up what is left to the race's clock."""
    arrivals = [*rows["arrive_date"], window.day0]
    stages = []
    so_far = 0.0
    for place, zone in enumerate(rows["to_zone"]):
        there_h = zones_between_h(home, zone, window.day0) if zone else so_far
        if place == len(rows) - 1:
            there_h = zones_h
        stages.append((there_h - so_far, (arrivals[place + 1] - arrivals[place]).days))
        so_far = there_h
    return tuple(stages)


def _against_files(window: Window, zones: float, arrive: date, there: Whereabouts) -> str:
    """What the files say against the journal; empty where they agree or are silent."""
    words = []
    if abs(zones - there.zones_h) >= 0.25:  # false where either is unknown
        words.append(f"a time difference of {show('zones_crossed', there.zones_h)}")
    first, last = there.first_there, there.last_home
    if first is not None and window.day(first) < arrive:
        words.append(f"a session there on {window.day(first)}, before the arrival")
    if last is not None and window.day(last) > arrive:
        words.append(f"a session at home on {window.day(last)}, after the arrival")
    return f"; the files say otherwise: {' and '.join(words)}" if words else ""


def _from_files(window: Window, there: Whereabouts) -> Trip:
    first = there.first_there or 0
    placed = there.distance_km == there.distance_km
    left = "" if there.last_home is None else f"last at home on day {day_name(there.last_home)}, "
    seen = (
        f"by the files' {'start positions' if placed else 'clocks'} "
        f"{left}first away on day {day_name(first)}"
    )
    seen += f", {there.shown_distance}" if placed else ""
    known = there.zones_h == there.zones_h
    return Trip(
        source="files",
        zones_h=there.zones_h if known else None,
        why="" if known else "no file of the race has a position or a clock",
        depart=None if there.last_home is None else window.day(there.last_home),
        arrive=window.day(first),
        stages=((there.zones_h, -first),) if known else (),
        seen=seen,
        basis=f"no trip in the journal; {seen}",
        legs=there.race_legs or window.race_legs,
    )


def _no_trip(window: Window, there: Whereabouts, rows: pd.DataFrame) -> Trip:
    """No trip to this race, as far as that is known; or another clock that no trip explains."""
    home = (
        f"; the athlete came home on {rows.iloc[-1]['arrive_date']}, and what the body clock kept "
        "of that trip is not counted"
        if len(rows)
        else ""
    )
    if there.distance_km <= LIMITS.travel.away_km:
        moved = " (home moved before the race)" if there.moved else ""
        basis = f"the race started {there.shown_distance}{moved}, no trip{home}"
        return Trip("none", there.zones_h, basis=basis, legs=there.race_legs)
    if there.zones_h == there.zones_h:
        fact = (
            "the race file's clock differs from home's"
            if there.zones_h
            else ("the race file's clock is home's")
        )
        source = "files" if there.zones_h else "none"
        basis = f"no trip in the journal, and {fact}{home}"
        return Trip(source, there.zones_h, basis=basis, legs=window.race_legs)
    if len(window.trips) or window.no_trips:
        says = "tells of other trips" if len(window.trips) else "says that there were none at all"
        basis = (
            f"no trip to this race in the journal, which {says}; no file of the last days has a "
            f"position or a clock to compare{home}"
        )
        return Trip("none", 0.0, basis=basis)
    return Trip("unknown", None, why=NOTHING)


def travel_days(window: Window, trip: Trip) -> dict[int, str]:
    """What travel fell on each day to the race: `depart`, `arrive` or `away`."""
    if trip.arrive is None:
        return {}
    arrive = (trip.arrive - window.day0).days
    typed = trip.depart if trip.source == "journal" else None
    depart = (typed - window.day0).days if typed else arrive
    where_by_day = dict.fromkeys(range(depart + 1, 1), "away")
    return where_by_day | {depart: "depart"} | {arrive: "arrive"}
