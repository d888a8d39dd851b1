"""A cache folder of the tests' own, never the user's, and a Ctrl-C that is heard."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell that runs the tests in the background lets them ignore Ctrl-C, and so all they start.
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    place = tmp_path_factory.mktemp("cache")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(place))
        yield place
