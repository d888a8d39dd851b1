"""The athletes' own reports of a squad: made, kept light, and put each in a folder of its own."""

from __future__ import annotations

import os
from collections.abc import Mapping
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
            ValueError: the files are no report of ours.
        """
        whole, folder = _whole(files), self.out / key
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


def _whole(files: Files) -> Mapping[str, tuple[bytes, ...]]:
    """The files with plotly's script where it was; a page of ours says first what may run on it.

    Raises:
        ValueError: they are not the files of a report, or the page is none of ours.
    """
    page, *rest = (files.get(name, ()) for name in REPORT_FILES)
    if len(files) != len(REPORT_FILES) or len(page) != 2 or any(len(each) != 1 for each in rest):
        raise ValueError("no report")
    if not page[0].startswith(beginning(SCRIPTS).encode()):
        raise ValueError("no page of ours")
    head, tail = page
    return dict(zip(REPORT_FILES, ((head, _script(), tail), *rest), strict=True))
