"""Files put in place in one step: whoever stops it at any moment leaves old ones or new ones."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path


def put_whole(files: Mapping[Path, bytes]) -> None:
    """Puts the files in place, in their order, once every one is written under another name.

    Raises:
        OSError: one could not be written, and nothing was changed; or could not be put in place.
    """
    with ExitStack() as stack:
        ready = {path: stack.enter_context(_beside(path, data)) for path, data in files.items()}
        for path, temporary in ready.items():
            temporary.replace(path)


@contextmanager
def _beside(path: Path, data: bytes) -> Iterator[Path]:
    """The bytes in a hidden file in the same folder, which is gone at the end."""
    temporary = None
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        temporary = Path(name)
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        temporary.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        yield temporary
    except OSError as error:
        error.filename = str(path)  # which file it was, in a name that a person knows
        raise
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
