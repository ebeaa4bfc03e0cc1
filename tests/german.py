"""What is left of English in what a German pack shows."""

from __future__ import annotations

import re
import string
from collections.abc import Iterable
from pathlib import Path

from babel.messages.pofile import read_po

import assistant.languages
from assistant.languages import DOMAIN, FOLDER

_CATALOGUE = Path(assistant.languages.__file__).parent / FOLDER / "de" / "LC_MESSAGES" / f"{DOMAIN}.po"
_NAME = re.compile(r"\b[a-z]+(?:-[a-z0-9]+)+\b")
"""The id of a note, which is no word."""
_WORD = re.compile(r"\w+")
_LETTERS = re.compile(r"[A-Za-z]{2}")


def english_pieces() -> list[str]:
    """Return the longest piece between what is filled in of every English text that is another in German.

    A single word that German has as well, such as ``station``, tells nothing.
    """
    with _CATALOGUE.open("rb") as file:
        messages = [message for message in read_po(file) if message.id and message.id != message.string]
    texts = [text for message in messages for text in _each(message.id)]
    pieces = (max((piece for piece, *_ in string.Formatter().parse(text)), key=len) for text in texts)
    german = {word.lower() for message in messages for text in _each(message.string) for word in _WORD.findall(text)}
    return sorted({piece.strip() for piece in pieces if _LETTERS.search(piece) and piece.strip().lower() not in german})


def _each(message: str | Iterable[str] | None) -> tuple[str, ...]:
    return (message,) if isinstance(message, str) else tuple(message or ())


def english_left(texts: Iterable[str]) -> list[tuple[str, str]]:
    """Return (piece, text) for every English piece that stands in one of the texts as words of their own."""
    pieces = [(piece, re.compile(rf"(?<!\w){re.escape(piece)}(?!\w)")) for piece in english_pieces()]
    shown = [_NAME.sub("", " ".join(text.split())) for text in texts]
    return [(piece, text) for text in shown for piece, found in pieces if found.search(text)]
