"""What a rep types on the round: a station and how it is, or that all the rest pass."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple

from assistant.analysis.tokens import clean
from assistant.errors import UsageError
from assistant.languages import said
from assistant.visiting.labels import Found, ends_so, find_station, fold, shown_few

__all__ = ["WORDS", "Line", "LineKind", "LineWords", "names_station", "read_line"]

LineKind = Literal["station", "pass", "fault", "rest", "doubt"]
_MOST_WORDS_IN_A_LABEL = 4
_FEWEST_DIGITS = 3
"""A first station, of digits alone, has at least so many; fewer are a number of something."""
_NO_STATION = Found("")


class LineWords(NamedTuple):
    """The words that mean something after a label, or instead of one; ``all`` and ``beside`` mean nothing alone."""

    passes: frozenset[str] = frozenset({"pass", "passes", "passed", "ok", "okay", "plays", "works", "good", "fine"})
    faults: frozenset[str] = frozenset({"fault", "faulty"})
    rest: frozenset[str] = frozenset({"rest", "others"})
    all: frozenset[str] = frozenset({"all", "the", "other", "of", "stations", "them"})
    beside: frozenset[str] = frozenset({"is", "it", "all", "now", "again"})


WORDS = LineWords()


class Line(NamedTuple):
    """What was typed.

    ``kind`` is ``station`` for a label alone, ``doubt`` where words follow a pass, so that somebody must be asked, and
    ``rest``, without a station, where all the rest pass. ``words`` are those after the label and the result.
    """

    kind: LineKind
    found: Found = _NO_STATION
    words: str = ""


def read_line(text: str, known: Sequence[str], stores: Iterable[str] = (), words: LineWords = WORDS) -> Line:
    """Return what was typed on the round.

    Parameters
    ----------
    known
        The labels of the shop.
    stores
        Codes of shops, which are no labels.

    Raises
    ------
    UsageError
        If it begins with no label.
    """
    typed = clean(text).split()
    plain = [word.strip(".,;:!").lower() for word in typed]
    if _is_rest(plain, words):
        return Line("rest")
    length = _label_length(typed, known, stores)
    if not length:
        told = said("type a label first, such as A-0101 pass, or A-0101 and what is wrong")
        some = said("{told}; known here: {labels}", told=told, labels=shown_few(known)) if known else told
        if not typed:
            raise UsageError(said("nothing was typed: {remedy}", remedy=some))
        raise UsageError(said("'{typed}' begins with no asset label: {remedy}", typed=clean(text)[:40], remedy=some))
    found = find_station(_joined(typed[:length]), known, stores)
    after = plain[length:]
    if not after:
        return Line("station", found)
    if words.passes & set(after) and words.passes | words.beside >= set(after):
        return Line("pass", found)
    beyond = " ".join(typed[length + 1 :])
    if after[0] in words.passes:
        return Line("doubt", found, beyond)
    return Line("fault", found, beyond if after[0] in words.faults else " ".join(typed[length:]))


def names_station(text: str, known: Sequence[str]) -> bool:
    """Tell whether a text begins with a known label that has letters and digits, and so is no question.

    >>> names_station("a0101 fault drifts", ["A-0101"]), names_station("2 bolts loose", ["A-0102"])
    (True, False)
    """
    typed = clean(text).split()
    length = _known_length(typed, known)
    start = fold(_joined(typed[:length]))
    return any(c.isalpha() for c in start) and any(c.isdecimal() for c in start)


def _is_rest(plain: Sequence[str], words: LineWords) -> bool:
    told = set(plain)
    meant = bool(told & words.rest) or ("all" in told and bool(told & words.passes))
    return meant and told <= words.rest | words.all | words.passes


def _label_length(typed: Sequence[str], known: Sequence[str], stores: Iterable[str]) -> int:
    """Return how many of the words typed are a label, known or not; 0 where it begins with none."""
    length = _known_length(typed, [*known, *stores])
    if length or not typed:
        return length
    first = fold(_joined(typed[:1]))
    if first.isdecimal():
        return int(bool(ends_so(first, known)) or _is_as_long(first, known))
    if any(c.isdecimal() for c in first) and any(c.isalpha() for c in first):
        return 1
    letters = {start[0] for label in known if (start := re.match(r"[^\W\d_]+", fold(label)))}
    second = typed[1].strip(",;:") if len(typed) > 1 else ""
    begins = first in letters if known else len(first) == 1
    return 2 if begins and second.isdecimal() else 0


def _known_length(typed: Sequence[str], known: Iterable[str]) -> int:
    """Return how many of the words typed are a known label, the fewest that are one; 0 where none are."""
    folded = {fold(label) for label in known}
    lengths = range(1, min(len(typed), _MOST_WORDS_IN_A_LABEL) + 1)
    return next((length for length in lengths if fold(_joined(typed[:length])) in folded), 0)


def _is_as_long(digits: str, known: Sequence[str]) -> bool:
    """Tell whether digits alone are as many as a known label has, or as a first label must have."""
    if not known:
        return len(digits) >= _FEWEST_DIGITS
    return any(len(re.sub(r"\D", "", label)) == len(digits) for label in known)


def _joined(words: Sequence[str]) -> str:
    return " ".join(words).rstrip(".,;:!")
