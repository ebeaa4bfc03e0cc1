"""What is left of English in what a German pack shows."""

from __future__ import annotations

import re
import string
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from gettext import NullTranslations
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

import assistant.languages
from assistant.languages import DOMAIN, FOLDER
from assistant.model import Note, Trade

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


SAME = frozenset({"an", "code", "do", "in", "min", "name", "person", "so", "start", "station", "was"})
"""Words that stand in German texts too, mostly since both languages spell them alike."""
_LETTERED = re.compile(r"[^\W\d_]{2,}")
_COMMAND = re.compile(r'assistant (?:visit [a-z-]+|ask)(?: --[a-z-]+)*(?: [A-Z]\S*| \d+| "[^"]*")*')
"""A command to type, which is the same in every language."""


def words_of(texts: Iterable[str]) -> set[str]:
    """Return the words of texts in small letters, without ids of notes and commands to type."""
    return {word.lower() for text in texts for word in _LETTERED.findall(_NAME.sub(" ", _COMMAND.sub(" ", text)))}


def mixed(english: Sequence[str], german: Sequence[str], own: Iterable[str]) -> list[str]:
    """Return what of an English text is left in its German twin: words of the program, and whole lines.

    Parameters
    ----------
    english, german
        The same in both languages, by line.
    own
        Texts that are the same in both: of the notes, and what was typed.
    """
    typed = words_of(own)
    words = words_of(english) - typed - SAME
    lines = [line for line in set(english) & set(german) if words_of([line]) - typed - SAME]
    return sorted(words & words_of(german)) + sorted(lines)


@contextmanager
def english_twin() -> Iterator[None]:
    """Say everything in English, whatever language is spoken, and leave all else as that language has it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(assistant.languages, "_catalogue", NullTranslations)
        yield


def texts_of(notes: Iterable[Note], trade: Trade) -> list[str]:
    """Return all texts of notes and of their trade, which are the same in both twins."""
    return [repr(trade), *(repr(note) for note in notes)]
