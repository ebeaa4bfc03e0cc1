"""What a pack knows of words: known forms, repairs, parts of compounds, the vocabulary; kept in memory for a while."""

from __future__ import annotations

from functools import cached_property

from assistant.analysis.spelling import deletions, distance, repairs, slips_allowed, splits
from assistant.languages import CODES, DEFAULT, Language, language_of
from assistant.pack.checked import json_of, rows_of, text_of, whole_of
from assistant.pack.format import unpack_count, unpack_form
from assistant.pack.recent import NOTHING, Recent
from assistant.ranking.score import FULL

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from assistant.pack.file import PackFile, Reading

__all__ = ["Worded", "Words"]

_ROOM = 4 * 2**20
"""Bytes of what is kept in memory of each kind."""


class Words:
    """The words of one pack.

    Parameters
    ----------
    file
        The open file.
    reading
        Gives the context that turns what goes wrong with a value into the error that says so.
    """

    def __init__(self, file: PackFile, reading: Callable[[str], Reading]) -> None:
        self._file = file
        self._reading = reading
        self._known: Recent[bool] = Recent(_ROOM, lambda _: NOTHING)
        self._meanings: Recent[list[tuple[str, int]]] = Recent(_ROOM, lambda pairs: NOTHING * (1 + len(pairs)))
        self._near: Recent[list[str]] = Recent(_ROOM, lambda forms: NOTHING * (1 + len(forms)))
        self._parts: Recent[tuple[str, ...]] = Recent(_ROOM, lambda forms: NOTHING * (1 + len(forms)))

    @cached_property
    def language(self) -> Language:
        """The language of the notes."""
        code = self._file.manifest.get("language", DEFAULT)
        with self._reading("language"):
            if code not in CODES:
                raise ValueError("this version knows no such one")
        return language_of(code)

    def look_up(self, forms: Sequence[str], phrases: Sequence[str]) -> None:
        """Read at once what `known` says of ``forms`` and `meanings` of ``phrases``."""
        _, new = self._known.held(dict.fromkeys(forms))
        held = self._file.entries("form", new)
        self._known.keep({form: form in held for form in new})
        _, asked = self._meanings.held(dict.fromkeys(phrases))
        meant = self._file.entries("meaning", asked)
        with self._reading("meaning"):
            self._meanings.keep({phrase: _meanings_of(meant[phrase]) if phrase in meant else [] for phrase in asked})

    def known(self, form: str) -> bool:
        """Tell whether this word form is to be taken as it stands."""
        held = self._known.get(form)
        if held is None:
            held = form in self._file.entries("form", (form,))
            self._known.keep({form: held})
        return held

    def meanings(self, phrase: str) -> list[tuple[str, int]]:
        """Return (corpus word, percent) of a form of the vocabulary."""
        held = self._meanings.get(phrase)
        if held is None:
            raw = self._file.entries("meaning", (phrase,)).get(phrase)
            with self._reading("meaning"):
                held = [] if raw is None else _meanings_of(raw)
            self._meanings.keep({phrase: held})
        return held

    def near(self, form: str) -> list[str]:
        """Return the corpus words that a misspelt ``form`` may stand for, likeliest first."""
        held = self._near.get(form)
        if held is None:
            held = self._repairs(form)
            self._near.keep({form: held})
        return held

    def _repairs(self, form: str) -> list[str]:
        """Look for words at one slip first: only where there is none do those at two count, and they are many."""
        for slips in range(1, slips_allowed(form) + 1):
            found = self._file.entries("slip", deletions(form, slips))
            with self._reading("slip"):
                candidates = {known for raw in found.values() for known in raw.decode().split(" ")}
            near = [known for known in candidates if distance(form, known, slips) <= slips]
            repaired = repairs(form, self._counts(sorted(near)).items(), self.language)
            if repaired:
                return repaired
        return []

    def spelled(self, form: str) -> str:
        """Return how the notes spell a form of a language that writes letters out."""
        with self._reading("form"):
            raw = self._file.entries("form", (form,)).get(form)
            return (unpack_form(raw)[1] if raw else "") or form

    def parts(self, form: str) -> tuple[str, ...]:
        """Return the two corpus words of which an unknown compound is made, or nothing."""
        parts = self._parts.get(form)
        if parts is None:
            cut = splits(form, self.language.joints)
            held = self._counts({part for pair in cut for part in pair})
            parts = next((pair for pair in cut if pair[0] in held and pair[1] in held), ())
            self._parts.keep({form: parts})
        return parts

    def _counts(self, forms: Collection[str]) -> dict[str, int]:
        """Return how often each form stands in the corpus, of those that do."""
        with self._reading("form"):
            held = self._file.entries("form", forms)
            count = (lambda raw: unpack_form(raw)[0]) if self.language.folds else unpack_count
            counts = {form: count(raw) for form, raw in held.items()}
        return {form: count for form, count in counts.items() if count > 0}


class Worded:
    """What has the words of a pack, and is the `Lexicon` that reading a question asks."""

    _words: Words

    @property
    def language(self) -> Language:
        """The language of the notes."""
        return self._words.language

    def look_up(self, forms: Sequence[str], phrases: Sequence[str]) -> None:
        """Read at once what `known` says of ``forms`` and `meanings` of ``phrases``."""
        self._words.look_up(forms, phrases)

    def known(self, form: str) -> bool:
        """Tell whether this word form is to be taken as it stands."""
        return self._words.known(form)

    def meanings(self, phrase: str) -> list[tuple[str, int]]:
        """Return (corpus word, percent) of a form of the vocabulary."""
        return self._words.meanings(phrase)

    def near(self, form: str) -> list[str]:
        """Return the corpus words that a misspelt ``form`` may stand for, likeliest first."""
        return self._words.near(form)

    def spelled(self, form: str) -> str:
        """Return how the notes spell a form of a language that writes letters out."""
        return self._words.spelled(form)

    def parts(self, form: str) -> tuple[str, ...]:
        """Return the two corpus words of which an unknown compound is made, or nothing."""
        return self._words.parts(form)


def _meanings_of(raw: bytes) -> list[tuple[str, int]]:
    return [(text_of(word), whole_of(percent, 0, FULL)) for word, percent in rows_of(json_of(raw), 2)]
