"""The newcomer's path, measured: from nothing to the sample's report, by the README's commands.

    python tests/benchmarks/newcomer.py

clones the project as it is committed, runs the README's first command in the clone, and tells how
long that took in seconds and as a ratio to `pip install` of the same pinned libraries into an
empty virtual environment. Both installations use pip's cache as they find it; a first, uncounted
installation fills it, so that the network's speed is in neither. The two take turns and the
fastest turn of each counts, since other work on the machine only slows; processor seconds, which
other work hardly changes, stand beside.
"""

from __future__ import annotations

import argparse
import re
import resource
import shlex
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]


class Took(NamedTuple):
    """What a path took: seconds on the wall, and seconds of processor."""

    wall_s: float
    processor_s: float


def main() -> None:
    """Prints the number of commands, the seconds of each path, and their ratio."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--turns", type=int, default=2, help="how often each path is gone")
    turns = parser.parse_args().turns
    bare, path = [], []
    with tempfile.TemporaryDirectory() as place:
        commands = path_of_readme(Path(place) / "taperback")
        install(Path(place) / "warm-up")
        for turn in range(turns):
            bare.append(install(Path(place) / f"bare-{turn}"))
            path.append(walk(Path(place) / f"walk-{turn}"))
    print(f"commands typed: {len(commands)}")
    for kind, name in enumerate(Took._fields):
        installed, walked = (min(took[kind] for took in side) for side in (bare, path))
        print(
            f"{name}: pip install of the same pins {installed:.1f}, fresh clone to report "
            f"{walked:.1f}, ratio {walked / installed:.2f}"
        )


def path_of_readme(clone: Path) -> list[list[str]]:
    """What a newcomer types, up to the first report."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    block = re.search(r"## See it work.*?```sh\n(.*?)\n", text, re.DOTALL)
    if block is None:
        sys.exit("the README has no command under 'See it work'")
    first = shlex.split(block[1], comments=True)
    return [["git", "clone", str(ROOT), clone.name], ["cd", clone.name], first]


def clock() -> Took:
    """Now, on the wall and by the processor time of all commands that have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return Took(time.perf_counter(), used.ru_utime + used.ru_stime)


def since(started: Took) -> Took:
    return Took(*(now - then for now, then in zip(clock(), started, strict=True)))


def walk(place: Path) -> Took:
    """From the clone to the report."""
    place.mkdir()
    started = clock()
    clone, (_, name), first = path_of_readme(place / "taperback")
    run([*clone[:2], "--quiet", *clone[2:]], place)
    told = run(first, place / name)
    took = since(started)
    report = re.search(r"report: (.*\.html)", told)
    if report is None or not (place / name / report[1]).exists():
        sys.exit(f"the README's first command gave no report:\n{told}")
    return took


def install(place: Path) -> Took:
    """`pip install` of the pinned core libraries into an empty environment."""
    run([sys.executable, "-m", "venv", str(place)], ROOT)
    pip = [str(place / "bin" / "python"), "-m", "pip", "install", "--quiet"]
    pip += ["--disable-pip-version-check", "--require-hashes", "--only-binary", ":all:"]
    started = clock()
    run([*pip, "-r", str(ROOT / "shared/pins/run.txt")], ROOT)
    return since(started)


def run(words: list[str], place: Path) -> str:
    """Runs a command there; what it said."""
    done = subprocess.run(words, cwd=place, capture_output=True, text=True, check=False)
    if done.returncode:
        sys.exit(f"{shlex.join(words)} failed:\n{done.stdout}{done.stderr}")
    return done.stdout


if __name__ == "__main__":
    main()
