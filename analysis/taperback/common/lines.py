"""Text as one line, whatever a file or a person put into it."""

from __future__ import annotations

from contextlib import suppress


def printable(text: str) -> str:
    """The text in one line that any terminal and any table can hold.

    >>> printable("a\\nb.fit")
    'a\\\\nb.fit'
    >>> printable("L\\udcc3\\udca4ufe, \\udce4")
    'Läufe, \\\\udce4'
    """
    if text.isprintable():
        return text
    text = undisguised(text)
    return "".join(
        letter if letter.isprintable() else letter.encode("unicode_escape").decode()
        for letter in text
    )


def undisguised(text: str) -> str:
    """A name in its own letters, where a system that says it knows English letters only made
    Python take the bytes of a name apart; bytes that are no letters stay as they are.

    >>> undisguised("L\\udcc3\\udca4ufe \\udce4") == "Läufe \\udce4"
    True
    """
    if text.isascii():
        return text
    with suppress(UnicodeEncodeError):
        return text.encode("utf-8", "surrogateescape").decode("utf-8", "surrogateescape")
    return text
