"""A folder of activity files, and a cache of its own for what is read of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from importer.stores import FILES
from importer.test_folder import put
from taperback.importer.store.place import tidy


@pytest.fixture
def folder(tmp_path: Path, cache: Path) -> Path:
    return put(tmp_path / "athlete", FILES)


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    tidy.cache_clear()
    return tmp_path / "cache"
