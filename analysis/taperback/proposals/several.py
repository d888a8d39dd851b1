"""Whether a folder is one athlete's: by the journals in it, and by what one body cannot do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path

from taperback.common.errors import InputError
from taperback.common.geodesy import great_circle_m
from taperback.common.limits import LIMITS
from taperback.common.wording import number_of, some
from taperback.importer.model import LegSummary
from taperback.importer.sports import tells_a_place
from taperback.journal.athlete import FILE as ATHLETE
from taperback.journal.model import DEFAULT_FILES

_USE_SQUAD = "use taperback squad for all of them, or name the folder of one"


def refuse_athletes_folders(folder: Path) -> None:
    """Nothing where the folder may be one athlete's, by the journals in it and below it.

    One journal below an own one is taken for a copy of it.

    Raises:
        InputError: folders in it have an athlete's journal, so that their files are several
            people's.
    """
    own = any(_is_there(folder / name) for name in (ATHLETE, *DEFAULT_FILES.values()))
    athletes = athletes_inside(folder)
    if len(athletes) > own:
        itself = "has a journal of its own beside them" if own else "is none itself"
        raise InputError(
            f"it holds the folder of {number_of(len(athletes), 'athlete')} ({some(athletes)}), and "
            f"{itself}",
            _USE_SQUAD,
            str(folder),
        )


def athletes_inside(folder: Path) -> list[str]:
    """Names of the folders in it that have an athlete's journal."""
    return [
        path.name
        for path in sorted(folder.glob("*"))  # a folder that is gone is said by whoever reads it
        if path.is_dir() and not path.name.startswith(".")
        if any(_is_there(path / name) for name in (ATHLETE, DEFAULT_FILES["races"]))
    ]


def _is_there(path: Path) -> bool:
    """Whether the file is there; what may not be looked into is said by whoever reads it."""
    try:
        return path.is_file()
    except OSError:
        return False


def refuse_several_people(folder: Path, legs: Iterable[LegSummary]) -> None:
    """Nothing where files without any journal may be one athlete's.

    Raises:
        InputError: on several days sessions of two folders lie at the same time and are no copies.
    """
    at_once = Counter[frozenset[str]]()
    copies = Counter[frozenset[str]]()
    days: dict[frozenset[str], set[date]] = {}
    for one, other in _at_once(sorted(legs, key=lambda leg: leg.start_utc)):
        folders = frozenset((_first_folder(one), _first_folder(other)))
        if _may_be_copies(one, other):
            copies[folders] += 1
        else:
            at_once[folders] += 1
            days.setdefault(folders, set()).add(one.start_utc.date())
    people = {
        name
        for folders, of_both in days.items()
        if len(of_both) >= LIMITS.people.fewest_days and at_once[folders] > copies[folders]
        for name in folders
    }
    if people:
        raise InputError(
            f"its folders look like those of several people ({some(sorted(people))}), whose "
            "sessions lie at the same time",
            f"{_USE_SQUAD}; if all are one athlete's, write {ATHLETE} into it with a name and a "
            "home_zone",
            str(folder),
        )


def _at_once(legs: list[LegSummary]) -> Iterator[tuple[LegSummary, LegSummary]]:
    """Pairs of legs of different folders that share some minutes; the legs in order of start."""
    under_way: list[LegSummary] = []
    for leg in legs:
        under_way = [other for other in under_way if _shared_s(leg, other) > 0]
        for other in under_way:
            long_enough = _shared_s(leg, other) >= LIMITS.people.at_once_s
            if long_enough and "" != _first_folder(leg) != _first_folder(other) != "":
                yield other, leg
        under_way.append(leg)


def _shared_s(later: LegSummary, earlier: LegSummary) -> float:
    since = (later.start_utc - earlier.start_utc).total_seconds()
    return min(earlier.elapsed_s - since, later.elapsed_s)


def _first_folder(leg: LegSummary) -> str:
    return leg.file.partition("/")[0] if "/" in leg.file else ""


def _may_be_copies(one: LegSummary, other: LegSummary) -> bool:
    """Whether two devices on one body may have recorded both."""
    limits = LIMITS.people
    if abs((one.start_utc - other.start_utc).total_seconds()) > limits.copy_start_s:
        return False
    named = {leg.sport for leg in (one, other)} - {"generic", ""}
    lengths = [(one.elapsed_s, other.elapsed_s), (one.distance_m, other.distance_m)]
    apart_m = float(great_circle_m(one.start_lat, one.start_lon, other.start_lat, other.start_lon))
    placed = tells_a_place(one.sub_sport) and tells_a_place(other.sub_sport)
    return (
        len(named) < 2
        and not any(min(pair) < (1 - limits.copy_share) * max(pair) for pair in lengths)
        and not (placed and apart_m > limits.copy_apart_m)
    )
