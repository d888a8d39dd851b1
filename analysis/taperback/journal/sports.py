"""The words that athletes type for sports, and the names that the FIT profile has for them."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass

from taperback.common.errors import InputError
from taperback.journal.cells import quoted


@dataclass(frozen=True, order=True)
class Sport:
    """A sport by the FIT profile's names.

    Attributes:
        sport: its name, or the typed word where no such name is known.
        sub_sport: the kind of it, or empty.
    """

    sport: str
    sub_sport: str = ""


WHOLE_RACES = {
    "triathlon": ("swimming", "cycling", "running"),
    "duathlon": ("running", "cycling", "running"),
    "aquathlon": ("swimming", "running"),
    "swimrun": ("swimming", "running"),
}
"""Words for races of several sports -> their sports, in order."""

_WORDS = {
    "running": "run, jog, jogging, marathon, half marathon, cross country, cross country running,"
    " road running, orienteering, fell running",
    "running trail": "trail, trail run, trail running, mountain running, skyrunning",
    "running ultra": "ultra, ultra running, ultramarathon, ultra marathon",
    "running treadmill": "treadmill, treadmill run, treadmill running",
    "running track": "track run, track running",
    "running obstacle": "obstacle race, obstacle course, obstacle running",
    "cycling": "bike, biking, cycle, ride, bicycle",
    "cycling road": "road cycling, road bike, road biking, road ride, time trial",
    "cycling gravel_cycling": "gravel, gravel cycling, gravel bike, gravel biking, gravel ride,"
    " gravel riding",
    "cycling mountain": "mtb, mountain bike, mountain biking, mountain cycling",
    "cycling cyclocross": "cyclocross, cyclo cross, cx",
    "cycling track_cycling": "track cycling",
    "cycling hand_cycling": "handcycling, handcycle, handbike, hand cycling, hand bike",
    "cycling indoor_cycling": "indoor cycling, indoor bike, indoor ride, spinning, turbo,"
    " turbo trainer, trainer, exercise bike, stationary bike",
    "cycling virtual_activity": "virtual cycling, virtual ride",
    "cycling commuting": "bike commute, cycling commute, commute by bike",
    "e_biking": "ebike, e bike, ebiking, e cycling, pedelec",
    "motorcycling": "motorbike, motor bike, motorcycle",
    "swimming": "swim",
    "swimming open_water": "open water, open water swim, open water swimming",
    "swimming lap_swimming": "pool, pool swim, pool swimming, lap swimming",
    "rowing": "row, sculling",
    "rowing indoor_rowing": "indoor rowing, rowing machine, erg, ergometer",
    "kayaking": "kayak, surfski",
    "paddling": "paddle, canoe, canoeing",
    "stand_up_paddleboarding": "sup, stand up paddling",
    "cross_country_skiing": "ski, skiing, xc ski, xc skiing, cross country ski, nordic skiing,"
    " classic skiing, roller ski, roller skiing, rollerskiing, biathlon",
    "cross_country_skiing skate_skiing": "skate ski, skate skiing",
    "alpine_skiing": "downhill skiing, ski downhill",
    "alpine_skiing backcountry": "ski touring, backcountry skiing, ski mountaineering, skimo",
    "ice_skating": "skating, speed skating",
    "inline_skating": "rollerblading, roller skating",
    "snowshoeing": "snowshoe",
    "walking": "walk, nordic walking",
    "walking speed_walking": "race walking, racewalking, race walk",
    "hiking": "hike, trekking",
    "wheelchair_push_run": "wheelchair, wheelchair racing, wheelchair running",
    "training strength_training": "strength, strength training, weights, weight training, lifting,"
    " gym, core",
    "training yoga": "yoga",
    "training pilates": "pilates",
    "training flexibility_training": "stretching, mobility, flexibility",
    "training cardio_training": "cardio, circuit, circuits, circuit training, crossfit",
    "fitness_equipment elliptical": "elliptical, cross trainer",
    "fitness_equipment stair_climbing": "stairs, stair climbing",
}
"""Name and kind of a sport -> further words for it."""

_NAMES = (
    "generic transition training basketball soccer tennis american_football alpine_skiing"
    " snowboarding mountaineering multisport flying boating driving golf horseback_riding hunting"
    " fishing rock_climbing sailing surfing windsurfing kitesurfing rafting boxing diving hiit"
    " racket wheelchair_push_walk meditation hockey volleyball dance jump_rope water_skiing"
)
"""Sports of the FIT profile that have no further words here."""

_KNOWN = {
    **{name.replace("_", " "): Sport(name) for name in _NAMES.split()},
    **{
        word.strip().replace("_", " "): Sport(*names.split())
        for names, words in _WORDS.items()
        for word in (*words.split(","), *names.split()[: 2 - len(names.split())])
    },
}
_ADJECTIVES = frozenset(
    re.findall(
        r"\w+",
        """
        easy long short slow fast steady tempo threshold interval intervals fartlek hill hills
        recovery race racing session outdoor morning evening olympic sprint middle standard double
        solo group club commute commuting to from work home
        """,
    )
)
"""Words beside a sport's that tell no other sport."""


def typed_sports(cell: str) -> tuple[Sport, ...]:
    """One sport or several, parted by blanks, `+`, `/`, `;` or `,`; unknown words as they stand.

    >>> typed_sports("gravel + trail running")
    (Sport(sport='cycling', sub_sport='gravel_cycling'), Sport(sport='running', sub_sport='trail'))
    """
    return tuple(sport for part in _parts(cell) for sport in _read(part)[0])


def strange(cell: str) -> str:
    """The words of a cell that no sport is known by; empty where all are understood.

    >>> strange("chess + run"), strange("easy run")
    ('chess', '')
    """
    return ", ".join(" ".join(rest) for part in _parts(cell) if (rest := _read(part)[1]))


def race_sports(cell: str) -> tuple[str, ...]:
    """The sports of a race by the FIT profile's names; none where one of them is not known.

    >>> race_sports("swim bike run"), race_sports("chess")
    (('swimming', 'cycling', 'running'), ())
    """
    found = typed_sports(cell)
    return tuple(one.sport for one in found) if all(map(is_known, found)) else ()


def one_sport(cell: str) -> Sport:
    """The one sport of a session or a limit.

    Raises:
        InputError: the cell names several.
    """
    found = typed_sports(cell)
    if len(found) != 1:
        raise InputError(f"{quoted(cell)} is not one sport", "write one, in a row of its own")
    return found[0]


def remark(cell: str) -> tuple[str, str] | None:
    """What is noted of a sport that is used as it stands: (finding, remedy)."""
    words = strange(cell)
    if not words:
        return None
    found = [sport.sport for sport in typed_sports(cell) if is_known(sport)]
    if found:
        return f"{quoted(cell)} is read as {' and '.join(found).replace('_', ' ')}", ""
    return f"{quoted(words)} is not a sport known here", _meant(words) or (
        "it is kept as it is; add it to sports in athlete.toml if it counts as training"
    )


def race_remark(cell: str) -> tuple[str, str] | None:
    """The same of a race, where unknown sports are left to its files."""
    if all(map(is_known, typed_sports(cell))):
        return remark(cell)
    words = strange(cell)
    return f"{quoted(words)} is not a sport known here", _meant(words) or (
        "the race's longest session is taken for it"
    )


def _meant(words: str) -> str:
    close = difflib.get_close_matches(words, [*WHOLE_RACES, *_KNOWN], n=1, cutoff=0.8)
    return f"did you mean {close[0]}?" if close else ""


def is_known(sport: Sport) -> bool:
    """Whether it is a sport that the FIT profile has a name for, and not just a typed word."""
    return sport.sport in _SPORTS


_SPORTS = {sport.sport for sport in _KNOWN.values()}


def _parts(cell: str) -> Iterator[list[str]]:
    """The words of each part of a cell, in lower case."""
    for part in re.split(r"[+/;,&]|\band\b", cell.lower()):
        words = re.findall(r"[^\W_]+", part)
        if words:
            yield words


def _read(words: list[str]) -> tuple[list[Sport], list[str]]:
    """The sports of some words, the longest names first; and the words that are none."""
    found: list[Sport] = []
    rest: list[str] = []
    place = 0
    while place < len(words):
        for size in range(len(words) - place, 0, -1):
            name = " ".join(words[place : place + size])
            if name in WHOLE_RACES or name in _KNOWN:
                whole = WHOLE_RACES.get(name)
                found += [Sport(each) for each in whole] if whole else [_KNOWN[name]]
                place += size
                break
        else:
            rest += [] if words[place] in _ADJECTIVES else [words[place]]
            place += 1
    return (found, rest) if found else ([Sport("_".join(words))], words)
