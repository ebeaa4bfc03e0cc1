"""C704: a form that always means another word is no word of the notes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from assistant.analysis.analyzer import Stems
from assistant.analysis.tokens import tokenize
from assistant.checking.asked import VOCABULARY, entries
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import whole_text
from assistant.languages import language_of

__all__ = ["RULE"]

_ALWAYS = 100
_FEWEST_NOTES = 3
_ROOT = 4


def _kin(form: str, word: str) -> bool:
    """Tell whether two words are of one family, such as ``shelves`` and ``shelf``, ``recharge`` and ``charge``."""
    return form[:_ROOT] in {part[:_ROOT] for part in word.split()} or word in form


def _find(book: Book) -> Iterator[Finding]:
    """Yield forms of one word that notes use in their own right, while the vocabulary gives them to another word."""
    language = language_of(book.corpus.trade.language)
    stems = Stems(language)
    notes: Counter[str] = Counter()
    for note in book.corpus.notes:
        notes.update({stems(form) for form in tokenize(whole_text(note), language)})
    listed = entries(book)
    words = {entry.word.lower() for entry in listed}
    for entry in listed:
        meant = dict(book.corpus.vocabulary.forms.get(entry.form, ())).get(entry.word)
        tokens = tokenize(entry.form, language)
        if meant != _ALWAYS or len(tokens) != 1:
            continue
        if _kin(tokens[0], entry.word.lower()):
            continue
        term = stems(tokens[0])
        if entry.form in words:
            yield Finding(
                VOCABULARY, entry.line, f"'{entry.form}' always means '{entry.word}', and has forms of its own"
            )
        elif notes[term] >= _FEWEST_NOTES:
            told = f"'{entry.form}' always means '{entry.word}', and {notes[term]} notes use it in their own text"
            yield Finding(VOCABULARY, entry.line, told)


RULE = Rule(
    code="C704",
    name="vocabulary-clash",
    severity="warning",
    summary="A form with weight 1.0 is not a word that three notes or the vocabulary itself use.",
    reason="What a note says with its own word would be looked for under another one.",
    source="common practice",
    good='"pad": {"joypad": 1.0}',
    bad='"pad": {"joypad": 1.0}\n"spare": {"pad": 1.0}',
    find=_find,
    place="vocabulary",
    across=True,
)
