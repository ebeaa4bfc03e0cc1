"""Reading a text file that nobody has vouched for."""

from __future__ import annotations

import errno
import os
import re
import stat
import unicodedata
from pathlib import Path

from assistant.errors import Fault, NotesError

__all__ = [
    "DEEPEST",
    "forbidden_characters",
    "leads_out",
    "most_bytes",
    "nested_deeply",
    "read_text",
    "regular",
    "wrong_bullet",
]

DEEPEST = 20
"""Of one thing in another."""
_MOST_BYTES = 512 * 1024
_MOST_BYTES_OF_ONE_NOTE = 64 * 1024
_OF_ONE_NOTE = (".md", ".questions.txt", ".phrases.yaml")
_WRONG_BULLET = re.compile(r"\s*([\u2022\u2023\u25e6\u25aa\u25cf\u25cb\u25a0\u2219\u2043\u00b7\u2013\u2014])(?=\s|\Z)")
"""What other programs begin the lines of a list with, which is text to Markdown."""
_GARBLED_BY_TERMINALS = {"\ufe0f": "an emoji variation selector", "\u200d": "a zero-width joiner"}


def read_text(path: Path, shown: str, most: int | None = None) -> str:
    """Return the text of ``path`` or raise.

    Parameters
    ----------
    path
        A file of no more than `most_bytes`, UTF-8, without control characters.
    shown
        The name that messages use.
    most
        How many bytes it may have, where that is not what `most_bytes` says.

    Raises
    ------
    NotesError
        With the line of the first bad byte or character.
    """
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise NotesError([Fault(shown, 1, "not a file that can be read")])
        size, most = status.st_size, most_bytes(path) if most is None else most
        if size > most:
            raise NotesError([Fault(shown, 1, f"file has {size} bytes, {most} at most")])
        raw = path.read_bytes()
    except OSError as error:
        raise NotesError([Fault(shown, 1, f"cannot be read: {error.strerror}")]) from error
    if b"\0" in raw:
        line = raw[: raw.index(b"\0")].count(b"\n") + 1
        raise NotesError([Fault(shown, line, "not a text file: holds a NUL byte")])
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise NotesError([Fault(shown, line, "not valid UTF-8")]) from error
    text = text.replace("\r\n", "\n").removeprefix("\ufeff")
    faults = [
        Fault(shown, line, message)
        for line, content in enumerate(text.split("\n"), start=1)
        for message in forbidden_characters(content)
    ]
    if faults:
        raise NotesError(faults)
    return text


def regular(path: Path) -> Path:
    """Return ``path``, of which a pipe or a device could be read for ever.

    Raises
    ------
    OSError
        If a folder, a pipe or a device lies there.
    """
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "not a file that can be read", str(path))
    return path


def most_bytes(path: Path) -> int:
    """Return how large a file may be: one of a single note 64 KiB, any other 512 KiB."""
    return _MOST_BYTES_OF_ONE_NOTE if path.name.endswith(_OF_ONE_NOTE) else _MOST_BYTES


def leads_out(path: Path, root: Path) -> bool:
    """Tell whether a file is a link to what no note may be made of: a file elsewhere on the machine."""
    if not path.is_symlink():
        return False
    home = os.path.realpath(root)
    return os.path.commonpath((home, os.path.realpath(path))) != home


def nested_deeply(text: str) -> bool:
    """Tell whether brackets stand so deep in one another that a YAML parser would take minutes over them."""
    if text.count("[") + text.count("{") <= DEEPEST:
        return False
    depth = 0
    for character in text:
        depth = max(0, depth + (character in "[{") - (character in "]}"))
        if depth > DEEPEST:
            return True
    return False


def wrong_bullet(line: str) -> str:
    """Return the sign that begins a line as a bullet would, and is none; empty where none does.

    >>> wrong_bullet("  \u2022 If it is lit"), wrong_bullet("- If it is lit"), wrong_bullet("\u20133 is cold")
    ('\u2022', '', '')
    """
    begun = _WRONG_BULLET.match(line)
    return begun[1] if begun else ""


def forbidden_characters(line: str) -> list[str]:
    """Name the characters of one line that a terminal or a page could act on or garble."""
    if line.isascii() and line.isprintable():
        return []
    messages = []
    for character in sorted(set(line)):
        if character in _GARBLED_BY_TERMINALS:
            messages.append(f"holds {_GARBLED_BY_TERMINALS[character]} (U+{ord(character):04X})")
        elif character != "\t" and unicodedata.category(character) in {"Cc", "Cf", "Cs", "Co"}:
            messages.append(f"holds a control character (U+{ord(character):04X})")
    return messages
