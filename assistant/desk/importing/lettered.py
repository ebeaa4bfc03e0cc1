"""Sub-items that were lettered by hand: a. b. c., each at the beginning of a line."""

from __future__ import annotations

import re
from itertools import pairwise

__all__ = ["letter_of", "lettered_lines"]

_LETTERED = re.compile(r"\A\s*([a-z])[.)]\s+(?=\S)")
_FEWEST = 2


def letter_of(text: str) -> tuple[int, str]:
    """Return the place of the letter before a text, from 1, and the text behind it; 0 and the text where none is.

    >>> letter_of("b) Wait."), letter_of("Wait.")
    ((2, 'Wait.'), (0, 'Wait.'))
    """
    found = _LETTERED.match(text)
    return (ord(found[1]) - ord("a") + 1, text[found.end() :]) if found else (0, text)


def lettered_lines(text: str) -> list[tuple[int, str]]:
    r"""Return a paragraph in parts, each with how many lines below the first it begins: cut before a, b, c in a row.

    A paragraph with no such row of two is one part.

    >>> lettered_lines("Dry it:\na. outside\nb. inside")
    [(0, 'Dry it:'), (1, 'a. outside'), (2, 'b. inside')]
    """
    lines = text.split("\n")
    cuts: list[int] = []
    for number, line in enumerate(lines):
        if letter_of(line)[0] == len(cuts) + 1:
            cuts.append(number)
    if len(cuts) < _FEWEST:
        return [(0, text)]
    ends = [*cuts, len(lines)]
    parts = [(start, "\n".join(lines[start:end])) for start, end in pairwise(ends)]
    return [(0, "\n".join(lines[: cuts[0]])), *parts] if cuts[0] else parts
