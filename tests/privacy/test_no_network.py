"""No command uses the network: none may open a socket, and none needs an interface."""

from __future__ import annotations

from pathlib import Path

import pytest

from privacy.conftest import WITHOUT_INTERFACES, Everything, run_python
from taperback.cli.main import app

REACH_OUT = "import socket; socket.create_connection(('192.0.2.1', 80), timeout=1)"


def test_the_guard_forbids_and_remembers(tmp_path: Path) -> None:
    ran = run_python(["-c", REACH_OUT], tmp_path / "attempts")
    assert ran.code == 1
    assert "the network is forbidden" in ran.told
    assert "socket.getaddrinfo" in ran.attempts


def test_the_guard_reaches_the_processes_that_a_process_starts(tmp_path: Path) -> None:
    swallowed = f"try:\n    {REACH_OUT}\nexcept OSError:\n    pass"
    child = f"import subprocess, sys; subprocess.run([sys.executable, '-c', {swallowed!r}])"
    ran = run_python(["-c", child], tmp_path / "attempts")
    assert ran.code == 0
    assert "socket.getaddrinfo" in ran.attempts


def test_every_command_did_its_work_and_asked_for_nothing(everything: Everything) -> None:
    known = {command.callback.__name__ for command in app.registered_commands}
    assert {name.split()[0] for name in everything.ran} == known
    for name, ran in everything.ran.items():
        assert ran.code == 0, (name, ran.told)
        assert ran.attempts == "", name
    assert "report:" in everything.ran["review"].told
    assert (everything.out / "report.html").stat().st_size > 1_000_000


@pytest.mark.skipif(not WITHOUT_INTERFACES, reason="this machine forbids network namespaces")
def test_there_was_no_interface_but_the_machines_own(tmp_path: Path) -> None:
    listed = "print(open('/proc/net/dev').read())"
    ran = run_python(["-c", listed], tmp_path / "attempts")
    interfaces = [line.split(":")[0].strip() for line in ran.told.splitlines() if ":" in line]
    assert interfaces == ["lo"]
