"""Asset labels and codes of shops: found however they are spelt, unknown ones told from known ones."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from assistant.analysis.spelling import distance
from assistant.analysis.tokens import clean
from assistant.errors import UsageError
from assistant.languages import said, said_of

__all__ = [
    "MOST_IN_A_LABEL",
    "MOST_NEAR",
    "Found",
    "ends_so",
    "find_station",
    "find_store",
    "fold",
    "mistaken_for",
    "shown_few",
]

MOST_IN_A_LABEL = 40
MOST_NEAR = 3
_SLIPS = 2
_FEWEST_DIGITS = 3
"""Labels of fewer digits are one character apart by nature, and so no slips of each other."""
_A_LABEL = "A-0101"
_MINUS = "\N{MINUS SIGN}"
_VERBS = frozenset({"assistant", "visit", "open", "shop", "store"})
_BETWEEN = re.compile(r"[\s_.-]+")
_TYPED = re.compile(r"([^\W\d]*)(-?)(\d.*)")


class Found(NamedTuple):
    """A label as it is known here, or, where ``known`` is False, as it would be kept, with the known ones ``near``."""

    label: str
    known: bool = False
    near: tuple[str, ...] = ()


def fold(text: str) -> str:
    """Return what two spellings of one label have in common.

    >>> fold("a 01\N{EN DASH}01") == fold("A-0101") == "A0101"
    True
    """
    return "".join(c for c in clean(text).upper() if c not in " _." and not _is_dash(c))


def find_station(text: str, known: Sequence[str], stores: Iterable[str] = ()) -> Found:
    """Return the station of a typed asset label.

    Digits alone are enough where one known label alone ends so.

    Parameters
    ----------
    known
        The labels of the shop.
    stores
        Codes of shops, which are no labels.

    Raises
    ------
    UsageError
        If the text is no label: it has no digit, is too long, holds a sentence, or is the code of a shop.
    """
    found = _known(text, known)
    if found:
        return Found(found, True)
    shop = _known(text, tuple(stores), whole=True)
    if shop:
        raise UsageError(said("{shop} is a shop, not a station: {remedy}", shop=shop, remedy=_type_a_label(known)))
    return _unknown(text, known, _type_a_label(known))


def find_store(text: str, known: Sequence[str]) -> Found:
    """Return the shop of a typed code; a command typed before it is left out.

    Raises
    ------
    UsageError
        If the text is no code: it has no digit, is too long, or holds a sentence.
    """
    words = clean(text).split()
    while words and words[0].lower() in _VERBS:
        words = words[1:]
    code = " ".join(words) or clean(text)
    found = _known(code, known)
    return Found(found, True) if found else _unknown(code, known, _type_a_code(known))


def ends_so(digits: str, known: Iterable[str]) -> tuple[str, ...]:
    """Return the known labels whose number is, or from two digits on ends in, some digits.

    >>> ends_so("101", ["A-0101", "A-0102", "A-7"])
    ('A-0101',)
    """
    found = []
    for label in known:
        number = re.search(r"\d*\Z", fold(label))
        tail = number[0] if number else ""
        if tail and (tail == digits or (len(digits) > 1 and tail.endswith(digits))):
            found.append(label)
    return tuple(found)


def mistaken_for(label: str, known: Iterable[str]) -> tuple[str, ...]:
    """Return the known labels that an unknown one is likely to be a slip of, though all are new in their shop.

    These are the same but for leading zeros, or one character or one swap away. Another digit in its place alone is no
    slip, as labels that follow each other differ so.

    >>> mistaken_for("A-101", ["A-0101"]), mistaken_for("A-1044", ["A-0144"]), mistaken_for("A-0102", ["A-0101"])
    (('A-0101',), ('A-0144',), ())
    """
    return tuple(one for one in known if _mistaken(fold(label), fold(one)))[:MOST_NEAR]


def _mistaken(typed: str, known: str) -> bool:
    bare, other = (re.sub(r"(?<!\d)0+(?=\d)", "", one) for one in (typed, known))
    if typed == known or bare == other:
        return typed != known
    if min(sum(c.isdecimal() for c in one) for one in (typed, known)) < _FEWEST_DIGITS:
        return False
    if len(typed) != len(known):
        return distance(bare, other, 1) <= 1 or distance(typed, known, 1) <= 1
    follows = [a.isdecimal() and b.isdecimal() for a, b in zip(typed, known, strict=True) if a != b] == [True]
    return not follows and distance(typed, known, 1) <= 1


def shown_few(labels: Sequence[str]) -> str:
    """Return some labels in words, the first `MOST_NEAR` of them by name.

    >>> shown_few(["A-1", "A-2", "A-3", "A-4", "A-5"])
    'A-1, A-2, A-3 and 2 more'
    """
    few, more = ", ".join(labels[:MOST_NEAR]), len(labels) - MOST_NEAR
    return said_of("{few} and {n} more", "{few} and {n} more", more, few=few) if more > 0 else few


def _known(text: str, known: Sequence[str], *, whole: bool = False) -> str:
    """Return the known label that a text means, empty where it means none; ``whole`` takes no digits alone for one."""
    typed, folded = clean(text).upper(), fold(text)
    same = [label for label in known if fold(label) == folded]
    if same:
        return typed if typed in same else same[0]
    ends = ends_so(folded, known) if folded.isdecimal() and not whole else ()
    return ends[0] if len(ends) == 1 else ""


def _unknown(text: str, known: Sequence[str], remedy: str) -> Found:
    typed = clean(text).upper()
    shown = typed[:MOST_IN_A_LABEL]
    if not typed:
        raise UsageError(said("nothing was typed: {remedy}", remedy=remedy))
    if len(typed) > MOST_IN_A_LABEL:
        raise UsageError(
            said("'{typed}...' is longer than {n} characters: {remedy}", typed=shown, n=MOST_IN_A_LABEL, remedy=remedy)
        )
    if not any(c.isdecimal() for c in typed):
        raise UsageError(
            said("'{typed}' has no digit, as every label and code has: {remedy}", typed=clean(text), remedy=remedy)
        )
    dashed = _BETWEEN.sub("-", "".join("-" if _is_dash(c) else c for c in typed)).strip("-")
    words = [word for word in typed.split() if re.fullmatch(r"\W*[^\W\d_]{2,}\W*", word)]
    if len(words) > 1 or not all(c.isalnum() or c == "-" for c in dashed):
        raise UsageError(said("'{typed}' is more than a label or a code: {remedy}", typed=clean(text), remedy=remedy))
    label = _as_the_known(dashed, known)
    return Found(label, False, ends_so(fold(label), known)[:MOST_NEAR] or _near(label, known))


def _as_the_known(label: str, known: Sequence[str]) -> str:
    """Return a label written as the known ones are: with their letters before bare digits, and what they have after."""
    parts = [parted for one in known if (parted := _TYPED.fullmatch(one))]
    typed = _TYPED.fullmatch(label)
    if not parts or not typed:
        return label
    starts = {(parted[1] + parted[2], len(parted[3])) for parted in parts}
    if not typed[1] and len(starts) == 1:
        start, length = next(iter(starts))
        return start + label if len(label) == length else label
    lettered = Counter(parted[2] for parted in parts if parted[1])
    if not typed[1] or not lettered:
        return label
    return f"{typed[1]}{lettered.most_common(1)[0][0]}{typed[3]}"


def _near(label: str, known: Iterable[str]) -> tuple[str, ...]:
    """Return the known labels that are the fewest slips of the finger away."""
    folded = fold(label)
    most = min(_SLIPS, len(folded) // 2)
    away = {one: distance(folded, fold(one), most) for one in known}
    least = min(away.values(), default=most + 1)
    return tuple(one for one, slips in away.items() if slips == least <= most)[:MOST_NEAR]


def _is_dash(character: str) -> bool:
    return character == _MINUS or unicodedata.category(character) == "Pd"


def _type_a_label(known: Sequence[str]) -> str:
    return said("type the asset label of the station, such as {labels}", labels=shown_few(known or [_A_LABEL]))


def _type_a_code(known: Sequence[str]) -> str:
    return said("type the code of the shop, such as {labels}", labels=shown_few(known or [_A_LABEL]))
