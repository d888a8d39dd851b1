"""How long the sample's page runs scripts before its first screen scrolls, on a slow processor.

Run `python tests/benchmarks/page.py` (needs Chromium). A processor slowed to a quarter stands for a
phone. Printed are the seconds of script until a turn of the wheel has moved the page, and their
share of all that the browser did; then the same with every part open and every chart drawn.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import CDPSession, Page, sync_playwright

import taperback
from taperback.report.page import write_report

ROOT = Path(__file__).parents[2]
SLOWED = 4
PHONE = {"width": 390, "height": 844}
UNFOLD = "document.querySelectorAll('details').forEach((d) => { d.open = true; })"


def main() -> int:
    """Prints the seconds; 1 where there is no browser."""
    chromium = shutil.which("chromium")
    if not chromium:
        print("page: missing the package 'chromium'", file=sys.stderr)
        return 1
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        study = taperback.review(ROOT / "sample_data" / "tove")
        report = write_report(study, Path(folder))[0]
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(viewport=PHONE)
        session = page.context.new_cdp_session(page)
        session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        session.send("Performance.enable")
        page.goto(report.as_uri())
        page.mouse.move(200, 400)
        page.mouse.wheel(0, 300)
        page.wait_for_function("scrollY > 0")
        _say("until the first screen scrolls", session)
        page.evaluate(UNFOLD)
        _see_every_chart(page)
        _say("with everything open and drawn", session)
        browser.close()
    return 0


def _see_every_chart(page: Page) -> None:
    for place in page.locator(".chart").all():
        place.scroll_into_view_if_needed()
        place.locator(".main-svg").first.wait_for(state="attached")


def _say(when: str, session: CDPSession) -> None:
    metrics = {m["name"]: m["value"] for m in session.send("Performance.getMetrics")["metrics"]}
    script, all_tasks = metrics["ScriptDuration"], metrics["TaskDuration"]
    print(f"{when}: {script:.2f} s of script, {script / all_tasks:.0%} of {all_tasks:.1f} s")


if __name__ == "__main__":
    sys.exit(main())
