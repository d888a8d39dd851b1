"""Files among an athlete's that are none, or hold far more than they seem to."""

from __future__ import annotations

import gzip
import os

from faults.stage import Ran, Stage
from importer.test_folder import later_run, put, zipped


def links(stage: Stage) -> Ran:
    """Links out, round and round and to a device, and a pipe, named as activities and tables."""
    put(stage.place, {"outside.fit": later_run(5), "outside.csv": b"date,password\n"})
    (stage.folder / "out.fit").symlink_to(stage.place / "outside.fit")
    (stage.folder / "round.fit").symlink_to("round.fit")
    (stage.folder / "endless.gpx").symlink_to("/dev/zero")
    (stage.folder / "up").symlink_to(stage.place)
    (stage.folder / "trips.csv").symlink_to(stage.place / "outside.csv")
    os.mkfifo(stage.folder / "pipe.fit")
    ran = stage.run("review")
    for name in ("out.fit", "round.fit", "endless.gpx", "up", "trips.csv", "pipe.fit"):
        (stage.folder / name).unlink()
    return ran


def bombs(stage: Stage) -> Ran:
    """Archives that unpack to far more than they are, or hold archives that hold archives."""
    much = bytes(50_000_000)
    nested = zipped({"d.zip": zipped({"e.zip": zipped({"f.fit": later_run(7)})})})
    packed = {"bomb.zip": zipped({"a.gpx": much}), "bomb.gpx.gz": gzip.compress(much)}
    put(stage.folder, {**packed, "nested.zip": nested})
    ran = stage.run("review")
    for name in (*packed, "nested.zip"):
        (stage.folder / name).unlink()
    return ran
