"""Adding rows to a journal table that a person keeps, without touching a typed byte."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from pathlib import Path

from taperback.common.errors import InputError
from taperback.common.files.whole_files import put_whole
from taperback.common.sinks import csv_word
from taperback.journal.columns import Table
from taperback.journal.raw_table import NO_HEADER, RawTable, name_columns, split_rows
from taperback.journal.tables import known_names

BACKUPS = Path(".taperback") / "before-draft"
"""Where the first copy of each file lies, inside the athlete's folder."""


def with_rows(data: bytes, rows: Iterable[Mapping[str, str]], table: Table) -> bytes:
    """The table with its header and the rows at its end; every byte that stood there is kept.

    Columns that the rows need and the header lacks are added to the end of the header; the rows
    that stood there are not made longer. Separator, line ends and encoding are those of the table.

    Args:
        data: the table as it is, empty where there is none yet.
        rows: cells by column.
        table: which table it is.

    Raises:
        InputError: the table is broken as text or lacks its header, so that nothing can be added to
            it safely.
    """
    added = [dict(row) for row in rows]
    encoding, mark = _encoding(data)
    try:
        text = data[len(mark) :].decode(encoding)
    except UnicodeDecodeError:
        if not added:
            return data
        found = f"it is broken as {encoding.upper()}, so no row can be added"
        raise InputError(found, "save it again from where it was made") from None
    typed = split_rows(text)
    header = tuple("" if unit else name for name, unit in known_names(typed.header, table))
    if header and not added:
        return data
    if typed.lacks_header:
        raise InputError(f"{NO_HEADER}, so no row can be added", name_columns(table.header))
    if not header:
        unsure = [] if added or not table.unsure else [[table.unsure]]
        before = [list(table.header), *unsure]
        made = _lines(text, before, added, table.header, typed.delimiter)
        return mark + made.encode(encoding)
    used = dict.fromkeys(name for row in added for name, cell in row.items() if cell)
    needed = [name for name in used if name not in header]
    text = _longer_header(text, typed, needed)
    longer = _lines(text, [], added, (*header, *needed), typed.delimiter)
    return mark + longer.encode(encoding, errors="replace")


def _encoding(data: bytes) -> tuple[str, bytes]:
    """The encoding of a table and the byte-order mark it starts with."""
    for mark, encoding in (
        (b"\xff\xfe", "utf-16-le"),
        (b"\xfe\xff", "utf-16-be"),
        (b"\xef\xbb\xbf", "utf-8"),
    ):
        if data.startswith(mark):
            return encoding, mark
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        # every byte is a character of Latin-1, so that what stood there comes back as it was
        return "latin-1", b""
    return "utf-8", b""


def _longer_header(text: str, table: RawTable, names: list[str]) -> str:
    """The text with names added to its header line."""
    lines = list(io.StringIO(text, newline=""))  # split at line ends only, each kept as it is
    place = table.header_line - 1
    line = lines[place].rstrip("\r\n")
    if names and line.count('"') % 2:
        found = "its header goes over several lines, so no row can be added"
        raise InputError(found, "write each column's name in one line")
    ending = lines[place][len(line) :]
    lines[place] = line + "".join(table.delimiter + name for name in names) + ending
    return "".join(lines)


def _lines(
    text: str,
    before: list[list[str]],
    rows: list[dict[str, str]],
    columns: tuple[str, ...],
    delimiter: str,
) -> str:
    """The text and, on lines of their own, what comes before the rows and the rows."""
    ending = "\r\n" if "\r\n" in text else "\n"
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator=ending)
    writer.writerows(before)
    writer.writerows([csv_word(row.get(name, "")) for name in columns] for row in rows)
    gap = "" if not text or text.endswith(("\n", "\r")) else ending
    return text + gap + out.getvalue()


def write_whole(folder: Path, name: str, data: bytes) -> None:
    """Puts a file of the journal in place in one step, after keeping its first version aside.

    Whoever stops this at any moment finds the old file or the new one, never half of either.

    Raises:
        OSError: it could not be written, and stands as it was.
    """
    path = (folder / name).resolve()  # of a link within the folder, the file itself
    backup = folder / BACKUPS / name
    if path.exists() and not backup.exists():
        for place in (backup.parent.parent, backup.parent):
            if place.is_symlink():
                found = "it is a link, and copies of what you typed would lead out of the folder"
                raise InputError(found, "put a plain folder in its place", place.name)
        backup.parent.mkdir(parents=True, exist_ok=True)
        put_whole({backup: path.read_bytes()})
    put_whole({path: data})
