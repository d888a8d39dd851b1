"""Lets a coverage-guided fuzzer at a reader: python tests/soak/fuzz.py fit CORPUS [-option=…].

CORPUS is a folder for inputs that reached something new; it is filled with the sample's smallest
files first. What follows goes to libFuzzer as it is. It stops at the first input that breaks a
target or hangs it, and leaves that input beside the corpus. Needs the extra `soak`.
"""

from __future__ import annotations

import sys
import warnings
from pathlib import Path

import atheris

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "sample_data", "tests")]

with atheris.instrument_imports(
    include=["taperback", "fitdecode", "openpyxl", "zipfile", "csv", "json", "tomllib"]
):
    from soak import targets

LIMITS = ("-timeout=10", "-rss_limit_mb=3000", "-print_final_stats=1")
LONGEST = {
    "fit": 6000,
    "tcx": 6000,
    "gpx": 6000,
    "sleep": 3000,
    "archives": 2000,
    "journal": 4000,
    "workbook": 12000,
    "study": 4000,
}


def main() -> None:
    target, corpus, *options = sys.argv[1:]
    place = Path(corpus)
    place.mkdir(parents=True, exist_ok=True)
    for name, data in targets.seeds(target, TOP / "sample_data" / "tove").items():
        (place / f"seed-{name}").write_bytes(data)
    known = "journal" if target == "study" else target
    words = Path(__file__).with_name("words") / f"{known}.txt"
    given = [*LIMITS, f"-max_len={LONGEST[target]}", f"-artifact_prefix={place.parent}/{target}-"]
    given += [f"-dict={words}"] if words.exists() else []
    warnings.simplefilter("error")
    atheris.Setup([sys.argv[0], *given, *options, corpus], targets.TARGETS[target])
    atheris.Fuzz()


if __name__ == "__main__":
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    main()
