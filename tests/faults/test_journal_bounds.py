"""A journal from a stranger is bounded: its kinds have sizes, and nothing takes time by the square.

Time is counted in steps that Python takes, so that a busy machine fails nothing.
"""

from __future__ import annotations

import io
import sys
import tomllib
import zipfile
from collections.abc import Callable, Iterable
from datetime import date, timedelta
from pathlib import Path

import pytest
from openpyxl import Workbook

from taperback.common.errors import InputError
from taperback.journal.load import read_journal
from taperback.journal.model import Journal
from taperback.journal.raw_table import RawTable
from taperback.journal.workbook import sheet_rows

ATHLETE = 'name = "Ada"\nhome_zone = "Europe/Lisbon"\n'


def journal(folder: Path, **files: str) -> Journal:
    """The journal of these files, `races` being races.csv and `athlete` what is added to it."""
    (folder / "athlete.toml").write_text(ATHLETE + files.pop("athlete", ""))
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text)
    return read_journal(folder)


def told(found: Journal) -> list[str]:
    return [str(notice) for notice in found.notices]


def days(number: int, apart: int = 1) -> Iterable[date]:
    return (date(1990, 1, 1) + timedelta(days=apart * k) for k in range(number))


KEYS = {
    "dotted": ".".join("a" * 21) + " = 1",
    "with blanks": " . ".join("a" * 21) + " = 1",
    "quoted": ".".join(['"a\\"."'] * 21) + " = 1",
    "single quotes": ".".join(["'a'"] * 21) + " = 1",
    "of a table": "[" + ".".join("a" * 21) + "]",
    "within a table": "panic = { " + ".".join("a" * 21) + " = 1 }",
    "long": ".".join("a" * 20_000) + " = 1",
}


@pytest.mark.parametrize("key", KEYS.values(), ids=KEYS)
def test_a_deep_key_is_refused_before_anything_reads_it(
    tmp_path: Path, key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tomllib, "loads", lambda text: pytest.fail("it was read"))
    with pytest.raises(InputError) as raised:
        journal(tmp_path, athlete=key)
    assert str(raised.value) == (
        "athlete.toml, row 3: names lie within each other far deeper than any setting does; take "
        "that line out"
    )


def test_words_with_points_are_no_deep_key(tmp_path: Path) -> None:
    period = '[[periods]]\nfirst = 2030-01-01\nlast = 2030-01-02\nkind = "rest"\n'
    notes = 'notes = "Well ... see www.far.away.example/a.b.c, 1.2.3.4"\n'
    assert journal(tmp_path, athlete=period + notes).athlete.periods[0].notes.startswith("Well")


@pytest.mark.parametrize(
    ("name", "most", "said"),
    [("athlete.toml", 64_000, "64 kB"), ("races.csv", 2_000_000, "2 MB")],
)
def test_each_kind_of_file_has_its_size(tmp_path: Path, name: str, most: int, said: str) -> None:
    journal(tmp_path)
    path = tmp_path / name
    start = path.read_text() if path.exists() else "date\n"
    path.write_text(start + "#" * (most - len(start)))
    assert told(read_journal(tmp_path)) == []
    path.write_text(start + "#" * (most - len(start) + 1))
    line = f"{name}: it is bigger than {said}, which nobody types; take it out"
    if name == "athlete.toml":
        with pytest.raises(InputError) as raised:
            read_journal(tmp_path)
        assert str(raised.value) == line
    else:
        assert told(read_journal(tmp_path)) == [line]


def test_a_table_has_at_most_two_hundred_columns(tmp_path: Path) -> None:
    names = [f"mine{k}" for k in range(200)]
    assert len(journal(tmp_path, races=",".join(["date", *names[1:]])).notices) == 199
    assert told(journal(tmp_path, races=",".join(["date", *names]))) == [
        "races.csv: it has 201 columns, and a journal at most 200; take out what is not the "
        "journal's"
    ]


@pytest.mark.parametrize(
    ("table", "column", "most"),
    [("races", "date", 2000), ("trips", "arrive_date", 2000), ("nights", "date", 40_000)],
)
def test_a_table_has_room_for_a_life_of_rows(
    tmp_path: Path, table: str, column: str, most: int
) -> None:
    rows = [f"{day}\n" for day in days(most // 20)] * 20
    whole = journal(tmp_path, **{table: f"{column}\n{''.join(rows)}"})
    assert "room" not in " ".join(told(whole))
    longer = journal(tmp_path, **{table: f"{column}\n{''.join([*rows, rows[0]])}"})
    assert told(longer) == [
        f"{table}.csv: it has {most + 1} rows, and there is room for {most}; split off the oldest"
    ]
    assert longer.lost_rows(table), "so nobody adds rows beside it"


def test_a_cell_longer_than_anybody_types_costs_its_row(tmp_path: Path) -> None:
    found = journal(tmp_path, nights=f"date,notes\n2030-01-01,{'a' * 140_000}\n2030-01-02,b\n")
    assert told(found) == [
        "nights.csv, row 2, notes: it has 140000 letters, and a cell at most 20000; shorten it"
    ]
    assert found.nights["notes"].tolist() == ["", "b"]


def styles(number: int) -> bytes:
    """A workbook of a few kilobytes with so many styles."""
    whole, made = io.BytesIO(), io.BytesIO()
    Workbook().save(whole)
    many = b"<xf/>" * number + b"</cellXfs>"
    with zipfile.ZipFile(whole) as parts, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as to:
        for name in parts.namelist():
            to.writestr(name, parts.read(name).replace(b"</cellXfs>", many))
    return made.getvalue()


def test_a_workbook_of_styles_is_refused_before_anything_reads_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert list(sheet_rows(styles(1000), "races")) == []
    monkeypatch.setattr("openpyxl.load_workbook", lambda *_, **__: pytest.fail("it was read"))
    with pytest.raises(InputError, match="it unpacks to far more than a journal holds; save"):
        list(sheet_rows(styles(300_000), "races"))


def test_a_workbook_and_a_long_table_are_read_in_a_process_of_their_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def spy(act: Callable, data: bytes, name: str, **_: object) -> RawTable:
        asked.append((name, len(data)))
        return act(data, name)

    monkeypatch.setattr("taperback.journal.raw_table.within_bounds", spy)
    workbook = styles(10)  # each making has its own times in it
    (tmp_path / "trips.xlsx").write_bytes(workbook)
    long = "date\n" + "".join(f"{day}\n" for day in days(30_000))
    found = journal(tmp_path, nights=long, races="date\n2030-01-01\n")
    assert asked == [("nights.csv", len(long)), ("trips.xlsx", len(workbook))]
    assert (len(found.nights), len(found.races)) == (30_000, 1)


def races(number: int) -> str:
    rows = (f"{day},run,{7 + k % 400} km,40:00\n" for k, day in enumerate(days(number)))
    return "date,sports,distance,finish_time\n" + "".join(rows)


def races_of_one_distance(number: int) -> str:
    return "date,finish_time,distance\n" + "".join(f"{d},40:00,10 km\n" for d in days(number))


def trips(number: int) -> str:
    return "depart_date,arrive_date\n" + "".join(f"{day},{day}\n" for day in days(number))


def chained(number: int) -> str:
    """Trips that all overlap and are none the less possible, each going on where one ended."""
    row = "2030-01-01,2030-01-02,Europe/Lisbon,Europe/Lisbon,{}\n"
    rows = "".join(row.format(k / 100) for k in range(number))
    return f"depart_date,arrive_date,from_zone,to_zone,travel_h\n{rows}"


def header(number: int) -> str:
    return ",".join(["date", *(f"c{k}" for k in range(number))])


def open_quotes(number: int) -> str:
    return "date,notes\n" + "".join(f'{day},"a\n' for day in days(number))


GROWING: dict[str, tuple[str, Callable[[int], str], int]] = {
    "races": ("races", races, 250),
    "races of one distance": ("races", races_of_one_distance, 250),
    "trips": ("trips", trips, 250),
    "trips that overlap": ("trips", chained, 250),
    "columns": ("races", header, 50),
    "nights": ("nights", lambda n: "date\n" + "".join(f"{day}\n" for day in days(n)), 500),
    "open quotes": ("nights", open_quotes, 250),
    "thresholds": ("athlete", lambda n: "[[thresholds]]\nsince = 2030-01-01\n" * n, 100),
    "unknown settings": ("athlete", lambda n: "".join(f"c{k} = 1\n" for k in range(n)), 100),
}


@pytest.mark.parametrize(("name", "made", "number"), GROWING.values(), ids=GROWING)
def test_four_times_as_much_takes_four_times_as_long(
    tmp_path: Path, name: str, made: Callable[[int], str], number: int
) -> None:
    journal(tmp_path, **{name: made(number)})  # what is loaded once
    one, two, four = (
        steps(lambda n=n: journal(tmp_path, **{name: made(n)}))  # type: ignore[misc]
        for n in (number, 2 * number, 4 * number)
    )
    assert four - two < 2.4 * (two - one), (one, two, four)


def steps(act: Callable[[], object]) -> int:
    """How many lines and calls Python goes through."""
    count = 0

    def tick(*_: object) -> Callable:
        nonlocal count
        count += 1
        return tick

    before = sys.gettrace()
    sys.settrace(tick)
    try:
        act()
    finally:
        sys.settrace(before)
    return count
