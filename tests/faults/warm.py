"""Imported by the process that others are forked from: what a first run has to load is loaded."""

from __future__ import annotations

import tempfile
from pathlib import Path

from faults.stage import Stage
from taperback.report.page import write_report
from taperback.study.review import review

with tempfile.TemporaryDirectory(prefix="warm-") as _place:
    _stage = Stage(Path(_place))
    write_report(review(_stage.folder), _stage.out)
