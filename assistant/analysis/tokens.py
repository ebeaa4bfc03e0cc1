"""Text -> word forms: Unicode NFKC, lower case, control characters out, codes kept whole."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from assistant.languages import Language, language_of

__all__ = ["CODE", "clean", "json_line", "printable", "spellings", "tokenize"]

CODE = re.compile(r"(?=.*\d)(?=.*[a-z])[a-z0-9]+(?:-[a-z0-9]+)*\Z")
_TOKEN = re.compile(r"[^\W_]+(?:-[^\W_]+)*|%")
_SHORT = 300
"""Characters of a text of which many are kept in mind."""
_APOSTROPHES = str.maketrans("", "", "'\u2019\u2018\u02bc`")


def clean(text: str) -> str:
    """Return ``text`` in NFKC on one line, with no control or format characters."""
    return printable(unicodedata.normalize("NFKC", text))


def printable(text: str) -> str:
    """Return ``text`` on one line, without control, format and unassigned characters."""
    if not text.isprintable():
        text = "".join(" " if c.isspace() else c for c in text if c.isspace() or unicodedata.category(c)[0] != "C")
    return " ".join(text.split())


def json_line(value: object) -> str:
    """Return ``value`` as one line of JSON; characters that a terminal could act on are written as escapes."""
    import json

    text = json.dumps(value, ensure_ascii=False)
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else json.dumps(c)[1:-1] for c in text)


def tokenize(text: str, language: Language | None = None) -> list[str]:
    """Return the word forms of ``text`` in order, of English where no language is told.

    A hyphenated word gives its parts. A code, that is letters with digits such as ``DR-21``, gives itself joined
    (``dr21``) and then its parts, so that it is found however it is written. Negated verbs become ``not``, and
    letters that not every keyboard has are written out.
    """
    return list(_short(text, language) if len(text) <= _SHORT else _long(text, language))


def spellings(text: str, language: Language) -> dict[str, str]:
    """Return form -> how it is spelt in ``text``, of those forms that are spelt otherwise."""
    told = (word for match in _TOKEN.finditer(clean(text).lower()) for word in match[0].split("-"))
    return {form: word for word in told if (form := word.translate(language.letters)) != word}


def _forms(text: str, language: Language | None) -> tuple[str, ...]:
    language = language or language_of()
    text = clean(text).lower().translate(_APOSTROPHES)
    forms: list[str] = []
    for match in _TOKEN.finditer(text.translate(language.letters) if language.folds else text):
        word = match[0]
        parts = word.split("-")
        if CODE.match(word):
            forms.append("".join(parts))
            if len(parts) > 1:
                forms += parts
        else:
            forms += [language.contractions.get(part, part) for part in parts]
    return tuple(forms)


_short = lru_cache(maxsize=1 << 13)(_forms)
_long = lru_cache(maxsize=1 << 6)(_forms)
"""A few stories take as much memory as thousands of sentences."""
