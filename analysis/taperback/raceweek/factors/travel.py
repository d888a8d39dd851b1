"""How far the race was, over how many time zones, and how far the body clock lagged behind."""

from __future__ import annotations

from dataclasses import replace
from math import copysign

from taperback.common.limits import LIMITS
from taperback.common.published import PUBLISHED
from taperback.common.quantities import show
from taperback.common.wording import hours_and_minutes, number_of
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.travel.body_clock import (
    body_clock_lag_h,
    lag_of_stages_h,
    shift_rate,
    shortest_shift_h,
)
from taperback.raceweek.travel.trips import NOTHING, Trip
from taperback.raceweek.travel.whereabouts import Whereabouts
from taperback.raceweek.window.window import Window


def travel(race: Race) -> tuple[Measured, ...]:
    """Distance, hours, zones, direction, days since arrival, arrival day and body clock."""
    window, there, trip = race.window, race.there, race.trip
    zones = (
        unknown("zones_crossed", trip.why)
        if trip.zones_h is None
        else Measured("zones_crossed", trip.zones_h, basis=trip.basis, legs=trip.legs)
    )
    no_hours = {"none": "there was no trip", "unknown": NOTHING}
    travel_h = (
        unknown("travel_h", no_hours.get(trip.source, "the journal does not tell the hours"))
        if trip.travel_h is None
        else Measured("travel_h", trip.travel_h, basis=trip.basis)
    )
    shift = shortest_shift_h(trip.zones_h or 0.0)
    word = "east" if shift > 0 else "west" if shift < 0 else "none"
    direction = replace(zones, name="travel_direction", value=word if zones.known else None)
    return (
        _distance(there),
        travel_h,
        zones,
        direction,
        _days_since_arrival(window, trip),
        _arrival_day(window, trip),
        _body_clock(window, trip),
    )


def _distance(there: Whereabouts) -> Measured:
    name = "travel_km"
    if not there.home_legs:
        return unknown(name, "too few baseline sessions start at one place to call it home")
    if not there.race_legs:
        return unknown(name, "no file of the race has a position")
    moved = ", to which the athlete moved before the race" if there.moved else ""
    basis = (
        f"great circle from home, where {number_of(len(there.home_legs), 'session')} started"
        f"{moved}, to the start of the race, in steps; within {LIMITS.travel.home_km} km is at home"
    )
    legs = (*there.home_legs, *there.race_legs)
    return Measured(name, there.shown_km, basis=basis, legs=legs)


def _why_no_arrival(trip: Trip) -> str:
    """Why the day of arrival is not known."""
    return {
        "none": "there was no trip",
        "files": "the files show another clock at the race, and not when it was reached",
    }.get(trip.source, NOTHING)


def _days_since_arrival(window: Window, trip: Trip) -> Measured:
    name = "days_since_arrival"
    if trip.arrive is None:
        return unknown(name, _why_no_arrival(trip))
    basis = trip.basis
    if trip.source == "files":
        basis += "; the athlete may have arrived earlier"
    days = (window.day0 - trip.arrive).days
    return Measured(name, float(days), basis=basis, days=(trip.arrive,), legs=trip.legs)


def _arrival_day(window: Window, trip: Trip) -> Measured:
    """Hours trained on the day of arrival, and what it was."""
    name = "arrival_day_h"
    if trip.arrive is None:
        return unknown(name, _why_no_arrival(trip))
    day = (trip.arrive - window.day0).days
    reason = window.why_unknown(day, day) if day < 0 else "the athlete arrived on race day"
    if reason:
        return unknown(name, reason, (trip.arrive,))
    legs = window.training(day, day)
    parts = [f"{leg.sport.replace('_', ' ')} {hours_and_minutes(60 * leg.hours)}" for leg in legs]
    basis = ", ".join(parts) or "no session"
    return Measured(name, legs.total("hours"), basis=basis, days=(trip.arrive,), legs=legs.ids)


def _body_clock(window: Window, trip: Trip) -> Measured:
    """Hours of the time change left at the start; never below 0."""
    name = "body_clock_lag_h"
    if trip.zones_h is None:
        return unknown(name, trip.why)
    if trip.zones_h == 0 and not any(shift for shift, _ in trip.stages):
        return Measured(name, 0.0, basis=trip.basis, legs=trip.legs)
    if trip.arrive is None:
        return unknown(name, _why_no_arrival(trip))
    basis = f"{_stage_words(trip)}; {trip.basis}"
    few = PUBLISHED.travel.jet_lag_from_zones.value
    if abs(shortest_shift_h(trip.zones_h)) < few:
        basis += f"; under {few} zones, which is travel and not jet lag as it is published"
    days = (trip.arrive, window.day0)
    return Measured(name, lag_of_stages_h(trip.stages), basis=basis, days=days, legs=trip.legs)


def _stage_words(trip: Trip) -> str:
    """What the body clock had to follow, stage by stage, and how fast it does."""
    words = []
    lag_h = 0.0
    for shift, days in _changes(trip.stages):
        _, direction = shift_rate(shift)
        # what is left of an earlier stage decides which way the body clock goes on
        due_h = shortest_shift_h(lag_h + shift)
        rate, _ = shift_rate(due_h)
        shifted = f"{_shift_words(shift, direction)} and then {number_of(days, 'day')}"
        words.append(f"{shifted} at {rate * 60:.0f} min a day")
        lag_h = copysign(body_clock_lag_h(due_h, days), due_h)
    return ", ".join(words)


def _shift_words(shift_h: float, direction: str) -> str:
    """A time change as the body meets it, and the clock's own where that went the other way."""
    body_h = shortest_shift_h(shift_h)
    if body_h * shift_h >= 0:
        return f"{show('zones_crossed', shift_h)} {direction}ward"
    clock = show("zones_crossed", abs(shift_h)).lstrip("+")
    body = show("zones_crossed", abs(body_h)).lstrip("+")
    way = "on" if shift_h > 0 else "back"
    return f"clock {clock} {way}, which is {body} {direction}ward for the body,"


def _changes(stages: tuple[tuple[float, int], ...]) -> list[tuple[float, int]]:
    """The stages that change the time, each with all days until the next one that does."""
    changes: list[tuple[float, int]] = []
    for shift, days in stages:
        if shift:
            changes.append((shift, days))
        elif changes:
            changes[-1] = (changes[-1][0], changes[-1][1] + days)
    return changes
