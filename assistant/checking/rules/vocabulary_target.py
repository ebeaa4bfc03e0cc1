"""C703: the vocabulary leads to words that the corpus holds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from assistant.analysis.analyzer import Stems
from assistant.analysis.tokens import tokenize
from assistant.checking.asked import VOCABULARY, asked, entries
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import whole_text
from assistant.languages import language_of

__all__ = ["RULE"]

_WORDS = re.compile(r"[^\W_]+")


def _texts(book: Book) -> Iterator[str]:
    """Yield all texts that are indexed or learned from."""
    for note in book.corpus.notes:
        yield " ".join((note.id, whole_text(note), *note.tools, *note.parts))
        yield " ".join((*note.phrases.things, *note.phrases.troubles, *note.phrases.plain))
    yield from (one.text for one in asked(book))
    yield from book.corpus.uncovered
    yield from (text for _, text in book.corpus.followups)
    yield from (text for _, text in book.corpus.dangers)
    yield from (text for _, text in book.corpus.ambiguous)


@lru_cache(maxsize=1 << 15)
def _forms(text: str) -> frozenset[str]:
    return frozenset(_WORDS.findall(text.lower()))


def _find(book: Book) -> Iterator[Finding]:
    language = language_of(book.corpus.trade.language)
    told_in = frozenset().union(*map(_forms, _texts(book)))
    forms = frozenset(form.translate(language.letters) for form in told_in) if language.folds else told_in
    unheld = [entry for entry in entries(book) if forms.isdisjoint(tokenize(entry.word, language))]
    stems = Stems(language)
    held = {stems(form) for form in forms} if unheld else set()
    told: set[str] = set()
    for entry in unheld:
        if entry.word not in told and not any(stems(form) in held for form in tokenize(entry.word, language)):
            told.add(entry.word)
            yield Finding(
                VOCABULARY, entry.line, f"'{entry.word}' stands nowhere in the corpus: its forms lead nowhere"
            )


RULE = Rule(
    code="C703",
    name="vocabulary-leads-somewhere",
    severity="warning",
    summary="A word of the vocabulary stands somewhere in the notes, their phrases or their questions.",
    reason="A form that means a word which nothing holds finds nothing.",
    source="common practice",
    good='"pad": {"joypad": 1.0}',
    bad='"flugelhorn": {"bugle": 1.0}',
    find=_find,
    place="vocabulary",
    across=True,
)
