"""Files put in place in one step: whoever stops it at any moment leaves old ones or new ones."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path
from secrets import token_hex


def put_whole(files: Mapping[Path, bytes], *, private: bool = False) -> None:
    """Puts the files in place, in their order, once every one is written under another name.

    Args:
        files: what is written where.
        private: a new file is for its user alone; else it gets the rights that any new one gets.

    Raises:
        OSError: one could not be written, and nothing was changed; or could not be put in place.
    """
    with ExitStack() as stack:
        ready = {
            path: stack.enter_context(_beside(path, data, private)) for path, data in files.items()
        }
        for path, temporary in ready.items():
            temporary.replace(path)


@contextmanager
def _beside(path: Path, data: bytes, private: bool) -> Iterator[Path]:
    """The bytes in a hidden file in the same folder, which is gone at the end."""
    temporary = None
    try:
        mode = path.stat().st_mode & 0o777 if path.exists() else None
        # A new file gets the rights that the system gives any; an old one's are never widened.
        opener = partial(os.open, mode=0o666 if mode is None and not private else 0o600)
        with open(path.with_name(f".{path.name}.{token_hex(8)}"), "xb", opener=opener) as out:
            temporary = Path(out.name)
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        if mode is not None:
            temporary.chmod(mode)
        yield temporary
    except OSError as error:
        error.filename = str(path)  # which file it was, in a name that a person knows
        raise
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
