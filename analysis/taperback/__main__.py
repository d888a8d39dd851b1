"""The command's start, also as `python -m taperback`; loading the rest takes a second."""

from __future__ import annotations

import atexit
import gc
import sys

from taperback.common.errors import STOPPED, TaperbackError
from taperback.common.files.left_out import leave_out
from taperback.common.files.safe_path import trusted_path

NEW_OBJECTS = 500_000
"""So many new objects are made before Python looks for circles among them that nobody needs: more
than a review makes. By default it looks hundreds of times while tables and statistics are loaded,
and finds nothing. A squad of twelve takes no more memory for it."""


def main() -> None:
    """Runs the command; an interrupt is one line and exit code 130, however early it comes."""
    sys.path[:] = trusted_path()
    leave_out()
    gc.set_threshold(NEW_OBJECTS)
    atexit.register(gc.freeze)  # what is left goes with the process, and need not be looked through
    try:
        from taperback.cli.main import run  # where somebody waits for it and may lose patience

        run()
    except KeyboardInterrupt:
        sys.stderr.write("taperback: stopped; what was read so far is kept for the next run\n")
        sys.exit(STOPPED)
    except TaperbackError as error:  # an installation whose shared values cannot be loaded
        sys.stderr.write(f"taperback: {error}\n")
        sys.exit(1)


if __name__ == "__main__":
    main()
