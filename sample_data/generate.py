"""Writes the sample athlete's folder and TRUTH.toml, the same bytes each time.

    python sample_data/generate.py [DIR]
    python sample_data/generate.py --squad DIR [--athletes 12] [--races N] [--seed N]

DIR is where the folder is written, by default beside this file. A squad is written into a directory
of its own: a folder an athlete and the TRUTH.toml of the squad.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from sample_folder import write_athlete
from squad_athletes import draw_squad
from squad_folder import write_squad
from tove import TOVE
from truth import truth_toml


def main(into: Path) -> None:
    """Writes the sample and what was planted in it."""
    truths = write_athlete(TOVE, into / TOVE.folder)
    (into / "TRUTH.toml").write_text(truth_toml(TOVE, truths), encoding="utf-8")


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    beside = Path(__file__).resolve().parent
    parser.add_argument("into", nargs="?", type=Path, default=beside, metavar="DIR")
    parser.add_argument("--squad", type=Path, metavar="DIR", help="write an invented squad there")
    parser.add_argument("--athletes", type=int, default=12, help="how many are in the squad")
    parser.add_argument("--races", type=int, help="races of each, to compare squads of any size")
    parser.add_argument("--seed", type=int, default=12, help="another seed is another squad")
    asked = parser.parse_args()
    if min(asked.athletes, asked.races or 1) < 1 or asked.races == 0 or asked.seed < 0:
        parser.error("--athletes and --races count from 1, --seed from 0")
    if asked.squad and asked.squad.exists() and not _is_empty(asked.squad):
        parser.error(f"{asked.squad} is not empty; name a new directory, so that nothing is mixed")
    return asked


def _is_empty(path: Path) -> bool:
    return path.is_dir() and not any(path.iterdir())


if __name__ == "__main__":
    asked = _asked()
    if asked.squad:
        write_squad(asked.squad, draw_squad(asked.athletes, seed=asked.seed, races=asked.races))
    else:
        main(asked.into)
