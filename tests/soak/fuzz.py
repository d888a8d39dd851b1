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
    include=["taperback", "fitdecode", "openpyxl", "zipfile", "csv", "json", "tomllib", "icalendar"]
):
    from soak import seeds, targets

LIMITS = ("-rss_limit_mb=3000", "-print_final_stats=1")
LONGEST_S = {"study": 60, "kept": 60}
"""A whole review, or a squad's page, takes seconds where every line of it is watched; any other
target takes 10 at most."""
LONGEST = {
    "fit": 6000,
    "tcx": 6000,
    "gpx": 6000,
    "sleep": 3000,
    "archives": 2000,
    "journal": 9000,
    "workbook": 12000,
    "study": 9000,
    "clocks": 600,
    "calendar": 400,
    "kept": 60000,
}


def words_of(target: str, place: Path) -> Path:
    """A file of words that mean something to the target; a journal's columns are among them."""
    known = "journal" if target in ("study", "clocks") else target
    told = Path(__file__).with_name("words") / f"{known}.txt"
    words = told.read_text(encoding="utf-8") if told.exists() else ""
    if known == "journal":
        columns = {column for table in targets.TABLES.values() for column in table.header}
        words += "".join(f'"{column}"\n' for column in sorted(columns))
    path = place / f"{target}-words.txt"
    path.write_text(words, encoding="utf-8")
    return path


def main() -> None:
    target, corpus, *options = sys.argv[1:]
    place = Path(corpus)
    place.mkdir(parents=True, exist_ok=True)
    for name, data in seeds.seeds(target, TOP / "sample_data" / "tove").items():
        (place / f"seed-{name}").write_bytes(data)
    words = words_of(target, place.parent)
    given = [*LIMITS, f"-max_len={LONGEST[target]}", f"-artifact_prefix={place.parent}/{target}-"]
    given += [f"-timeout={LONGEST_S.get(target, 10)}"]
    given += [f"-dict={words}"] if words.stat().st_size else []  # an empty one is refused
    warnings.simplefilter("error")
    atheris.Setup([sys.argv[0], *given, *options, corpus], targets.TARGETS[target])
    atheris.Fuzz()


if __name__ == "__main__":
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    main()
