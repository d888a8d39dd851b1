"""Takes the picture of the sample's report that the README shows.

Run `sh sample_data/run`, then `.venv/bin/python sample_data/picture.py` (needs the `dev` extra and
Debian's Chromium): reads reports/sample/report.html, writes reports/sample-report.png.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from playwright.sync_api import Locator, sync_playwright

ROOT = Path(__file__).resolve().parent.parent
REPORT = ROOT / "reports" / "sample" / "report.html"
PICTURE = ROOT / "reports" / "sample-report.png"
WIDTH = 1280
STRIPS_SHOWN = 1
"""The picture ends below this many race weeks: enough to see what one looks like."""


def main() -> int:
    """Writes the picture, or says in one line what is missing."""
    chromium = shutil.which("chromium")
    if not chromium or not REPORT.is_file():
        missing = "the package 'chromium'" if not chromium else f"{REPORT}; run sample_data/run"
        print(f"picture: missing {missing}", file=sys.stderr)
        return 1
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": WIDTH, "height": 900}, color_scheme="light")
        page.goto(REPORT.as_uri())
        for strip in page.locator(".strip").all()[:STRIPS_SHOWN]:
            for chart in filter(Locator.is_visible, strip.locator(".chart").all()):
                # a chart is drawn when it comes near the view
                chart.scroll_into_view_if_needed()
                chart.locator(".main-svg").first.wait_for()
        page.evaluate("window.scrollTo(0, 0)")
        last = page.locator(".strip").nth(STRIPS_SHOWN - 1)
        bottom = last.evaluate("strip => strip.getBoundingClientRect().bottom")
        clip = {"x": 0, "y": 0, "width": WIDTH, "height": bottom}
        page.screenshot(path=PICTURE, full_page=True, clip=clip)
        browser.close()
    print(PICTURE)
    return 0


if __name__ == "__main__":
    sys.exit(main())
