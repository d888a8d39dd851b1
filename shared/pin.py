"""Pins every library with the hashes of its files: `python shared/pin.py`.

Run it by hand when `pyproject.toml` names another library; it needs the network. Versions stay as
they are; `--upgrade` takes the newest of all, `--upgrade-package NAME` the newest of one. Each file
holds what the files before it do not, for every system and every Python that `pyproject.toml`
allows, and only what comes as a wheel.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
import venv
from pathlib import Path

ROOT = Path(__file__).parents[1]
UV = "uv==0.13.9"
FILES = {"run": (), "tests": ("dev",), "soak": ("dev", "soak")}
"""File of `shared/pins/` -> the extras that it adds, from the smallest to the largest."""


def main() -> None:
    """Writes the files of `shared/pins/`, each on top of those before it."""
    uv, before = installed_uv(), []
    for name, extras in FILES.items():
        path = ROOT / "shared" / "pins" / f"{name}.txt"
        compile_pins(uv, path, extras, before)
        before.append(path)


def installed_uv() -> str:
    """The pinned uv, in an environment of its own."""
    place = ROOT / ".venv-pins"
    venv.create(place, with_pip=True)
    scripts = place / ("Scripts" if sys.platform == "win32" else "bin")
    pip = [str(scripts / "python"), "-m", "pip", "install", "--quiet", "--only-binary", ":all:"]
    subprocess.run([*pip, UV], check=True)
    return str(scripts / "uv")


def compile_pins(uv: str, path: Path, extras: tuple[str, ...], before: list[Path]) -> None:
    """Pins what the project needs with these extras and what builds it, less what is pinned."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    words = [uv, "pip", "compile", "--quiet", "--no-config", "--universal", "--generate-hashes"]
    words += ["--only-binary", ":all:", "--no-annotate", "--output-file", str(path)]
    words += ["--python-version", project["project"]["requires-python"].removeprefix(">=")]
    words += ["--custom-compile-command", "python shared/pin.py", *sys.argv[1:]]
    for extra in extras:
        words += ["--extra", extra]
    for pinned in before:
        words += ["--constraint", str(pinned)]
        for name in re.findall(r"^([\w.-]+)==", pinned.read_text(encoding="utf-8"), re.MULTILINE):
            words += ["--no-emit-package", name]
    builds = "\n".join(project["build-system"]["requires"])
    subprocess.run([*words, "pyproject.toml", "-"], input=builds, text=True, check=True, cwd=ROOT)


if __name__ == "__main__":
    main()
