"""Text as one line, whatever a file or a person put into it."""

from __future__ import annotations


def printable(text: str) -> str:
    """The text in one line that any terminal and any table can hold.

    >>> printable("a\\nb.fit")
    'a\\\\nb.fit'
    """
    if text.isprintable():
        return text
    return "".join(
        letter if letter.isprintable() else letter.encode("unicode_escape").decode()
        for letter in text
    )
