"""Two small athletes in a cache of their own, and who of them was reviewed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from again.squads import ALL, Reviewed
from importer.test_folder import put
from taperback.importer.store.place import tidy
from taperback.squad import review as squad_review
from taperback.study.review import review


@pytest.fixture(autouse=True)
def reviewed(monkeypatch: pytest.MonkeyPatch) -> Reviewed:
    """The folders that were reviewed, in order, as long as one process does it."""
    names: Reviewed = []

    def noted(folder: Path, **given: object) -> object:
        names.append(folder.name)
        return review(folder, **given)  # type: ignore[arg-type]

    monkeypatch.setattr(squad_review, "review", noted)
    return names


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[pytest.MonkeyPatch]:
    """A cache folder that nobody else fills."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        tidy.cache_clear()
        yield patch
    tidy.cache_clear()


@pytest.fixture(scope="module")
def athletes(cache: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two small athletes, of whom nothing was kept yet."""
    place = tmp_path_factory.mktemp("two") / "athletes"
    return put(place, {f"{name}/{file}": ALL[file] for name in ("ada", "bo") for file in ALL})
