"""Asks whether the tests would notice: python tests/soak/mutants.py [--sample 400].

mutmut changes one thing at a time in the functions of a room (`x < y` to `x <= y`, a text, an
argument, a number); this runs the tests that reach the changed function, in a fork of a process
that has everything loaded, and prints how many changes they noticed. One that is not noticed within
`--longest` seconds counts as unnoticed. What cannot be noticed is named, with the reason, in
`equivalent_mutants.toml`, each by itself or as a kind, and does not count. Works on a copy of the
tree; functions with a decorator are left alone.
"""

from __future__ import annotations

import argparse
import difflib
import gc
import os
import random
import re
import resource
import shutil
import sys
import tempfile
import time
import tomllib
from collections import Counter
from dataclasses import dataclass
from math import ceil, sqrt
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol
from mutmut.mutation.file_mutation import mutate_file_contents
from mutmut.state import state

TOP = Path(__file__).parents[2]
ROOMS = ("evidence", "raceweek")
# They reach no function of these rooms, or run the other checks in processes of their own.
LEFT_OUT = ("decoders_published", "fit_protocol", "sleep_schemas", "ledger")
SWITCH = "MUTANT_UNDER_TEST"


@dataclass(frozen=True)
class Mutant:
    """One change: where mutmut keeps it, and the lines it takes away and puts in."""

    room: str
    module: str
    name: str
    old: str
    new: str

    @property
    def function(self) -> str:
        """The mangled name of the function that is changed, with its module."""
        return f"{self.module}.{self.name.partition('__mutmut_')[0]}"

    @property
    def key(self) -> tuple[str, str, str]:
        """What a named equivalent is recognised by."""
        plain = self.function.removeprefix("taperback.").replace(".x_", ".").replace(".xǁ", ".")
        return plain.replace("ǁ", "."), self.old, self.new


def changed_lines(before: list[str], after: list[str]) -> tuple[str, str]:
    """(lines taken away, lines put in), without indentation."""
    diff = [line for line in difflib.ndiff(before, after) if line[0] in "-+"]
    sides = ((line[1:].strip() for line in diff if line[0] == sign) for sign in "-+")
    old, new = (" ".join(side) for side in sides)
    return old, new


def mutate(room: str, module: str) -> list[Mutant]:
    """Puts every change of a room beside its original, each asleep until named; lists them."""
    found = []
    for path in sorted(Path("analysis/taperback", room).rglob(f"{module}.py")):
        mutated = mutate_file_contents(str(path), path.read_text(encoding="utf-8"))
        if not mutated.mutant_names:
            continue
        path.write_text(mutated.code, encoding="utf-8")
        lines = mutated.code.splitlines()
        span = mutated.line_span_by_function_name
        for name in mutated.mutant_names:
            original = f"{name.rpartition('_')[0]}_orig"
            before, after = (
                [line.replace(at, "") for line in lines[span[at].start - 1 : span[at].end]]
                for at in (original, name)
            )
            old, new = changed_lines(before, after)
            dotted = ".".join(path.relative_to("analysis").with_suffix("").parts)
            found.append(Mutant(room, dotted, name, old, new))
    return found


class Trial:
    """A pytest plugin that runs every mutant instead of the tests once."""

    def __init__(self, mutants: list[Mutant], longest_s: float, listed: Path | None) -> None:
        self.mutants = mutants
        self.longest_s = longest_s
        self.listed = listed
        self.tests: dict[str, list[tuple[float, pytest.Item]]] = {}
        self.tried: list[Mutant] = []
        self.survived: list[Mutant] = []

    def pytest_configure(self) -> None:
        """Lets a failing property test end at once: nobody reads the example."""
        from hypothesis import Phase, settings

        settings.register_profile("mutants", phases=(Phase.explicit, Phase.generate), database=None)
        settings.load_profile("mutants")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.measure(session.items)
        # what is shared with the forks stays so, as nothing is moved about
        gc.collect()
        gc.freeze()
        start = time.perf_counter()
        for count, mutant in enumerate(self.mutants, 1):
            self.tried.append(mutant)
            if not self.is_noticed(mutant):
                self.survived.append(mutant)
                self.write(mutant)
            if count % 100 == 0:
                spent = time.perf_counter() - start
                left = len(self.survived)
                print(f"{count} in {spent:.0f} s, {left} survived", file=sys.stderr, flush=True)
        return True

    def measure(self, items: list[pytest.Item]) -> None:
        """Learns which tests reach which function, and how long each takes."""
        os.environ[SWITCH] = "stats"
        for item in items:
            state()._stats.clear()
            start = time.process_time()
            if any(report.failed for report in runtestprotocol(item, log=False)):
                print(f"left out, as it fails without any change: {item.nodeid}", file=sys.stderr)
                continue
            spent = time.process_time() - start
            for function in state()._stats:
                self.tests.setdefault(function, []).append((spent, item))
        for function, reached in self.tests.items():
            own = f"test_{function.split('.')[-2]}"
            reached.sort(key=lambda pair: (not pair[1].path.stem.startswith(own), pair[0]))
        os.environ[SWITCH] = ""

    def write(self, mutant: Mutant) -> None:
        """Lists a change as soon as it is found to go unnoticed."""
        if self.listed:
            function, old, new = mutant.key
            with self.listed.open("a", encoding="utf-8") as file:
                file.write(f"{function}\n  - {old}\n  + {new}\n")

    def affordable(self, mutant: Mutant) -> list[tuple[float, pytest.Item]]:
        """The tests that reach the function, its own file's first, as far as the time goes."""
        chosen, spent = [], 0.0
        for seconds, item in self.tests.get(mutant.function, []):
            spent += seconds
            if chosen and spent > self.longest_s:
                break
            chosen.append((seconds, item))
        return chosen

    def is_noticed(self, mutant: Mutant) -> bool:
        """Whether a test fails, hangs or dies under this change."""
        reached = self.affordable(mutant)
        child = os.fork()
        if child:
            return os.waitpid(child, 0)[1] != 0
        seconds = ceil(10 + 5 * sum(spent for spent, _ in reached))
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
        os.environ[SWITCH] = f"{mutant.module}.{mutant.name}"
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        try:
            for _, item in reached:
                if any(report.failed for report in runtestprotocol(item, log=False)):
                    os._exit(1)
        except BaseException:
            os._exit(2)
        os._exit(0)


def wilson(share: float, n: int) -> tuple[float, float]:
    """The 95% interval of a share of n (Wilson 1927)."""
    z = 1.96
    middle = (share + z**2 / (2 * n)) / (1 + z**2 / n)
    half = z / (1 + z**2 / n) * sqrt(share * (1 - share) / n + z**2 / (4 * n**2))
    return middle - half, middle + half


class Equivalents:
    """The changes named as making no difference, each by itself or as a kind."""

    def __init__(self) -> None:
        text = (TOP / "tests/soak/equivalent_mutants.toml").read_text(encoding="utf-8")
        named = tomllib.loads(text)
        self.single = {(row["function"], row["old"], row["new"]) for row in named["mutant"]}
        self.kinds = [(row["old"], new) for row in named["kind"] for new in row["new"]]

    def __contains__(self, mutant: Mutant) -> bool:
        _, old, new = mutant.key
        return mutant.key in self.single or any(
            new == (old[: at.start()] + other + old[at.end() :]).strip()
            for part, other in self.kinds
            for at in re.finditer(re.escape(part), old)
        )


def copy_of_the_tree(folder: Path) -> None:
    """What is needed to run the tests elsewhere."""
    skip = shutil.ignore_patterns(".*", "__pycache__")
    for name in ("analysis", "sample_data", "shared", "tests", "reports"):
        shutil.copytree(TOP / name, folder / name, ignore=skip)
    told = (TOP / "pyproject.toml").read_text(encoding="utf-8")
    (folder / "pyproject.toml").write_text(told + '\n[tool.mutmut]\nsource_paths = ["analysis"]\n')


def report(room: str, tried: list[Mutant], survived: list[Mutant], total: int) -> None:
    named = Equivalents()
    left = [mutant for mutant in survived if mutant not in named]
    same, n = len(survived) - len(left), len(tried)
    share = 1 - len(left) / (n - same)
    low, high = wilson(share, n - same)
    for module, count in Counter(mutant.module for mutant in left).most_common():
        print(f"  {count:4d} survived of {sum(m.module == module for m in tried):4d} in {module}")
    print(
        f"{room}: {total} mutants, {n} tried, {n - len(survived)} killed, {len(left)} survived, "
        f"{same} equivalent; score {share:.1%} (95% interval {low:.1%} to {high:.1%})"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--room", choices=ROOMS, action="append")
    parser.add_argument("--module", default="*", help="these modules only, such as 'trip*'")
    parser.add_argument("--sample", type=int, help="so many of each room; else all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--longest", type=float, default=8.0, help="seconds of tests for each")
    parser.add_argument("--survivors", type=Path, help="file to list them in")
    given = parser.parse_args()
    listed = given.survivors.resolve() if given.survivors else None
    with tempfile.TemporaryDirectory() as folder:
        copy_of_the_tree(Path(folder))
        os.chdir(folder)
        rooms = {room: mutate(room, given.module) for room in given.room or ROOMS}
        rng = random.Random(given.seed)
        tried = {
            room: rng.sample(mutants, min(given.sample or len(mutants), len(mutants)))
            for room, mutants in rooms.items()
        }
        chosen = [mutant for mutants in tried.values() for mutant in mutants]
        trial = Trial(chosen, given.longest, listed)
        tests = [f"tests/{name}" for name in (*rooms, "published")]
        ignored = [f"--ignore=tests/published/test_{name}.py" for name in LEFT_OUT]
        pytest.main([*tests, *ignored, "-q", "-p", "no:cacheprovider"], plugins=[trial])
        os.chdir("/")
    if trial.tried != chosen:
        sys.exit(f"stopped after {len(trial.tried)} of {len(chosen)}, so there is no score")
    for room, mutants in tried.items():
        survived = [mutant for mutant in trial.survived if mutant.room == room]
        report(room, mutants, survived, len(rooms[room]))


if __name__ == "__main__":
    main()
