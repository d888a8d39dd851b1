"""Compiled templates are kept where Python keeps compiled modules, and never used when stale."""

from __future__ import annotations

import sys
from importlib.util import cache_from_source
from pathlib import Path

import pytest
from jinja2 import Environment

from taperback.report import render


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the compiled cautions are kept."""
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    return Path(cache_from_source(str(render.TEMPLATES / "cautions.html")))


def compiled_anew(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What a new process compiles for the cautions, as the names of templates."""
    names: list[str] = []
    compile_it = Environment.compile

    def compiling(self: Environment, source: str, name: str, filename: str) -> object:
        names.append(name)
        return compile_it(self, source, name, filename)

    with monkeypatch.context() as patched:
        patched.setattr(render, "_COMPILED", render._Compiled())
        patched.setattr(Environment, "compile", compiling)
        assert "doctor" in render.environment().get_template("cautions.html").render()
    return names


def test_a_template_is_compiled_once(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert compiled_anew(monkeypatch) == ["cautions.html"]
    assert kept.is_file()
    assert compiled_anew(monkeypatch) == []


def test_a_changed_template_is_compiled_anew(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    compiled_anew(monkeypatch)
    changed = tmp_path / "changed"
    changed.mkdir()
    text = (render.TEMPLATES / "cautions.html").read_text(encoding="utf-8")
    (changed / "cautions.html").write_text(f"{text}\n{{{{ 1 }}}}", encoding="utf-8")
    was = kept.read_bytes()
    monkeypatch.setattr(render, "TEMPLATES", changed)
    now = Path(cache_from_source(str(changed / "cautions.html")))
    now.parent.mkdir(parents=True)
    now.write_bytes(was)
    assert compiled_anew(monkeypatch) == ["cautions.html"]
    assert now.read_bytes() != was


@pytest.mark.parametrize("other", ["_by", "bytes", "nothing"])
def test_what_does_not_fit_is_compiled_anew(
    other: str, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    compiled_anew(monkeypatch)
    whole = kept.read_bytes()
    if other == "_by":  # another Jinja, or other lines of the module
        monkeypatch.setattr(render, "version", lambda name: "0")
    else:
        kept.write_bytes(whole[: len(whole) // 2] if other == "bytes" else b"")
    assert compiled_anew(monkeypatch) == ["cautions.html"]
    if other != "_by":
        assert kept.read_bytes() == whole


def test_nothing_is_kept_where_python_keeps_nothing(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert compiled_anew(monkeypatch) == ["cautions.html"]
    assert not kept.exists()
