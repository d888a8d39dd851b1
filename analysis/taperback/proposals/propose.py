"""What a journal could say, as far as files know: races, nights and trips."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from taperback.importer.model import Imported
from taperback.journal.model import Journal
from taperback.proposals.races import Cells, race_rows, with_races
from taperback.raceweek.travel.trips import find_trip
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.window import Window


@dataclass(frozen=True)
class Proposals:
    """Rows that could be added to the journal; none for a day that it already tells of."""

    races: tuple[Cells, ...]
    nights: tuple[Cells, ...]
    trips: tuple[Cells, ...]


def propose(imported: Imported, journal: Journal) -> Proposals:
    """What the files tell that the journal does not."""
    told = set(journal.races["date"])
    races = [row for row in race_rows(imported.legs) if date.fromisoformat(row["date"]) not in told]
    return Proposals(
        tuple(races), _nights(imported, journal), _trips(imported, with_races(journal, races))
    )


def _nights(imported: Imported, journal: Journal) -> tuple[Cells, ...]:
    told = set(journal.nights["date"])
    return tuple(
        {
            "date": night.day.isoformat(),
            "sleep_h": f"{night.sleep_h:.2f}",
            "proposed": f"asleep by {night.file}",
        }
        for night in imported.nights.itertuples()
        if night.day not in told and night.sleep_h == night.sleep_h
    )


def _trips(imported: Imported, journal: Journal) -> tuple[Cells, ...]:
    """A trip to each race that the files show and the journal does not."""
    rows: dict[str, Cells] = {}
    for window in windows(imported, journal):
        row = _trip(window)
        if row:
            rows.setdefault(row["arrive_date"], row)
    return tuple(rows[day] for day in sorted(rows))


def _trip(window: Window) -> Cells | None:
    trip = find_trip(window)
    if trip.source != "files" or trip.arrive is None:
        return None
    zones = window.legs.loc[window.legs["leg_id"].isin(trip.legs), "zone"]
    # the journey may have begun on any day since the last session at home; one is known to fit
    next_day = trip.depart is not None and trip.arrive - trip.depart <= timedelta(days=1)
    return {
        "depart_date": trip.depart.isoformat() if trip.depart and next_day else "",
        "arrive_date": trip.arrive.isoformat(),
        "from_zone": window.athlete.home_zone,
        "to_zone": next((zone for zone in zones if zone), ""),
        "proposed": trip.basis.removeprefix("no trip in the journal; "),
    }
