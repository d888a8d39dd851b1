"""What a person typed is read whole, and a folder from a stranger leads nowhere else."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from taperback.common.errors import InputError
from taperback.journal.draft import write_whole
from taperback.journal.files import read_text, read_typed
from taperback.journal.load import read_journal

ATHLETE = 'name = "Ada"\nhome_zone = "Europe/Lisbon"\n'
LINK = "it is a link that leads out of the folder, or nowhere; copy the file itself"
NO_FILE = "it is not a file that can be read; take it out"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_text_comes_back_in_any_common_encoding(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "races.csv"
    path.write_bytes("name\nSüd – Nord\n".encode(encoding))
    assert read_text(path) == "name\nSüd – Nord\n"


def test_no_file_is_no_text(tmp_path: Path) -> None:
    assert read_text(tmp_path / "races.csv") is None


def link_out(path: Path) -> None:
    outside = path.parents[1] / "secret.csv"
    outside.write_text("date,password\n2030-01-01,hush\n")
    path.symlink_to(outside)


def link_nowhere(path: Path) -> None:
    path.symlink_to(path.with_name("gone.csv"))


def link_round(path: Path) -> None:
    path.symlink_to(path)


def device(path: Path) -> None:
    path.symlink_to("/dev/zero")


@pytest.mark.parametrize(
    ("put", "line"),
    [
        (link_out, LINK),
        (link_nowhere, LINK),
        (link_round, LINK),
        (device, LINK),
        (os.mkfifo, NO_FILE),
        (Path.mkdir, NO_FILE),
    ],
)
def test_what_is_no_plain_file_gets_one_line_and_is_not_opened(
    tmp_path: Path, put: Callable[[Path], None], line: str
) -> None:
    folder = tmp_path / "ada"
    folder.mkdir()
    (folder / "athlete.toml").write_text(ATHLETE)
    (folder / "nights.csv").write_text("date,sleep_h\n2030-01-01,7\n")
    put(folder / "races.csv")
    journal = read_journal(folder)
    assert [str(notice) for notice in journal.notices] == [f"races.csv: {line}"]
    assert len(journal.nights) == 1
    (folder / "athlete.toml").unlink()
    put(folder / "athlete.toml")
    with pytest.raises(InputError) as raised:
        read_journal(folder)
    assert str(raised.value) == f"athlete.toml: {line}"


def test_what_nobody_types_is_refused_and_not_read_to_its_end(
    tmp_path: Path,
) -> None:
    path = tmp_path / "races.csv"
    with path.open("wb") as file:
        file.truncate(1 << 40)
    with pytest.raises(InputError, match="it is bigger than 2 MB, which nobody types"):
        read_typed(path)


def test_a_link_within_the_folder_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    (tmp_path / "kept" / "mine.csv").write_bytes(b"date\n")
    (tmp_path / "races.csv").symlink_to(Path("kept", "mine.csv"))
    assert read_typed(tmp_path / "races.csv") == b"date\n"
    write_whole(tmp_path, "races.csv", b"date\n2030-01-01\n")
    assert (tmp_path / "races.csv").is_symlink()
    assert (tmp_path / "kept" / "mine.csv").read_bytes() == b"date\n2030-01-01\n"


@pytest.mark.parametrize("linked", [".taperback", ".taperback/before-draft"])
def test_no_copy_of_what_was_typed_is_written_through_a_link(tmp_path: Path, linked: str) -> None:
    outside = tmp_path / "outside"
    folder = tmp_path / "ada"
    outside.mkdir()
    (folder / linked).parent.mkdir(parents=True)
    (folder / linked).symlink_to(outside)
    (folder / "races.csv").write_bytes(b"date\n")
    with pytest.raises(InputError, match="copies of what you typed would lead out of the folder"):
        write_whole(folder, "races.csv", b"date\n2030-01-01\n")
    assert (folder / "races.csv").read_bytes() == b"date\n"
    assert list(outside.iterdir()) == []
