"""What a folder of real recordings holds, a row per file, as a page.

    python tests/soak/real_table.py FOLDER

writes `reports/REAL_FILES.md`: what each file gave by itself, and whether it gave the same as part
of the folder. A file is named by its own name without its ending and by its digest; nothing else
of it is told: no place, no word and no day. What was read is not kept.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import sys
import tempfile
from collections import Counter
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "tests")]

from taperback.importer.file.archives import Member, members  # noqa: E402
from taperback.importer.file.one_file import Content, read_bytes  # noqa: E402
from taperback.importer.folder import read_files  # noqa: E402

PAGE = TOP / "reports" / "REAL_FILES.md"
HEAD = """# Real files

What Taperback reads in public recordings that reader libraries carry as fixtures: {count} files, \
made by `python tests/soak/real_table.py FOLDER`. They are other people's, so none of them is kept \
here; the first digits of the SHA-256 tell them.

{totals}

One by one and as one folder: {agree}

`said` has the codes of what a person is told of the file and its legs.

| file | SHA-256 | format | outcome | legs | sport | moving [min] | distance [km] | said |
| --- | --- | --- | --- | --- | --- | --- | --- | --- |
"""


def alone(path: Path) -> list[Content]:
    """What a file holds, read by itself; a content per file in an archive."""
    return [
        read_bytes(one.data, hashlib.sha256(one.data).hexdigest())
        if isinstance(one, Member)
        else Content("", "", remarks=(one,))
        for one in members(path.name, path.read_bytes())
    ]


def row(path: Path, contents: list[Content]) -> str:
    """The file's row of the table."""
    legs = [leg for content in contents for leg in content.legs]
    said = sorted({note.code for one in (*contents, *legs) for note in one.remarks})
    cells = [
        path.stem,
        hashlib.sha256(path.read_bytes()).hexdigest()[:12],
        path.suffix[1:],
        outcome(contents),
        str(len(legs)),
        ", ".join(dict.fromkeys(leg.sport for leg in legs)),
        ", ".join(f"{leg.moving_s / 60:.1f}" for leg in legs[:6]) + ", ..." * (len(legs) > 6),
        ", ".join(f"{leg.distance_m / 1000:.2f}" for leg in legs[:6]) + ", ..." * (len(legs) > 6),
        ", ".join(said),
    ]
    return "| " + " | ".join(cell.replace("nan", "-") for cell in cells) + " |"


def outcome(contents: list[Content]) -> str:
    """Read, or why not, in the words that its owner is given."""
    if any(content.legs for content in contents):
        return "read"
    if any(content.sleeps for content in contents):
        return "read: nights"
    found = [note.found for content in contents for note in content.remarks]
    return "refused: " + (found[0] if found else "nothing in it")


def measured(contents: list[Content]) -> list[tuple[float, float]]:
    """What must not depend on how a file is read: moving seconds and metres of each leg."""
    return [(leg.moving_s, leg.distance_m) for content in contents for leg in content.legs]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    folder = parser.parse_args().folder
    paths = sorted(path for path in folder.rglob("*") if path.is_file())
    read = {path: alone(path) for path in paths}
    with tempfile.TemporaryDirectory() as cache:
        os.environ["XDG_CACHE_HOME"] = cache
        together: dict[str, list[Content]] = {}
        for name, content in read_files(folder).files:
            together.setdefault(name.split("!")[0], []).append(content)
    apart = [
        path.stem
        for path in paths
        if repr(measured(read[path]))
        != repr(measured(together.get(path.relative_to(folder).as_posix(), [])))
    ]
    outcomes = Counter(outcome(contents).split(":")[0] for contents in read.values())
    totals = ", ".join(f"{count} {name}" for name, count in outcomes.most_common())
    agree = f"they disagree on {', '.join(apart)}." if apart else "the same for every file."
    page = HEAD.format(count=len(paths), totals=totals.capitalize() + ".", agree=agree)
    PAGE.write_text(page + "\n".join(row(path, read[path]) for path in paths) + "\n", "utf-8")
    print(f"{PAGE.relative_to(TOP)}: {totals}; {agree}")


if __name__ == "__main__":
    main()
