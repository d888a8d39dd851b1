"""The athletes' own reports of a squad: made, kept light, and put each in a folder of its own."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from taperback.common.files.plain_file import holds
from taperback.report.charts.figures import plotly_script
from taperback.report.files import write_files
from taperback.report.page import FIRST, PAGE, REPORT_FILES, SCRIPTS, report_files
from taperback.report.render import beginning
from taperback.squad.codec import Files
from taperback.study.review import Study


@dataclass(frozen=True)
class OwnReports:
    """Reports in folders of the athletes' names below `out`, in any process."""

    out: Path

    def made(self, study: Study) -> Files:
        """The files of one athlete's report in parts; plotly's script is left out between them."""
        files = report_files(study, of_squad=True)
        page = tuple(files.pop(PAGE).split(_script()))
        return {PAGE: page} | {name: (data,) for name, data in files.items()}

    def put(self, key: str, files: Files) -> None:
        """Puts one report in place, where it does not lie there already.

        Raises:
            ValueError: the files are no report, or the page is none of ours.
        """
        page, *rest = (files.get(name, ()) for name in REPORT_FILES)
        others_whole = len(files) == len(REPORT_FILES) and all(len(each) == 1 for each in rest)
        if not others_whole or len(page) != 2:
            raise ValueError("no report")
        head, tail = page
        if not head.startswith(beginning(SCRIPTS).encode()):  # it says first what may run on it
            raise ValueError("no page of ours")
        whole = dict(zip(REPORT_FILES, ((head, _script(), tail), *rest), strict=True))
        folder = self.out / key
        # what holds nothing is no file
        if not all(
            holds(folder / name, parts) if any(parts) else not os.path.lexists(folder / name)
            for name, parts in whole.items()
        ):
            joined = {name: b"".join(parts) for name, parts in whole.items()}
            write_files(folder, joined, first=FIRST)


@cache
def _script() -> bytes:
    """Plotly's script, which would else be read from its package for every athlete."""
    return plotly_script().encode()
