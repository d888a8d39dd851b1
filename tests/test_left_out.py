"""What statsmodels may do without is left out, and let in where it may not."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module

import pytest

from taperback.common.files import left_out

LINE = """
import sys
from taperback.common.files.left_out import leave_out
if sys.argv[1] == "command":
    leave_out()
if sys.argv[2] == "needs it":
    sys.modules["patsy"] = None  # the other reader of formulas
import numpy as np
from taperback.evidence.classical import line
print(line(np.arange(6.0), np.array([1.0, 3.0, 2.0, 5.0, 4.0, 6.0]), list("abcdef")))
print("loaded" if sys.modules.get("formulaic") else "left out")
"""


@pytest.mark.parametrize(
    ("who", "needs", "there"),
    [
        ("command", "does without", "left out"),
        ("command", "needs it", "loaded"),
        ("notebook", "does without", "loaded"),
    ],
)
def test_a_line_is_fitted_with_it_and_without(who: str, needs: str, there: str) -> None:
    words = [sys.executable, "-c", LINE, who, needs]
    said = subprocess.run(words, capture_output=True, text=True, check=True).stdout.splitlines()
    assert said[0].startswith("Classical(n=6, estimate=0.8857")
    assert said[1] == there


def test_what_cannot_be_loaded_either_way_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(left_out, "LEFT_OUT", ())
    with pytest.raises(ImportError):
        left_out.loaded(lambda: import_module("no_such_module_of_taperback"))
