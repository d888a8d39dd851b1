"""How far the race was, over how many time zones, and how far the body clock lagged behind."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from taperback.quantities import show
from taperback.raceweek.calendar import Window
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.whereabouts import Whereabouts, whereabouts, zones_between_h
from taperback.raceweek.wording import count, day_name
from taperback.resources import shared_toml


@dataclass(frozen=True)
class Trip:
    """The way to a race, from whichever source tells it.

    Attributes:
        source: `journal`, `files`, `none` (the athlete was at home) or `unknown`.
        zones_h: hours of time difference, east positive; None where not known.
        depart, arrive: local days; None where not known or no trip.
        travel_h: door-to-door hours, None where not typed.
        basis: how it is known, with what another source says against it.
        legs: ids of the legs it rests on.
    """

    source: str
    zones_h: float | None
    depart: date | None = None
    arrive: date | None = None
    travel_h: float | None = None
    basis: str = ""
    legs: tuple[str, ...] = ()


def travel(window: Window) -> tuple[Measured, ...]:
    """Distance, hours, zones, direction, days since arrival, arrival day and body clock."""
    there = whereabouts(window)
    trip = find_trip(window, there)
    zones = _zones(trip)
    return (
        _distance(there),
        _hours(trip),
        zones,
        _direction(zones),
        _days_since_arrival(window, trip),
        _arrival_day(window, trip),
        _body_clock(window, trip),
    )


def find_trip(window: Window, there: Whereabouts | None = None) -> Trip:
    """The trip to the race: the journal's, else what the files show, else that there was none.

    No trip and a race that started at home, or under home's clock, is known to be none. Without
    position and clock there was none where the athlete writes trips down and wrote none for this
    race; otherwise nothing is known.
    """
    there = there or whereabouts(window)
    rows = _trips_before(window)
    if len(rows) and not _homeward(window, rows.iloc[-1]):
        trip = _from_journal(window, rows.iloc[-1], there)
        if trip.zones_h is not None:
            return trip
    came_home = len(rows) > 0 and _homeward(window, rows.iloc[-1])
    if there.first_there is not None and not came_home:
        return _from_files(window, there)
    return _no_trip(window, there, rows)


def _trips_before(window: Window) -> pd.DataFrame:
    """Trips of the journal that ended at most `trip_days` before the race, in order of arrival."""
    days = pd.Series([(day - window.day0).days for day in window.trips["arrive_date"]], dtype=float)
    near = days.between(-shared_toml("limits.toml")["travel"]["trip_days"], 0).to_numpy()
    return window.trips[near]


def _homeward(window: Window, row: pd.Series) -> bool:
    """Whether the trip went home."""
    home = window.athlete.home_zone
    return row["to_zone"] == home and row["from_zone"] not in ("", home)


def _from_journal(window: Window, row: pd.Series, there: Whereabouts) -> Trip:
    home = row["from_zone"] or window.athlete.home_zone
    zones = zones_between_h(home, row["to_zone"], window.day0) if row["to_zone"] else None
    if zones is None and there.zones_h == there.zones_h:
        zones = there.zones_h
    arrive = row["arrive_date"]
    hours = row["travel_h"]
    basis = f"trips.csv, row {row['row']}: arrival on {arrive}"
    if row["to_zone"]:
        basis += f" in {row['to_zone']} from {home}"
    basis += _against_files(window, zones, arrive, there)
    return Trip(
        "journal",
        zones,
        row["depart_date"],
        arrive,
        float(hours) if hours == hours else None,
        basis,
        there.race_legs,
    )


def _against_files(window: Window, zones: float | None, arrive: date, there: Whereabouts) -> str:
    """What the files say against the journal; empty where they agree or are silent."""
    words = []
    if zones is not None and abs(zones - there.zones_h) >= 0.25:  # NaN compares false
        words.append(f"a time difference of {show('zones_crossed', there.zones_h)}")
    first, last = there.first_there, there.last_home
    if first is not None and window.day(first) < arrive:
        words.append(f"a session there on {window.day(first)}, before the arrival")
    if last is not None and window.day(last) > arrive:
        words.append(f"a session at home on {window.day(last)}, after the arrival")
    return f"; the files say otherwise: {' and '.join(words)}" if words else ""


def _from_files(window: Window, there: Whereabouts) -> Trip:
    first = there.first_there or 0
    left = "" if there.last_home is None else f"last at home on day {day_name(there.last_home)}, "
    told = "start positions" if there.distance_km == there.distance_km else "clocks"
    basis = (
        f"no trip in the journal; by the files' {told} {left}first away on day {day_name(first)}"
    )
    if there.distance_km == there.distance_km:
        basis += f", {there.distance_km:.0f} km from home"
    zones = there.zones_h if there.zones_h == there.zones_h else None
    depart = None if there.last_home is None else window.day(there.last_home)
    legs = there.race_legs or window.race_legs
    return Trip("files", zones, depart, window.day(first), None, basis, legs)


def _no_trip(window: Window, there: Whereabouts, rows: pd.DataFrame) -> Trip:
    limits = shared_toml("limits.toml")["travel"]
    home = (
        f"; the athlete came home on {rows.iloc[-1]['arrive_date']}, and what the body clock kept "
        "of that trip is not counted"
        if len(rows)
        else ""
    )
    if there.distance_km <= limits["away_km"]:
        moved = " (home moved before the race)" if there.moved else ""
        basis = f"the race started {there.distance_km:.0f} km from home{moved}, no trip{home}"
        return Trip("none", there.zones_h, basis=basis, legs=there.race_legs)
    if there.zones_h == there.zones_h:
        if there.zones_h:
            words = "no trip in the journal; the race file's clock differs from home's"
            return Trip("files", there.zones_h, basis=words + home, legs=window.race_legs)
        basis = f"no trip in the journal, and the race file's clock is home's{home}"
        return Trip("none", 0.0, basis=basis, legs=window.race_legs)
    if len(window.trips):
        basis = (
            "no trip to this race in the journal, which tells of other trips; no file of the last "
            f"days has a position or a clock to compare{home}"
        )
        return Trip("none", 0.0, basis=basis)
    return Trip("unknown", None)


_NOTHING = "the journal tells of no trips, and no file of the race has a position or a clock"


def _distance(there: Whereabouts) -> Measured:
    name = "travel_km"
    if not there.home_legs:
        return unknown(name, "too few baseline sessions start at one place to call it home")
    if not there.race_legs:
        return unknown(name, "no file of the race has a position")
    moved = ", to which the athlete moved before the race" if there.moved else ""
    basis = (
        f"great circle from home, where {count(len(there.home_legs), 'session')} started{moved}, "
        "to the start of the race"
    )
    legs = (*there.home_legs, *there.race_legs)
    return Measured(name, there.distance_km, basis=basis, legs=legs)


def _hours(trip: Trip) -> Measured:
    name = "travel_h"
    if trip.travel_h is not None:
        return Measured(name, trip.travel_h, basis=trip.basis)
    reasons = {"none": "there was no trip", "unknown": _NOTHING}
    return unknown(name, reasons.get(trip.source, "the journal does not tell the hours"))


def _zones(trip: Trip) -> Measured:
    if trip.zones_h is None:
        return unknown("zones_crossed", _NOTHING)
    return Measured("zones_crossed", trip.zones_h, basis=trip.basis, legs=trip.legs)


def _direction(zones: Measured) -> Measured:
    name = "travel_direction"
    if not zones.known:
        return unknown(name, zones.reason)
    shift = shortest_shift_h(float(zones.value or 0))
    word = "east" if shift > 0 else "west" if shift < 0 else "none"
    return Measured(name, word, basis=zones.basis, legs=zones.legs)


def shortest_shift_h(zones_h: float) -> float:
    """The way round on which the body clock has less to shift [h]; east is positive.

    >>> shortest_shift_h(13.0)
    -11.0
    """
    return (zones_h + 12) % 24 - 12 if abs(zones_h) > 12 else zones_h


def _days_since_arrival(window: Window, trip: Trip) -> Measured:
    name = "days_since_arrival"
    if trip.arrive is None:
        reason = _NOTHING if trip.source == "unknown" else "there was no trip"
        if trip.source == "files":
            reason = "the files show another clock at the race, and not when it was reached"
        return unknown(name, reason)
    basis = trip.basis
    if trip.source == "files":
        basis += "; the athlete may have arrived earlier"
    days = (window.day0 - trip.arrive).days
    return Measured(name, float(days), basis=basis, days=(trip.arrive,), legs=trip.legs)


def _arrival_day(window: Window, trip: Trip) -> Measured:
    """Hours trained on the day of arrival, and what it was."""
    name = "arrival_day_h"
    if trip.arrive is None:
        return unknown(name, _days_since_arrival(window, trip).reason)
    day = (trip.arrive - window.day0).days
    reason = window.why_unknown(day, day) if day < 0 else "the athlete arrived on race day"
    if reason:
        return unknown(name, reason, (trip.arrive,))
    legs = window.training(day, day)
    told = [f"{leg.sport.replace('_', ' ')} {leg.hours * 60:.0f} min" for leg in legs.itertuples()]
    basis = ", ".join(told) or "no session"
    hours = float(legs["hours"].sum())
    return Measured(name, hours, basis=basis, days=(trip.arrive,), legs=tuple(legs["leg_id"]))


def _body_clock(window: Window, trip: Trip) -> Measured:
    """Hours of the time change left at the start; never below 0."""
    name = "body_clock_lag_h"
    if trip.zones_h is None:
        return unknown(name, _NOTHING)
    if trip.zones_h == 0:
        return Measured(name, 0.0, basis=trip.basis, legs=trip.legs)
    if trip.arrive is None:
        return unknown(name, _days_since_arrival(window, trip).reason)
    days = (window.day0 - trip.arrive).days
    lag = body_clock_lag_h(trip.zones_h, days)
    rate, direction = _rate(trip.zones_h)
    basis = (
        f"{show('zones_crossed', trip.zones_h)} {direction}ward, {count(days, 'day')} after "
        f"arrival, {rate * 60:.0f} min a day; {trip.basis}"
    )
    few = shared_toml("published.toml")["travel"]["jet_lag_from_zones"]["value"]
    if abs(shortest_shift_h(trip.zones_h)) < few:
        basis += f"; under {few} zones, which is travel and not jet lag as it is published"
    return Measured(name, lag, basis=basis, days=(trip.arrive, window.day0), legs=trip.legs)


def body_clock_lag_h(zones_h: float, days: float) -> float:
    """What is left of a time change after some days at the published rates [h], never below 0.

    >>> round(body_clock_lag_h(6.0, 3), 2)
    3.15
    """
    return max(0.0, abs(shortest_shift_h(zones_h)) - _rate(zones_h)[0] * days)


def _rate(zones_h: float) -> tuple[float, str]:
    """Hours a day that the body clock shifts, and the direction; eastward is slower."""
    published = shared_toml("published.toml")["travel"]
    direction = "east" if shortest_shift_h(zones_h) > 0 else "west"
    return published[f"body_clock_{direction}_h_per_day"]["value"], direction


def travel_days(window: Window) -> dict[int, str]:
    """What travel fell on each day to the race: `depart`, `arrive` or `away`."""
    trip = find_trip(window)
    if trip.arrive is None:
        return {}
    arrive = (trip.arrive - window.day0).days
    depart = (
        (trip.depart - window.day0).days if trip.depart and trip.source == "journal" else arrive
    )
    told = dict.fromkeys(range(depart + 1, 1), "away")
    return told | {depart: "depart"} | {arrive: "arrive"}
