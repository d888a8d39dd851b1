"""Kills an import at random moments; run by hand: python tests/soak/kill.py [--times 50].

After each kill a run to the end must give the same tables, to the letter, as an undisturbed run;
so must the run after that, which reads only what is kept.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "sample_data", "tests")]

from importer.tables import as_text  # noqa: E402
from taperback.importer.folder import read_folder  # noqa: E402
from taperback.importer.store.place import cache_folder  # noqa: E402

HOME = "Europe/Lisbon"
IMPORT = """
import sys
from pathlib import Path
from taperback.importer.folder import read_folder
from taperback.common.limits import LIMITS
vars(LIMITS.reading).update(fewest_bytes_for_workers=0, write_every_s=0.05)
read_folder(Path(sys.argv[1]), sys.argv[2], workers=2)
"""


def start(folder: Path) -> subprocess.Popen:
    paths = os.pathsep.join(path for path in sys.path if path)
    return subprocess.Popen(
        [sys.executable, "-c", IMPORT, str(folder), HOME], env=os.environ | {"PYTHONPATH": paths}
    )


def forget() -> None:
    shutil.rmtree(cache_folder(), ignore_errors=True)


def run_to_the_end(folder: Path) -> tuple[str, int]:
    """(the tables, how many files still had to be read)."""
    steps: list = []
    imported = read_folder(folder, HOME, progress=steps.append)
    return as_text(imported), steps[-1].files if steps else 0


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--folder", type=Path, default=TOP / "sample_data")
    given = parser.parse_args()
    rng = random.Random(given.seed)
    with tempfile.TemporaryDirectory(prefix="kill-") as place:
        os.environ["XDG_CACHE_HOME"] = place  # and not the user's
        folder = Path(place, "athlete")
        shutil.copytree(given.folder, folder)
        forget()
        begun = time.monotonic()
        start(folder).wait()
        whole_s = time.monotonic() - begun
        undisturbed = as_text(read_folder(folder, HOME))
        left_to_read = []
        for _ in range(given.times):
            forget()
            process = start(folder)
            time.sleep(rng.uniform(0, 1.1) * whole_s)
            process.kill()
            process.wait()
            after, left = run_to_the_end(folder)
            again, none_left = run_to_the_end(folder)
            left_to_read.append(left)
            if after != undisturbed or again != undisturbed or none_left:
                sys.exit(f"after {len(left_to_read)} kills the tables differ")
    shown = " ".join(map(str, sorted(left_to_read)))
    print(f"{given.times} kills over {whole_s:.1f} s, the same tables; files left to read: {shown}")


if __name__ == "__main__":
    main()
