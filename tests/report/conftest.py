"""One headless Chromium for all browser tests of a run, and pages written once."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from report.ahead import busy_ahead
from report.hostile import hostile
from report.squads import empty_squad, hostile_squad, squad
from report.studies import nothing_known, study
from taperback.report.page import write_report
from taperback.report.squad_page import write_squad

STUDIES = {"usual": study, "hostile": hostile, "nothing": nothing_known, "ahead": busy_ahead}
SQUADS = {"squad": squad, "hostile squad": hostile_squad, "empty squad": empty_squad}


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium; without it the tests fail, since a page unseen is a page untested."""
    path = shutil.which("chromium")
    assert path, "the browser tests need Chromium; install the package 'chromium'"
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def reports(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The page of each study of `STUDIES` and of each squad of `SQUADS`, on disk."""
    folder = tmp_path_factory.mktemp("reports")
    studies = {name: write_report(make(), folder / name)[0] for name, make in STUDIES.items()}
    squads = {name: write_squad(make(), folder / name)[0] for name, make in SQUADS.items()}
    nameless = write_squad(squad(), folder / "nameless squad", nameless=True)[0]
    return {**studies, **squads, "nameless squad": nameless}


class Opened:
    """A page in the browser, and whatever it complained of or asked for."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.complaints: list[str] = []
        self.requests: list[str] = []
        page.on("console", lambda message: self.complaints.append(message.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", lambda request: self.requests.append(request.url))

    def unfold(self) -> None:
        """Opens every part that is folded."""
        self.page.evaluate(
            "document.querySelectorAll('details').forEach((d) => { d.open = true; })"
        )

    def see_every_chart(self) -> None:
        """Opens what is folded and scrolls to each chart until it is drawn or says why not."""
        self.unfold()
        for place in self.page.locator(".chart").all():
            place.scroll_into_view_if_needed()
            place.locator(".main-svg").first.wait_for(state="attached")


@pytest.fixture
def opened(browser: Browser, reports: dict[str, Path]) -> Callable:
    """Opens a study's page: `with opened("usual", width=390) as it: it.page ...`."""

    @contextmanager
    def visit(
        name: str = "usual", width: int = 1280, *, dark: bool = False, script: bool = True
    ) -> Iterator[Opened]:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme="dark" if dark else "light",
            java_script_enabled=script,
            offline=True,
        )
        it = Opened(context.new_page())
        it.page.goto(reports[name].as_uri())
        yield it
        context.close()

    return visit
