"""What can go wrong, as one family of errors.

Everything that Taperback raises on purpose descends from `TaperbackError`; the command line turns
it into one line and an exit code, and nothing else does.
"""

from __future__ import annotations

from taperback.common.lines import printable

STOPPED = 130
"""Exit code of a command that somebody stopped."""


class TaperbackError(Exception):
    """Anything Taperback refuses to do, with a message a person can act on."""


class InputError(TaperbackError):
    """What the athlete handed over cannot be used.

    It is raised low, without a path, where the fault is seen; the caller that knows the file
    completes it with `at`.
    """

    def __init__(self, found: str, remedy: str = "", file: str = "") -> None:
        self.found = found
        self.remedy = remedy
        self.file = file
        super().__init__(found, remedy, file)

    def at(self, file: str) -> InputError:
        """The same error, with the file it happened in."""
        return type(self)(self.found, self.remedy, file)

    def __str__(self) -> str:
        place = f"{self.file}: " if self.file else ""
        advice = f"; {self.remedy}" if self.remedy else ""
        return printable(f"{place}{self.found}{advice}")


class OtherKindError(InputError):
    """The file is sound, and about something else than a training session or a night."""


def why_refused(error: OSError) -> str:
    """The reason that the system gives for refusing a file, as words within a sentence."""
    return (error.strerror or "unknown error").lower()


class UsageError(TaperbackError):
    """The command was called with words that do not fit together."""
