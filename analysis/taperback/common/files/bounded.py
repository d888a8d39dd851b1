"""A function run in a process of its own, within bounds of time and memory.

What comes from a stranger may be made so that reading it takes for ever or fills the memory; then
it costs that process and one line.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from typing import TypeVar

from taperback.common.errors import InputError
from taperback.common.files.safe_path import safe_environment

T = TypeVar("T")

_RUN = "from taperback.common.files.bounded import main; main()"
_REMEDY = "make it anew, or leave it out"


def within_bounds(
    act: Callable[..., T], *given: object, longest_s: float, most_memory_bytes: int
) -> T:
    """What the function gives, run in a process of its own; it is named by its module.

    Args:
        act: a function of a module.
        given: its arguments.
        longest_s: how long it may take, the start of the process included.
        most_memory_bytes: what the process may take up, Python included.

    Raises:
        InputError: as the function has it; or the process took too long or was stopped.
    """
    try:
        done = subprocess.run(  # noqa: S603
            [sys.executable, "-c", _RUN],
            input=pickle.dumps((act, given, most_memory_bytes)),
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=safe_environment(),
            timeout=longest_s,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise InputError("reading it took too long", _REMEDY) from None
    except OSError:  # no process to be had
        return act(*given)
    if done.returncode or not done.stdout:
        raise InputError("reading it stopped the reader", _REMEDY)
    answer: T | InputError = pickle.loads(done.stdout)  # noqa: S301 - pickled by our own code
    if isinstance(answer, InputError):
        raise answer
    return answer


def main() -> None:
    """Runs what stands on the input, and writes what it gave or why it gave nothing."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # a library that prints must not garble
    act, given, most_memory_bytes = pickle.load(sys.stdin.buffer)  # noqa: S301 - pickled by our parent
    bound_memory(most_memory_bytes)
    try:
        answer = act(*given)
    except InputError as error:
        answer = error
    pickle.dump(answer, answers, protocol=5)
    answers.close()


def bound_memory(most_bytes: int) -> None:
    """Whoever wants more in this process gets an error, and the machine stays usable."""
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))
    except (ImportError, ValueError, OSError):
        return  # some systems have no such bound
