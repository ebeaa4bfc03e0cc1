"""What a misspelt word costs: the words of the notes that it may stand for, beside a scan of all words."""

from __future__ import annotations

import difflib
import random
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from assistant.analysis.tokens import tokenize
from assistant.pack.reader import Pack
from eval.bench.figures import Figure
from eval.bench.ground import Ground

__all__ = ["misspelt", "slips", "slips_of"]

OURS, PEER = "assistant, words near", "difflib over all words"
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_LONG = 5
_PEER_WORDS = 20
"""The peer takes long and much the same each time."""


def slips(ground: Ground) -> Iterator[Figure]:
    """Yield what a slip costs on the notes."""
    yield from slips_of(ground.pack, (text for _, text in ground.texts), ground.sizes.words, "notes", 0)


def slips_of(pack: Path, texts: Iterator[str], count: int, name: str, size: int) -> Iterator[Figure]:
    """Yield what a slip costs in a pack of these texts; each word is looked up once."""
    words = sorted({form for text in texts for form in tokenize(text) if form.isalpha()})
    with Pack(pack) as opened:
        asked = misspelt(words, count, opened.known)
        ours = [_milliseconds(opened.near, word) for word in asked]
    theirs = [_milliseconds(lambda word: difflib.get_close_matches(word, words), word) for word in asked[:_PEER_WORDS]]
    case = f"one misspelt word, {name}"
    yield Figure("slips", case, OURS, "CPU ms", tuple(ours), PEER, size)
    yield Figure("slips", case, PEER, "CPU ms", tuple(theirs), PEER, size)


def misspelt(words: Sequence[str], count: int, known: Callable[[str], bool]) -> list[str]:
    """Return up to ``count`` different words with one slip each that are not words themselves, the same each time."""
    drawn = random.Random(7)  # noqa: S311
    found: dict[str, None] = {}
    for word in drawn.choices([word for word in words if len(word) >= _LONG], k=20 * count):
        place = drawn.randrange(1, len(word) - 1)
        slip = drawn.choice(
            (
                word[:place] + word[place + 1 :],
                word[:place] + word[place + 1] + word[place] + word[place + 2 :],
                word[:place] + drawn.choice(_LETTERS) + word[place + 1 :],
            )
        )
        if len(found) < count and not known(slip):
            found[slip] = None
    return list(found)


def _milliseconds(work: Callable[[str], object], word: str) -> float:
    began = time.process_time()
    work(word)
    return 1000 * (time.process_time() - began)
