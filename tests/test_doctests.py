"""The examples in docstrings say what the code does."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

import taperback

PACKAGE = Path(taperback.__file__).parent
WITH_EXAMPLES = sorted(
    path.relative_to(PACKAGE.parent).with_suffix("").as_posix().replace("/", ".")
    for path in PACKAGE.rglob("*.py")
    if ">>>" in path.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_examples_hold(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted
    assert not result.failed
