"""Where the athlete most likely lives, from the files alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import available_timezones

import tzlocal

from taperback.importer.local_day import is_zone, utc_offset_s
from taperback.importer.model import LegSummary


@dataclass(frozen=True)
class Home:
    """The home zone that files propose.

    Attributes:
        zone: IANA zone.
        guess: what it rests on where no position tells it, to follow "a guess, "; else empty.
    """

    zone: str
    guess: str = ""


def likely_home(legs: Iterable[LegSummary]) -> Home:
    """The zone in which most legs start; without a position, one whose clock the files keep.

    Files without a position may still tell how far their clock is ahead of UTC. Of the zones that
    agree with all of them this computer's own comes first, and it is taken where none tells.
    """
    legs = list(legs)
    zones = Counter(leg.zone for leg in legs if leg.zone)
    if zones:
        most = max(zones.values())
        return Home(min(zone for zone, count in zones.items() if count == most))
    offsets = {
        (leg.start_utc.timestamp(), leg.file_utc_offset_s)
        for leg in legs
        if leg.file_utc_offset_s == leg.file_utc_offset_s
    }
    here = zone_of_this_computer()
    if not offsets:
        return Home(here, "since no file has a position: the zone of this computer")
    named = (zone for zone in sorted(available_timezones()) if "/" in zone)
    places = (zone for zone in named if not zone.startswith("Etc/"))
    agreeing = (
        zone
        for zone in (here, *places)
        if all(utc_offset_s(moment_s, zone) == offset_s for moment_s, offset_s in offsets)
    )
    zone = next(agreeing, "")
    if not zone:
        return Home(here, "since no file has a position, and their clocks agree with no one zone")
    return Home(zone, "since no file has a position: one with the clock that the files have")


def zone_of_this_computer() -> str:
    """Its IANA zone, or UTC where it has none that is known."""
    here = tzlocal.get_localzone_name() or ""
    return here if is_zone(here) else "UTC"
