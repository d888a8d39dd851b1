"""Commands, and a count of the figures that are held against own arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from people.folders import Commands

COMPARED: list[str] = []


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Commands:
    return Commands(capsys, monkeypatch)


@pytest.fixture
def same(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Compares a figure of a race in `study.json` with the test's own, and counts it."""

    def compare(
        race: dict[str, Any], measure: str, own: float | None, within: float = 1e-6
    ) -> None:
        found = race["measures"][measure]
        COMPARED.append(f"{request.node.name} {race['race_id']} {measure}")
        if own is None:
            assert found["value"] is None, (race["name"], measure, found)
        else:
            assert found["value"] == pytest.approx(own, abs=within), (race["name"], measure, found)

    return compare


@pytest.fixture
def compared(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Compares a figure that is no race's with the test's own, and counts it."""

    def compare(what: str, found: float, own: float, within: float = 0.0) -> None:
        COMPARED.append(f"{request.node.name} {what}")
        assert found == pytest.approx(own, abs=within), what

    return compare


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Says how many figures were compared."""
    if COMPARED:
        terminalreporter.write_line(f"people: {len(COMPARED)} figures held against own arithmetic")
