"""People's names in questions, masked before the desk shows them or takes them into the notes.

It is a help and no promise: only names that something stands before which tells of a person are found.
"""

from __future__ import annotations

import re

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.pack.reader import Pack

__all__ = ["MASK", "Names"]

MASK = "(somebody)"
_BEFORE = (
    r"(?:my name is|her name is|his name is|(?:ask|asked|asking|call|called|look|looking) for|"
    r"(?:speak|spoke|speaking|talk|talked|talking) (?:to|with)|(?:met|meet|meeting|work|works|working) with)"
)
_TITLE = r"(?:mrs?|ms|miss|mx|dr)\b\.?"
_NAME = r"[^\W\d_]+(?:['\u2019-][^\W\d_]+)*"
_FOUND = re.compile(
    rf"\b(?:(?P<before>(?i:{_BEFORE})\s+(?:(?i:the)\s+)?)(?P<titled>(?i:{_TITLE})\s+)?|(?P<title>(?i:{_TITLE})\s+))"
    rf"(?P<name>{_NAME})(?P<more>(?:\s+{_NAME})?)"
)


class Names:
    """Masks names: what follows a title, or "my name is", "ask for", "spoke to" and the like with a capital letter.

    Parameters
    ----------
    pack
        Its notes' words are never masked, and after a title no word that it knows in small letters.
    """

    def __init__(self, pack: Pack) -> None:
        self._pack = pack
        self._stems = Stems()

    def masked(self, text: str) -> str:
        """Return a text with ``(somebody)`` in place of a name and its title."""
        return _FOUND.sub(self._mask, text)

    def _mask(self, found: re.Match[str]) -> str:
        titled = bool(found["title"] or found["titled"])
        if not self._is_name(found["name"], titled=titled):
            return found[0]
        second = found["more"].strip()
        rest = "" if second and self._is_name(second, titled=False) else found["more"]
        return f"{found['before'] or ''}{MASK}{rest}"

    def _is_name(self, word: str, *, titled: bool) -> bool:
        form = word.lower()
        if not (word[0].isupper() or (titled and not self._pack.known(form))):
            return False
        parts = tokenize(form)
        return not any(map(is_question_word, parts)) and not self._pack.term_rows(map(self._stems, parts))
