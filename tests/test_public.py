"""What somebody finds who imports the tool: its names, their help, their types, its version."""

from __future__ import annotations

import pydoc
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import taperback

ROOT = Path(__file__).parents[1]


def test_dir_shows_the_names_that_are_meant_for_others() -> None:
    assert dir(taperback) == sorted(taperback.__all__)
    assert {"Squad", "Study", "review", "review_squad", "InputError"} <= set(dir(taperback))


@pytest.mark.parametrize("name", sorted(set(taperback.__all__) - {"__version__"}))
def test_help_explains_every_name(name: str) -> None:
    text = pydoc.render_doc(taperback, renderer=pydoc.plaintext)
    assert f"{name}(" in text
    assert len(getattr(taperback, name).__doc__ or "") > 20


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'revue'"):
        _ = taperback.revue  # type: ignore[attr-defined]


def test_a_wheel_carries_the_types_the_shared_values_and_the_version(tmp_path: Path) -> None:
    words = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(words, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = tmp_path.iterdir()
    assert wheel.name.startswith(f"taperback-{taperback.__version__}-")
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
    shared = {f"taperback/shared/{path.name}" for path in (ROOT / "shared").glob("*.toml")}
    templates = {path.name for path in ROOT.glob("analysis/**/*.html*")}
    assert {"taperback/py.typed", *shared} <= held
    assert templates <= {Path(name).name for name in held}
