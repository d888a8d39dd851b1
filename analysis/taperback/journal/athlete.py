"""`athlete.toml`: who the athlete is, with limits that are the athlete's own."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Callable, Iterable
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, fault
from taperback.importer.clocks import names_one_file
from taperback.journal import cells
from taperback.journal.columns import period_kind
from taperback.journal.days import believed, day
from taperback.journal.files import read_text
from taperback.journal.model import Athlete, Clock, Period, Threshold
from taperback.journal.sports import Sport, counted_remark, one_sport, typed_sports

T = TypeVar("T")

FILE = "athlete.toml"

# Possessive, so that no text makes the search go back: it takes time by the length of the file.
_NAME = r"""(?:(?<![\w-])[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_NAMES_WITHIN_NAMES = rf"{_NAME}(?:[ \t]*+\.[ \t]*+(?:[\w-]++|{_NAME}))"

THRESHOLD_NAMES = {
    "critical_power_w": (50.0, 700.0),
    "critical_speed_mps": (0.3, 12.0),
    "first_threshold_heart_rate_bpm": (80.0, 220.0),
    "second_threshold_heart_rate_bpm": (80.0, 220.0),
    "max_heart_rate_bpm": (100.0, 230.0),
    "resting_heart_rate_bpm": (25.0, 110.0),
}
"""Personal limits that may be set, each with the range in which it is believed."""

_sex_of = partial(cells.choice, words=("female", "male"))

_MANY_KINDS = ("training", "fitness_equipment", "generic")
"""Sports of the FIT profile that hold very different kinds, such as yoga and weights."""

_TOP = ("name", "home_zone", "sports", "sex", "thresholds", "periods", "panic", "clocks")


class _Complaints:
    """Collects what is wrong, so that all of it is said in one go."""

    def __init__(self) -> None:
        self.notices: list[Notice] = []

    def add(self, setting: str, found: str, remedy: str) -> None:
        self.notices.append(fault(FILE, 0, setting, "setting", found, remedy))

    def remark(self, setting: str, found: str, remedy: str) -> None:
        """What is used as it stands, and worth a look."""
        self.notices.append(Notice(FILE, 0, setting, "setting", found, remedy))

    def read(self, setting: str, value: Any, reader: Callable[[Any], T], absent: T) -> T:
        """The setting's value, or `absent` with a complaint."""
        try:
            return reader(value)
        except InputError as error:
            self.add(setting, error.found, error.remedy)
            return absent

    def unknown(self, where: str, names: Iterable[str], known: Iterable[str]) -> None:
        """A complaint for each name that is not known."""
        for name in names:
            if name not in known:
                close = difflib.get_close_matches(name, list(known), n=1)
                remedy = f"did you mean {close[0]}?" if close else f"known are {', '.join(known)}"
                self.add(f"{where}{name}", "no such setting is known", remedy)


def read_athlete(folder: Path) -> tuple[Athlete, list[Notice]]:
    """The athlete of a folder, and what is wrong in `athlete.toml`.

    Raises:
        InputError: there is no `athlete.toml`, it is not TOML, or the home zone is missing,
            without which no local day can be known.
    """
    settings = _settings(folder)
    complaints = _Complaints()
    complaints.unknown("", settings, _TOP)
    counted = _counted(settings, complaints)
    sex = str(settings.get("sex", ""))
    athlete = Athlete(
        name=str(settings.get("name", "")).strip() or "the athlete",
        home_zone=_home_zone(settings),
        sports=tuple(dict.fromkeys(sport.sport for sport in counted)),
        counted=counted,
        sex=complaints.read("sex", sex, _sex_of, "") if sex else "",
        thresholds=_thresholds(settings, complaints),
        periods=_periods(settings, complaints),
        panic_limits=_panic_limits(settings, complaints),
        clocks=_clocks(settings, complaints),
    )
    return athlete, complaints.notices


def _settings(folder: Path) -> dict[str, object]:
    """What `athlete.toml` sets, not yet looked at."""
    text = read_text(folder / FILE)
    if text is None:
        raise InputError(
            "there is no athlete.toml in the folder",
            'let taperback draft write it, or write two lines: name = "…" and home_zone = '
            '"Europe/Lisbon"',
            str(folder),
        )
    # TOML's reader would take very long over names that are deeper than any setting.
    most = LIMITS.journal.most_key_parts
    if deep := re.search(f"{_NAMES_WITHIN_NAMES}{{{most}}}", text):
        found = "names lie within each other far deeper than any setting does"
        row = text.count("\n", 0, deep.start()) + 1
        raise InputError(found, "take that line out", f"{FILE}, row {row}")
    try:
        settings = tomllib.loads(text)
        repr(settings)  # a number written in hexadecimal may be too long for any sentence
    except tomllib.TOMLDecodeError as error:
        parts = re.fullmatch(r"(.*) \(at line (\d+), column \d+\)", str(error))
        what, place = (parts[1], f"{FILE}, row {parts[2]}") if parts else (str(error), FILE)
        remedy = 'put that line right; text stands in quotes, as in name = "Ada"'
        raise InputError(f"it cannot be read ({what.lower()})", remedy, place) from None
    except RecursionError:
        found = "lists or tables lie within each other far deeper than any setting does"
        raise InputError(found, "take them out", FILE) from None
    except ValueError:
        raise InputError("a number has thousands of digits", "take it out", FILE) from None
    return settings


def _home_zone(settings: dict[str, Any]) -> str:
    """The zone without which no local day can be known."""
    try:
        if "home_zone" not in settings:
            raise InputError("it is missing", 'write a line such as home_zone = "Europe/Lisbon"')
        return cells.zone(str(settings["home_zone"]))
    except InputError as error:
        raise InputError(error.found, error.remedy, f"{FILE}, home_zone") from None


def _counted(settings: dict[str, Any], complaints: _Complaints) -> tuple[Sport, ...]:
    """The sports that count as training; of those of many kinds only the kind that is meant."""
    typed = settings.get("sports", [])
    words = "; ".join(map(str, typed)) if isinstance(typed, list) else str(typed)
    for word in typed if isinstance(typed, list) else [words]:
        if about := counted_remark(str(word)):
            complaints.remark("sports", *about)
    found = typed_sports(words)
    return tuple(
        dict.fromkeys(
            sport if sport.sport in _MANY_KINDS else Sport(sport.sport) for sport in found
        )
    )


def _thresholds(settings: dict[str, Any], complaints: _Complaints) -> tuple[Threshold, ...]:
    found = []
    for place, entry in enumerate(_entries(settings, "thresholds", complaints), 1):
        where = f"thresholds {place}, "
        complaints.unknown(where, entry, ("since", "sport", *THRESHOLD_NAMES))
        since = complaints.read(f"{where}since", entry.get("since"), _day, None)
        word = str(entry.get("sport", "")).strip()
        sport = complaints.read(f"{where}sport", word, one_sport, None) if word else None
        for name, (low, high) in THRESHOLD_NAMES.items():
            if name not in entry or since is None:
                continue
            what = f"a number from {low:g} to {high:g}"
            value = complaints.read(
                f"{where}{name}", str(entry[name]), cells.bounded(low, high, what), None
            )
            if isinstance(value, float) and isinstance(since, date):
                found.append(Threshold(since, sport.sport if sport else "", name, value))
    return tuple(sorted(found, key=lambda item: (item.since, item.sport, item.name)))


def _periods(settings: dict[str, Any], complaints: _Complaints) -> tuple[Period, ...]:
    found = []
    for place, entry in enumerate(_entries(settings, "periods", complaints), 1):
        where = f"periods {place}, "
        complaints.unknown(where, entry, ("first", "last", "kind", "notes"))
        first = complaints.read(f"{where}first", entry.get("first"), _day, None)
        last = complaints.read(f"{where}last", entry.get("last"), _day, None)
        kind = complaints.read(f"{where}kind", str(entry.get("kind", "")), period_kind, "")
        if isinstance(first, date) and isinstance(last, date) and kind:
            if last < first:
                complaints.add(
                    f"{where}last", f"{last} lies before {first}", "swap them, or correct one"
                )
            else:
                found.append(Period(first, last, str(kind), str(entry.get("notes", ""))))
    return tuple(sorted(found, key=lambda item: item.first))


def _clocks(settings: dict[str, Any], complaints: _Complaints) -> tuple[Clock, ...]:
    """What puts wrong clocks right, each with files and one of two ways."""
    clocks: list[Clock] = []
    for place, entry in enumerate(_entries(settings, "clocks", complaints), 1):
        where = f"clocks {place}, "
        complaints.unknown(where, entry, ("files", "right_start", "shift_h"))
        files: tuple[str, ...] = complaints.read(f"{where}files", entry.get("files"), _files, ())
        start = complaints.read(f"{where}right_start", entry.get("right_start"), _start, None)
        shift = complaints.read(f"{where}shift_h", entry.get("shift_h"), _shift_h, None)
        if ("right_start" in entry) == ("shift_h" in entry):
            both = "shift_h" in entry
            found = "both right_start and shift_h are set" if both else "nothing puts it right"
            complaints.add(f"clocks {place}", found, "write right_start or shift_h")
        elif start and (len(files) > 1 or not all(map(names_one_file, files))):
            remedy = "name that file, or write shift_h for several"
            if "[" in "".join(files):
                remedy += "; in a file's name [ is written [[]"
            complaints.add(f"{where}right_start", "it is the start of one file", remedy)
        elif files and (start or shift):
            clocks.append(Clock(files, start, shift))
    return tuple(clocks)


def _files(value: object) -> tuple[str, ...]:
    names = value if isinstance(value, list) else [] if value is None else [value]
    files = tuple(name for name in names if isinstance(name, str) and name.strip())
    if not files or len(files) < len(names):
        raise InputError("it names no file", 'write a file or a pattern, such as "2030/0101*.fit"')
    return files


def _start(value: object) -> datetime | None:
    """A date and time, on the athlete's watch or with its offset; None where none is set."""
    if value is None:
        return None
    remedy = "write a date and time such as 2030-05-31T07:30:00, or with +02:00 behind it"
    try:
        start = value if isinstance(value, datetime) else datetime.fromisoformat(str(value).strip())
    except ValueError:
        raise InputError(f"{cells.quoted(str(value))} is not a date and time", remedy) from None
    if not isinstance(value, datetime) and not re.search(r"\d[T ]\d", str(value).strip()):
        raise InputError(f"{cells.quoted(str(value))} has no time of day", remedy)
    believed(start.date())
    return start


def _shift_h(value: object) -> float | None:
    if value is None:
        return None
    most = LIMITS.journal.longest_shift_h
    what = f"hours, such as 1 or -2.5, up to {most:.0f} either way"
    shift = cells.number(str(value), low=-most, high=most, what=what)
    if not shift:
        raise InputError("0 shifts nothing", f"write {what}")
    return shift


def _panic_limits(settings: dict[str, Any], complaints: _Complaints) -> dict[str, float]:
    typed = settings.get("panic", {})
    known, ranges = vars(LIMITS.panic), vars(LIMITS.panic_ranges)
    if not isinstance(typed, dict):
        complaints.add("panic", "it is not a table", "write a line [panic] and settings below it")
        return {}
    complaints.unknown("panic, ", typed, known)
    limits = {}
    for name, value in typed.items():
        if name not in known:
            continue
        low, high = ranges.get(name, ranges["other"])
        if not isinstance(value, (int, float)) or isinstance(value, bool):
            complaints.add(f"panic, {name}", f"{value!r} is not a number", "write a number")
        elif not low <= value <= high:
            remedy = f"write a number from {low:g} to {high:g}"
            complaints.add(f"panic, {name}", f"{_in_short(value)} makes no limit", remedy)
        else:
            limits[name] = float(value)
    ends = ("first_day", "last_day")
    first, last = ({**known, **limits}[name] for name in ends)
    if first > last:
        named = "last_day" if "last_day" in limits else "first_day"
        found = f"the days from {first:g} to {last:g} run backwards"
        complaints.add(f"panic, {named}", found, "write a first_day that is not after the last_day")
        return {name: value for name, value in limits.items() if name not in ends}
    return limits


def _in_short(value: float) -> str:
    try:
        return f"{value:g}"
    except OverflowError:  # an integer beyond all that numbers with a point can be
        return f"a number of {len(str(abs(value)))} digits"


def _entries(settings: dict[str, Any], name: str, complaints: _Complaints) -> list[dict[str, Any]]:
    entries = settings.get(name, [])
    if isinstance(entries, list) and all(isinstance(entry, dict) for entry in entries):
        return entries
    complaints.add(
        name,
        "it is not a list of tables",
        f"write a line [[{name}]], with double brackets, and settings below it",
    )
    return []


def _day(value: object) -> date:
    if isinstance(value, date):
        return believed(date(value.year, value.month, value.day))
    if value is None:
        raise InputError("it is missing", "write a day such as 2030-05-31")
    return day(str(value))
