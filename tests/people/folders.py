"""People as folders: sessions, small files and a journal, written from a few words.

A person is a list of sessions with planted hours; the sums beside them are the test's own.
"""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from activity_files import fit_close, fit_lengths, fit_open, gpx_file, tcx_file
from plan import Session
from signals import Length, Track
from taperback.cli.main import run as command

DAY0 = date(2024, 6, 30)
LISBON = (38.72, -9.14)
EASY_BPM = 130


def day(k: int) -> date:
    return DAY0 + timedelta(days=k)


@dataclass
class Person:
    """One athlete's folder in the making.

    Attributes:
        folder: where it lies.
        hours: local day -> hours trained, which the test adds up by itself.
    """

    folder: Path
    name: str = "Ada"
    zone: str = "Europe/Lisbon"
    more: str = ""
    toml: bool = True
    hours: dict[date, float] = field(default_factory=dict)
    diary: list[dict[str, str]] = field(default_factory=list)

    def session(self, k: int, sport: str, hours: float, **cells: str) -> None:
        """A row of `sessions.csv` on a day counted from `DAY0`."""
        row = {"date": day(k).isoformat(), "sport": sport, "duration": clock(3600 * hours)}
        self.diary.append(row | cells)
        self.count(k, hours)

    def count(self, k: int, hours: float) -> None:
        self.hours[day(k)] = self.hours.get(day(k), 0.0) + hours

    def between(self, first: int, last: int) -> float:
        """Hours planted on these days, added up here and nowhere else."""
        return sum(self.hours.get(day(k), 0.0) for k in range(first, last + 1))

    def tcx(
        self,
        k: int,
        sport: str,
        seconds: float,
        metres: float,
        *,
        at: float = 8.0,
        where: tuple[float, float] | None = LISBON,
        zone_h: float = 1.0,
    ) -> str:
        """A TCX file of a few points at one speed; its name."""
        start = datetime.combine(day(k), datetime.min.time(), UTC) + timedelta(
            seconds=round(3600 * (at - zone_h))
        )
        name = f"{day(k)}-{at:05.2f}-{sport}.tcx"
        data = tcx_points(sport, start, seconds, metres, where)
        self.folder.mkdir(parents=True, exist_ok=True)
        (self.folder / name).write_bytes(data)
        return name

    def gpx(
        self,
        k: int,
        sport: str,
        hours: float,
        *,
        beats: Sequence[tuple[float, int]] = (),
        at: float = 8.0,
        where: tuple[float, float] = LISBON,
        clock: datetime | None = None,
        name: str = "",
    ) -> str:
        """A GPX file with a point every 10 s, at 10 km/h; its name.

        Args:
            beats: (minutes, beats a minute) one after the other; the rest of it is at `EASY_BPM`.
            clock: what the device took for its start, where that was wrong.
        """
        start = clock or datetime.combine(day(k), time(), UTC) + timedelta(hours=at - 1)
        time_s = np.arange(0, 3600 * hours + 1, 10.0)
        rates, since = np.full(len(time_s), float(EASY_BPM)), 0.0
        for minutes, bpm in beats:
            rates[(time_s >= since) & (time_s < since + 60 * minutes)] = bpm
            since += 60 * minutes
        rates -= np.arange(len(rates)) // 3 % 4  # a heart that beats
        metres = time_s / 3.6 * 10
        still = np.zeros(len(time_s))
        track = Track(
            time_s=time_s,
            lat=where[0] + metres / 111_195.0,
            lon=still + where[1],
            altitude_m=still,
            distance_m=metres,
            speed_mps=still + 10 / 3.6,
            power_w=still,
            heart_rate_bpm=rates,
            cadence_rpm=still,
        )
        name = name or f"{day(k)}-{at:05.2f}-{sport.replace(' ', '-')}.gpx"
        self.folder.mkdir(parents=True, exist_ok=True)
        data = gpx_file(track, Session(day(k), 0.0, sport, "", ()), start)
        (self.folder / name).write_bytes(data)
        return name

    def pool(self, k: int, lengths: int, seconds: float, *, at: float = 8.0) -> None:
        """A FIT file of a swim in a 25 m pool, with no position in it."""
        start = datetime.combine(day(k), datetime.min.time(), UTC) + timedelta(
            seconds=round(3600 * (at - 1))
        )
        writer = fit_open(start)
        fit_lengths(writer, [Length(n * seconds, seconds, True) for n in range(lengths)], start)
        total = lengths * seconds
        writer.message(
            "session",
            timestamp=start.timestamp() + total,
            start_time=start,
            sport="swimming",
            sub_sport="lap_swimming",
            pool_length=25.0,
            total_elapsed_time=total,
            total_timer_time=total,
            total_distance=25.0 * lengths,
        )
        end = start + timedelta(seconds=total)
        self.folder.mkdir(parents=True, exist_ok=True)
        (self.folder / f"{day(k)}-{at:05.2f}-pool.fit").write_bytes(fit_close(writer, end, 3600, 1))

    def table(self, name: str, rows: Iterable[Mapping[str, object]]) -> None:
        """A table of the journal with the columns that its rows have."""
        rows = list(rows)
        columns = list(dict.fromkeys(column for row in rows for column in row))
        self.folder.mkdir(parents=True, exist_ok=True)
        with (self.folder / name).open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, columns, lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)

    def write(self, *races: Mapping[str, object]) -> Path:
        """The journal; the folder."""
        self.folder.mkdir(parents=True, exist_ok=True)
        if self.toml:
            text = f'name = "{self.name}"\nhome_zone = "{self.zone}"\n{self.more}'
            (self.folder / "athlete.toml").write_text(text, encoding="utf-8")
        if self.diary:
            self.table("sessions.csv", self.diary)
        if races:
            self.table("races.csv", races)
        return self.folder


def clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 3600}:{whole % 3600 // 60:02d}:{whole % 60:02d}"


def tcx_points(
    sport: str, start: datetime, seconds: float, metres: float, where: tuple[float, float] | None
) -> bytes:
    """A TCX file with a point every five minutes at most, all at one speed."""
    time_s = np.unique(np.append(np.arange(0, seconds, 300.0), float(round(seconds))))
    share = time_s / time_s[-1]
    lat, lon = where or (0.0, 0.0)
    still = np.full(len(time_s), 0.0)
    track = Track(
        time_s=time_s,
        lat=lat + share * metres / 111_195.0,
        lon=still + lon,
        altitude_m=still,
        distance_m=share * metres,
        speed_mps=still + metres / seconds,
        power_w=still,
        heart_rate_bpm=still + 130,
        cadence_rpm=still,
    )
    text = tcx_file(track, Session(start.date(), 0.0, sport, "", ()), start).decode()
    if where is None:
        before, *rest = text.split("<Position>")
        text = before + "".join(part.split("</Position>")[1] for part in rest)
    return text.replace("<e:Watts>0</e:Watts>", "").encode()


@dataclass(frozen=True)
class Ran:
    """What a command said, on both streams, and how it ended."""

    code: int
    out: str
    err: str


@dataclass(frozen=True)
class Through:
    """What all four commands said, `study.json` and the page."""

    draft: Ran
    check: Ran
    review: Ran
    explain: Ran
    study: dict[str, Any]
    page: str


class Commands:
    """Runs commands in this process, and reads what `review` wrote."""

    def __init__(self, capsys: pytest.CaptureFixture[str], patch: pytest.MonkeyPatch) -> None:
        self._capsys, self._patch = capsys, patch

    def __call__(self, *words: object) -> Ran:
        self._patch.setattr(sys, "argv", ["taperback", *map(str, words)])
        try:
            command()
            code: Any = 0
        except SystemExit as stop:
            code = stop.code or 0
        told = self._capsys.readouterr()
        return Ran(int(code), told.out, told.err)

    def review(self, folder: Path) -> tuple[Ran, dict[str, Any], str]:
        """What `review` said, `study.json` and the page."""
        out = folder.with_name(f"{folder.name}-report")
        ran = self("review", folder, "--out", out, "--workers", 1)
        study = json.loads((out / "study.json").read_text(encoding="utf-8"))
        page = (out / "report.html").read_text(encoding="utf-8")
        return ran, study, page.replace("\xa0", " ")

    def through(self, folder: Path, race: str, measure: str, *, perhaps: int = 0) -> Through:
        """All four commands in the order in which they are used.

        Whoever is played: draft changes nothing typed, check ends with what to do next, and explain
        says the value that the report has. So many doubtful races are proposed, and left out.
        """
        typed = {path: path.read_bytes() for path in folder.glob("*.csv")}
        draft = self("draft", folder)
        assert draft.code == 0, draft.err
        assert draft.out.splitlines()[-1] == f"Then run: taperback check {folder}"
        assert (
            all(path.read_bytes().startswith(before) for path, before in typed.items()) or perhaps
        )
        assert draft.out.count("  perhaps ") == perhaps, draft.out
        assert f"races.csv: {perhaps} row{'' if perhaps == 1 else 's'} added" in draft.out
        check = self("check", folder)
        review, study, page = self.review(folder)
        assert check.out.splitlines()[-1].startswith("Next: taperback review") or check.code
        assert review.code == check.code
        explain = self("explain", folder, race, measure)
        assert explain.code == 0, explain.err
        week = next(w for w in study["races"] if race in (w["name"], w["race_id"]))
        lines = explain.out.splitlines()
        assert lines[0] == f"{week['name']}, {week['race_id']}"
        of_page = week["measures"][measure]
        if isinstance(of_page["value"], float):
            assert lines[1].endswith(f"(stored as {of_page['value']:.6g})")
        elif of_page["value"] is None:
            assert lines[1].endswith(f": unknown: {of_page['reason']}")
        return Through(draft, check, review, explain, study, page)
