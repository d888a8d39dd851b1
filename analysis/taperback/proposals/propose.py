"""What a journal could say, as far as files know: the athlete, races, nights and trips."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from taperback.common.limits import LIMITS
from taperback.importer.model import Imported
from taperback.journal.model import Journal
from taperback.journal.proposed import DOUBTFUL, Cells, with_proposed
from taperback.proposals.athlete_toml import athlete_toml
from taperback.proposals.races import race_rows
from taperback.raceweek.travel.trips import find_trip
from taperback.raceweek.travel.whereabouts import whereabouts
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.window import Window


@dataclass(frozen=True)
class Proposals:
    """What could be added to the journal; nothing for a day that it already has.

    Attributes:
        athlete_toml: what a first `athlete.toml` says; empty where a person wrote one.
        races, nights, trips: rows for the tables of these names, in order of date.
    """

    athlete_toml: str
    races: tuple[Cells, ...]
    nights: tuple[Cells, ...]
    trips: tuple[Cells, ...]

    def added_to(self, journal: Journal) -> Journal:
        """The journal as it would be if all rows were typed."""
        rows = {"races": self.races, "nights": self.nights, "trips": self.trips}
        return with_proposed(journal, rows)


def propose(imported: Imported, journal: Journal) -> Proposals:
    """What the files show that the journal does not say."""
    typed = set(journal.races["date"])
    races = []
    for row in race_rows(imported.legs):
        day = date.fromisoformat(row["date"])
        near = [other for other in typed if abs((other - day).days) < LIMITS.points.week_days]
        if near:  # it may be the last hard session before that race
            why = f"{row['proposed']}; a race of {min(near)} is typed"
            row |= {"leave_out": DOUBTFUL, "proposed": why}
        if day not in typed:
            races.append(row)
    before_each_race = windows(imported, with_proposed(journal, {"races": races}))
    athlete = journal.athlete
    return Proposals(
        "" if athlete.typed else athlete_toml(athlete, imported.legs, before_each_race),
        tuple(races),
        _nights(imported, journal),
        _trips(before_each_race),
    )


def _nights(imported: Imported, journal: Journal) -> tuple[Cells, ...]:
    typed = set(journal.nights["date"])
    return tuple(
        {
            "date": night.day.isoformat(),
            "sleep_h": f"{night.sleep_h:.2f}",
            "proposed": f"asleep by {night.file}",
        }
        for night in imported.nights.itertuples()
        if night.day not in typed and night.sleep_h == night.sleep_h
    )


def _trips(windows: Iterable[Window]) -> tuple[Cells, ...]:
    """A trip to each race that the files show and the journal does not, one an arrival."""
    rows: dict[str, Cells] = {}
    for window in windows:
        trip = find_trip(window, whereabouts(window))
        if trip.source != "files" or trip.arrive is None:
            continue
        zones = window.legs.named(trip.legs)["zone"]
        # the journey may have begun on any day since the last session at home; one is known to fit
        next_day = trip.depart is not None and trip.arrive - trip.depart <= timedelta(days=1)
        row = {
            "depart_date": trip.depart.isoformat() if trip.depart and next_day else "",
            "arrive_date": trip.arrive.isoformat(),
            "from_zone": window.athlete.home_zone,
            "to_zone": next((zone for zone in zones if zone), ""),
            "proposed": trip.seen,
        }
        rows.setdefault(row["arrive_date"], row)
    return tuple(rows[day] for day in sorted(rows))
