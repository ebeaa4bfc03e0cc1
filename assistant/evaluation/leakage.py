"""Checks that the labelled questions are fair: nothing in the corpus was copied from them or they from it."""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from sklearn.feature_extraction.text import CountVectorizer

from assistant.analysis.tokens import tokenize
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion
from assistant.evaluation.statistics import Share
from assistant.model import Corpus
from assistant.ranking.chunks import note_sections
from assistant.wording import counted

__all__ = ["Finding", "check_leakage", "jaccard", "near_duplicates"]

NEAR_DUPLICATE = 0.6
"""From this Jaccard similarity of character trigrams on, two questions are the same question."""
LONGEST_SHARED = 4
"""Words in a row that a question may share with its note's text before it counts as copied."""
_TOLD_AT_LENGTH = ("everyday", "long")
"""Manners in which two people do not by themselves type the same words; a fragment or a headword comes to anybody."""
_TRIGRAM = 3
_BLOCK = 200
"""Questions that are held against all others at a time."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One result: its name, whether it is fair, and the figure behind it."""

    name: str
    fair: bool
    detail: str
    examples: tuple[str, ...] = ()


def jaccard(left: str, right: str) -> float:
    """Return the Jaccard similarity of the character trigrams of two texts."""
    a, b = _trigrams(left), _trigrams(right)
    return len(a & b) / len(a | b) if a | b else 1.0


def check_leakage(
    corpus: Corpus, questions: Sequence[LabelledQuestion], first: Sequence[str], seed: int = 1
) -> list[Finding]:
    """Run all checks.

    Parameters
    ----------
    first
        For each question the id that the ranking puts first; for the check with shuffled labels.
    """
    return [
        _near_duplicates_of_examples(corpus, questions),
        _copied_runs(corpus, questions),
        _shuffled(questions, first, seed),
    ]


def _near_duplicates_of_examples(corpus: Corpus, questions: Sequence[LabelledQuestion]) -> Finding:
    examples = [*(e.question for note in corpus.notes for e in note.examples), *corpus.uncovered]
    examples += [question for _, question in (*corpus.dangers, *corpus.ambiguous)]
    judged = [q for q in questions if q.manner in _TOLD_AT_LENGTH]
    found = near_duplicates([q.question for q in judged], examples)
    pairs = [f"{judged[i].id} {judged[i].question} ~ {examples[j]}" for i, j in found]
    return Finding(
        "no labelled question, told at some length, is a near-duplicate of an example question",
        not pairs,
        counted(len(pairs), "pair"),
        tuple(pairs),
    )


def near_duplicates(left: Sequence[str], right: Sequence[str]) -> list[tuple[int, int]]:
    """Return the places of all pairs, one text of each side, that are the same question but for a few letters."""
    if not left or not right:
        return []
    vectorizer = CountVectorizer(analyzer=_trigrams, binary=True, dtype=np.int32)
    matrix = vectorizer.fit_transform([*left, *right])
    sizes = matrix.sum(axis=1).A1
    own, other = matrix[: len(left)], matrix[len(left) :].T.tocsc()
    pairs: list[tuple[int, int]] = []
    for start in range(0, len(left), _BLOCK):
        shared = (own[start : start + _BLOCK] @ other).tocoo()
        rows, columns = shared.row + start, shared.col
        same = shared.data > NEAR_DUPLICATE * (sizes[rows] + sizes[len(left) + columns] - shared.data)
        pairs += zip(rows[same].tolist(), columns[same].tolist(), strict=True)
    return sorted(pairs)


def _trigrams(text: str) -> frozenset[str]:
    padded = f"  {' '.join(re.findall(r'[a-z0-9]+', text.lower()))} "
    return frozenset(padded[i : i + _TRIGRAM] for i in range(len(padded) - _TRIGRAM + 1))


def _copied_runs(corpus: Corpus, questions: Sequence[LabelledQuestion]) -> Finding:
    texts = {note.id: _runs(" \n ".join((note.title, *note_sections(note).values()))) for note in corpus.notes}
    longer = []
    judged = [q for q in questions if q.manner in _TOLD_AT_LENGTH and q.notes[0] in texts]
    for q in judged:
        shared = _runs(q.question) & texts[q.notes[0]]
        if shared:
            longer.append(f"{q.id}: {min(shared)}")
    share = Share(len(longer), len(judged))
    return Finding(
        f"few questions share {LONGEST_SHARED} words in a row with their note",
        share.value <= 0.1,
        str(share),
        tuple(longer),
    )


def _runs(text: str) -> frozenset[str]:
    words = tokenize(text)
    return frozenset(" ".join(words[i : i + LONGEST_SHARED]) for i in range(len(words) - LONGEST_SHARED + 1))


def _shuffled(questions: Sequence[LabelledQuestion], first: Sequence[str], seed: int) -> Finding:
    judged = [(q.notes, came) for q, came in zip(questions, first, strict=True) if q.manner in ANSWERABLE]
    labels = [notes for notes, _ in judged]
    random.Random(seed).shuffle(labels)  # noqa: S311
    share = Share(_hits(zip(labels, (came for _, came in judged), strict=True)), len(judged))
    chance = 1 / max(1, len({note for notes in labels for note in notes}))
    low, high = share.interval(0.999)
    return Finding("shuffled labels score chance", low <= chance <= high, f"{share}, chance {chance:.3f}")


def _hits(pairs: Iterable[tuple[Sequence[str], str]]) -> int:
    return sum(came in notes for notes, came in pairs)
