"""How fast files are read; run by hand: python tests/benchmarks/importing.py [--files 500 1000].

Prints figures and keeps nothing.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "sample_data", "tests/benchmarks")]

from decoders import decoders  # noqa: E402
from history import history  # noqa: E402


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    sizes = [500, 1000, 2000, 5000]
    parser.add_argument("--files", type=int, nargs="*", default=sizes, help="sizes of the history")
    parser.add_argument("--bare", type=int, default=200, help="files read with bare fitdecode")
    parser.add_argument("--repeats", type=int, default=9, help="runs of each decoder")
    given = parser.parse_args()
    decoders(given.repeats)
    history(given.files, given.bare)


if __name__ == "__main__":
    main()
