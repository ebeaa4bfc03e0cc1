"""C514: permission is called permission, as leave is also what one does with a lid."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Edit, Finding, Rule
from assistant.checking.said import clip

__all__ = ["RULE"]

_WORD = "permission"
_LEAVE = re.compile(
    r"(?<=\bfor )leave\b|(?<=\bno )leave\b|(?<=\bwithout )leave\b|"
    r"\b(?P<verb>gets?|got|gives?|gave|given|has|had|have|grants?|granted|needs?|needed|wants?|with) leave\b"
    r"(?! (?:it|them|the|a|an|every|any|no|nothing)\b)|"
    r"\bleave (?=(?:is|was) (?:given|granted|needed|refused|wanted)\b)",
    re.IGNORECASE,
)


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        for number, line in enumerate(book.texts.get(note.path, ()), start=1):
            if _LEAVE.search(line):
                edit = Edit(note.path, number, line, _LEAVE.sub(_replaced, line))
                yield Finding(note.path, number, f"the word for it is '{_WORD}': {clip(line.strip())}", edit)


def _replaced(match: re.Match[str]) -> str:
    """Return what was found with the word exchanged and its capital kept."""
    return re.sub(
        "leave", lambda word: _WORD.capitalize() if word[0][0].isupper() else _WORD, match[0], flags=re.IGNORECASE
    )


RULE = Rule(
    code="C514",
    name="permission-not-leave",
    severity="warning",
    summary="A note says 'permission', and 'leave' only for letting a thing be or going away.",
    reason="'Ask for leave' is read as going away by those whose first language is another.",
    source="ASD-STE100 Issue 9 (2025), rule 1.3, one meaning a word (from memory)",
    good="2. Ask the duty manager for permission to move the cabinet.",
    bad="2. Ask the duty manager for leave to move the cabinet.",
    find=_find,
)
