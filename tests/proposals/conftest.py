"""The sample's files without its journal, and what was planted in them."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import pytest

import generate
from taperback.importer.folder import read_folder
from taperback.importer.model import Imported
from taperback.journal.load import read_journal
from taperback.journal.model import Journal

SAMPLE = Path(generate.__file__).parent


@pytest.fixture(scope="session")
def sample(tmp_path_factory: pytest.TempPathFactory) -> tuple[Imported, Journal]:
    folder = tmp_path_factory.mktemp("sample") / "tove"
    shutil.copytree(SAMPLE / "tove", folder, ignore=shutil.ignore_patterns("*.csv", ".taperback"))
    book = read_journal(folder)
    return read_folder(folder, book.athlete.home_zone, workers=1), book


@pytest.fixture
def truth() -> list[dict]:
    return tomllib.loads((SAMPLE / "TRUTH.toml").read_text(encoding="utf-8"))["races"]
