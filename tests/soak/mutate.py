"""Reads thousands of damaged files; run by hand: python tests/soak/mutate.py [--files 20000].

Each is made from a file of the sample by flipping bits, cutting it off or swapping chunks. None may
end in an error, take over five seconds, or be neither used nor listed with its reason.
"""

from __future__ import annotations

import argparse
import hashlib
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "sample_data", "tests")]

from taperback.common.notices import Level  # noqa: E402
from taperback.importer.file.archives import Member, members  # noqa: E402
from taperback.importer.file.one_file import read_bytes  # noqa: E402
from taperback.importer.find import PACKED  # noqa: E402
from taperback.importer.formats.formats import SUFFIXES  # noqa: E402
from taperback.importer.history import FolderContents  # noqa: E402
from taperback.importer.store.codec import pack, unpack  # noqa: E402

LONGEST_S = 5.0


def flip(data: bytearray, rng: random.Random) -> bytearray:
    for _ in range(rng.choice((1, 4, 30, 300))):
        data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)
    return data


def cut(data: bytearray, rng: random.Random) -> bytearray:
    return data[: rng.randrange(1, len(data))]


def swap(data: bytearray, rng: random.Random) -> bytearray:
    size = rng.choice((7, 64, 1000))
    one, other = sorted(rng.randrange(len(data)) for _ in range(2))
    size = min(size, other - one, len(data) - other)
    moved = data[one : one + size]
    data[one : one + size] = data[other : other + size]
    data[other : other + size] = moved
    return data


def originals(folder: Path) -> list[Path]:
    found = [p for p in folder.rglob("*") if p.name.lower().endswith((*SUFFIXES, *PACKED))]
    return sorted(path for path in found if path.stat().st_size > 16)


def try_one(seed: int, path: Path) -> tuple[str, float, str]:
    """(what came of it, seconds, what went wrong)."""
    rng = random.Random(seed)
    data = bytearray(path.read_bytes())
    for change in rng.choices((flip, cut, swap), k=rng.choice((1, 1, 2))):
        data = change(data, rng) if len(data) > 16 else data
    start = time.perf_counter()
    files, codes = [], set()
    try:
        for item in members(path.name, bytes(data)):
            if not isinstance(item, Member):
                codes.add(item.code)
                continue
            digest = hashlib.sha256(item.data).hexdigest()
            (content,) = unpack([(item.name, pack(read_bytes(item.data, digest)))])
            files.append((item.name, content))
        imported = FolderContents(files, []).on_calendar("Europe/Lisbon")
        codes |= {n.code for n in imported.notices if n.level is Level.UNUSED}
        naps = any(notice.code == "nap" for notice in imported.notices)
        used = naps or not imported.legs.empty or not imported.nights.empty
    except Exception as error:
        return "error", time.perf_counter() - start, f"seed {seed}: {type(error).__name__}: {error}"
    spent = time.perf_counter() - start
    unexpected = "unexpected" if "unexpected" in codes else ""
    outcome = "used" if used else "listed" if codes else "SILENT"
    wrong = f"seed {seed}: {path.name}" if unexpected or outcome == "SILENT" else ""
    return unexpected or outcome, spent, wrong


def all_tries(folder: Path, count: int, first: int) -> Iterator[tuple[str, float, str]]:
    paths = originals(folder)
    seeds = range(first, first + count)
    with ProcessPoolExecutor(max_workers=2) as pool:
        yield from pool.map(
            try_one, seeds, [paths[seed % len(paths)] for seed in seeds], chunksize=50
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=20_000)
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--folder", type=Path, default=TOP / "sample_data")
    given = parser.parse_args()
    outcomes: Counter[str] = Counter()
    slowest, late = 0.0, 0
    for outcome, spent, wrong in all_tries(given.folder, given.files, given.first_seed):
        outcomes[outcome] += 1
        slowest = max(slowest, spent)
        late += spent > LONGEST_S
        if wrong:
            print(outcome, wrong, flush=True)
    print(dict(outcomes), f"slowest {slowest:.2f} s, {late} over {LONGEST_S:.0f} s")
    sys.exit(bool(late or outcomes["error"] or outcomes["SILENT"]))


if __name__ == "__main__":
    main()
