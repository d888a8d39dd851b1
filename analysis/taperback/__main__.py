"""`python -m taperback` is the command `taperback`."""

from taperback.cli.main import run

run()
