"""C710: the words of a title and of an id are among the words by which the note is asked for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.checking.asked import phrases_of
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field
from assistant.languages import language_of
from assistant.model import Note

__all__ = ["RULE"]

_ENOUGH = 10
"""A word of the id that stands in so many own lines is taught, whoever else uses it."""
_TIMES = 2
"""How many times as many lines of a note that is not named after the word are too many."""
_FILLERS = frozenset("without though never every another one none nothing".split())  # noqa: SIM905


def _find(book: Book) -> Iterator[Finding]:
    stems = Stems(language_of(book.corpus.trade.language))
    held = {note.id: _held(note, stems) for note in book.corpus.notes}
    named = {note.id: set(_content(f"{note.id} {note.title}", stems)) for note in book.corpus.notes}
    rivals: dict[str, tuple[int, str]] = {}
    for other, lines in held.items():
        for term, count in lines.items():
            if term not in named[other]:
                rivals[term] = max(rivals.get(term, (0, "")), (count, other))
    for note in book.corpus.notes:
        own = held[note.id]
        if not own:
            continue
        for term, word in _content(note.title, stems).items():
            if not own[term]:
                told = f"'{word}' stands in none of the note's own phrases and questions"
                yield at_field(book, note, "title", f"{told}: add a line with it to {phrases_of(note)}")
        for term, word in _content(note.id.partition("-")[2], stems).items():
            most, rival = rivals.get(term, (0, ""))
            if own[term] < _ENOUGH and most >= max(1, _TIMES * own[term]):
                told = f"'{word}' stands in {own[term]} of the note's own lines and in {most} of {rival}"
                yield at_field(book, note, "id", f"{told}: add lines with it to {phrases_of(note)}")


def _held(note: Note, stems: Stems) -> Mapping[str, int]:
    """Return in how many of the note's own phrases and questions each term stands."""
    phrases = note.phrases
    questions = (example.question for example in note.examples)
    lines = (*phrases.plain, *phrases.things, *phrases.troubles, *questions)
    return Counter(term for line in lines for term in {stems(word) for word in tokenize(line, stems.language)})


def _content(text: str, stems: Stems) -> dict[str, str]:
    """Return the terms of ``text`` that say what it is about, with the words that they come from."""
    language = stems.language
    little = language.kept | _FILLERS
    words = (w for w in tokenize(text, language) if w not in little and not is_question_word(w, language))
    return {stems(word): word for word in words}


RULE = Rule(
    code="C710",
    name="own-words",
    severity="warning",
    summary="The words of a title stand in the note's own phrases or questions, those of its id often enough.",
    reason="The obvious word is the one that is typed first, and a note that does not have it loses to one that does.",
    source="common practice",
    good="title: Pad lamp stays dark",
    bad="title: Pad lantern stays dark",
    find=_find,
    place="front",
    across=True,
)
