"""C116: the words for a picture say what it shows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import PurePosixPath

from assistant.checking.rule import Book, Finding, Rule
from assistant.model import Figure

__all__ = ["RULE"]

_MOST_CHARACTERS = 125
_LEAST_WORDS = 3
_KIND = re.compile(
    r"(?:an? |the )?(?:image|picture|photo|photograph|figure|drawing|diagram|graphic|icon|screenshot)s?\b",
    re.IGNORECASE,
)


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        for figure in note.figures:
            if message := _fault(figure):
                yield Finding(note.path, figure.line, f"the words for {figure.name} {message}")


def _fault(figure: Figure) -> str:
    if _plain(figure.alt) in (_plain(figure.name), _plain(PurePosixPath(figure.name).stem)):
        return "are its name: say what it shows"
    if _KIND.match(figure.alt):
        return "begin with what it is: begin with what it shows"
    if len(figure.alt.split()) < _LEAST_WORDS:
        return f"are fewer than {_LEAST_WORDS}: say what it shows, and where on it to look"
    if len(figure.alt) > _MOST_CHARACTERS:
        return f"have {len(figure.alt)} characters, {_MOST_CHARACTERS} at most: leave to the step what it says"
    return ""


def _plain(text: str) -> str:
    return "".join(c for c in text.casefold() if c.isalnum())


RULE = Rule(
    code="C116",
    name="picture-told",
    severity="warning",
    summary="The words for a picture say what it shows, in three words at least and 125 characters at most.",
    reason="On a terminal, in a reader for the blind and on a bad print they are all there is of it.",
    source="common practice",
    good="2. Look at the lamp.\n\n   ![The lamp beside the plug, at the back of the pad](pad-lamp.svg)\n",
    bad="2. Look at the lamp.\n\n   ![Picture of the lamp on the pad](pad-lamp.svg)\n",
    find=_find,
)
