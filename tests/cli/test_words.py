"""What helps to find the words: help, completion, exit codes, how far a long run is."""

from __future__ import annotations

import os
import pty
import re
import select
import shlex
import subprocess
import sys
import time
from pathlib import Path

import pytest

import taperback as package
from taperback.cli import progress
from taperback.cli.main import app

ENVIRONMENT = os.environ | {"PYTHONPATH": str(Path(package.__file__).parents[1])}
AS_INSTALLED = "import sys; sys.argv = ['taperback']; from taperback.cli.main import run; run()"
README = Path(__file__).parents[2] / "README.md"
COMMANDS = [c.name or c.callback.__name__ for c in app.registered_commands]


@pytest.mark.parametrize("command", COMMANDS)
def test_the_example_of_every_command_has_words_that_fit(taperback, command: str) -> None:
    text = " ".join(taperback(command, "--help").out.split())
    (example,) = re.findall(
        rf"Example: taperback ({command} [\w./ \x22-]+?)(?= Arguments| Options|$)", text
    )
    ran = taperback(*shlex.split(example))
    assert ran.code == 1, "the words fit; only the folder of the example is not there"
    assert "there is no such folder" in ran.err


def test_help_says_what_each_exit_code_means(taperback) -> None:
    text = " ".join(taperback("--help").out.split())
    for told in (text, README.read_text(encoding="utf-8")):
        for code in (
            "0, an answer was",
            "1, something in",
            "2, wrong options",
            "130, ",
            "141, ",
        ):
            assert code in told


@pytest.mark.parametrize(
    ("typed", "offered"), [("taperback ch", "check"), ("taperback review --repl", "--replace")]
)
def test_a_shell_is_told_how_a_word_goes_on(typed: str, offered: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", AS_INSTALLED],
        env=ENVIRONMENT
        | {
            "_TAPERBACK_COMPLETE": "complete_bash",
            "COMP_WORDS": typed,
            "COMP_CWORD": str(typed.count(" ")),
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.stdout.split() == [offered]


def test_a_terminal_shows_how_far_the_reading_is(folder: Path) -> None:
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "taperback", "check", folder],
        env=ENVIRONMENT | {"TERM": "xterm", "COLUMNS": "100"},
        stdout=subprocess.DEVNULL,
        stderr=theirs,
    ) as process:
        os.close(theirs)
        shown = read_all(ours)
    assert process.returncode == 0
    plain = re.sub(r"\x1b\[[\d;?]*[a-zA-Z]", "", shown)
    assert re.search(r"reading ━+ +(\d+)/\1 files, 4\d\d h of training", plain)


def read_all(terminal: int) -> str:
    """Everything that a terminal was sent, until it is closed or a minute is over."""
    sent, end = b"", time.monotonic() + 60
    while time.monotonic() < end:
        if select.select([terminal], [], [], 1)[0]:
            try:
                sent += os.read(terminal, 65_536)
            except OSError:  # how a closed terminal tells it
                break
    os.close(terminal)
    return sent.decode()


def test_where_nobody_watches_nothing_is_drawn() -> None:
    with progress.reading_bar() as step:
        assert step is None
