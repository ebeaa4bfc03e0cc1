"""Repair of unknown words against the corpus's own words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from assistant.languages import Language, language_of

__all__ = [
    "SpellingIndex",
    "deletion_keys",
    "deletions",
    "distance",
    "is_repairable",
    "repairs",
    "slips_allowed",
    "splits",
]

LONG_WORD = 7
SHORTEST_REPAIRED = 4
LONGEST_REPAIRED = 30
"""What two deleted letters leave grows with the square of the length: four thousand letters would fill the memory."""
SHORTEST_KNOWN = 3
SHORTEST_PART = 3
MOST_REPAIRS = 3


def slips_allowed(word: str) -> int:
    """Return how many slips of the finger are repaired: 2 from 7 letters, 1 from 4, none in codes and endless words."""
    if not SHORTEST_REPAIRED <= len(word) <= LONGEST_REPAIRED or not word.isalpha():
        return 0
    return 2 if len(word) >= LONG_WORD else 1


def distance(left: str, right: str, limit: int) -> int:
    """Return the optimal string alignment distance, or ``limit + 1`` when it is larger.

    Counts insertions, deletions, substitutions and swaps of neighbours, none of them inside another.

    Source
    ------
    Navarro, A guided tour to approximate string matching, ACM Computing Surveys 33(1), 2001 (from memory).
    """
    if abs(len(left) - len(right)) > limit:
        return limit + 1
    before: list[int] = []
    row = list(range(len(right) + 1))
    for i, a in enumerate(left, start=1):
        previous, row = row, [i]
        for j, b in enumerate(right, start=1):
            cost = min(previous[j] + 1, row[j - 1] + 1, previous[j - 1] + (a != b))
            if i > 1 and j > 1 and a == right[j - 2] and left[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        if min(row) > limit:
            return limit + 1
        before = previous
    return min(row[-1], limit + 1)


def repairs(word: str, candidates: Iterable[tuple[str, int]], language: Language | None = None) -> list[str]:
    """Return up to three known words that ``word`` may mean, likeliest first.

    Parameters
    ----------
    word
        A form that the corpus does not hold.
    candidates
        (known word, how often it stands in the corpus). The nearest come first; of these those made of the same letters
        or with a letter missing, then those with the same first letter, then the most frequent, then by alphabet.
        Words at two slips count only where no word is at one.
    language
        A word that begins with one of its negations is never taken for the same word without it, nor the other way
        round. English where it is left out.
    """
    limit = slips_allowed(word)
    if not limit:
        return []
    negations = (language or language_of()).negations
    found = sorted(
        (d, _unlikely(word, known), known[0] != word[0], -count, known)
        for known, count in candidates
        if is_repairable(known)
        and not _negates(word, known, negations)
        and (d := distance(word, known, limit)) <= limit
    )
    return [entry[-1] for entry in found if entry[0] == found[0][0]][:MOST_REPAIRS]


def is_repairable(known: str) -> bool:
    """Tell whether a known word is one that slips are repaired to: letters, not too few and not too many."""
    return SHORTEST_KNOWN <= len(known) <= LONGEST_REPAIRED and known.isalpha()


def _negates(left: str, right: str, negations: Sequence[str]) -> bool:
    return any(left == f"{prefix}{right}" or right == f"{prefix}{left}" for prefix in negations)


def _unlikely(typed: str, meant: str) -> bool:
    """Tell a slip that replaces letters from the likelier ones: swapped, missed or doubled letters."""
    return len(typed) == len(meant) and sorted(typed) != sorted(meant)


def splits(word: str, joints: Sequence[str] = ("",)) -> list[tuple[str, str]]:
    """Return the ways to cut a word in two parts of three letters or more, the longest first part first.

    An endless word is not cut.

    Parameters
    ----------
    joints
        What may stand between the parts and belongs to neither; what stands first here is tried first.
    """
    if len(word) > LONGEST_REPAIRED:
        return []
    return [
        (word[: at - len(joint)], word[at:])
        for at in range(len(word) - SHORTEST_PART, SHORTEST_PART - 1, -1)
        for joint in joints
        if at - len(joint) >= SHORTEST_PART and word[:at].endswith(joint)
    ]


def deletion_keys(form: str) -> set[str]:
    """Return the keys under which a known word is found: what up to two deleted letters leave, one in short words."""
    return deletions(form, 2 if len(form) >= LONG_WORD - 2 else 1)


def deletions(word: str, depth: int) -> set[str]:
    """Return a word and all that up to ``depth`` deleted letters leave of it.

    Two words at ``depth`` slips from one another have one of these in common.

    Source
    ------
    Mor and Fraenkel, A hash code method for detecting and correcting spelling errors, CACM 25(12), 1982 (from memory).
    """
    keys = {word}
    frontier = {word}
    for _ in range(depth):
        frontier = {w[:i] + w[i + 1 :] for w in frontier for i in range(len(w))}
        keys |= frontier
    return keys


class SpellingIndex:
    """Candidates in memory, found by the words that one or two deleted letters leave."""

    def __init__(self, counts: Mapping[str, int], language: Language | None = None) -> None:
        self._counts = counts
        self._language = language
        self._by_key: dict[str, list[str]] = {}
        for form in sorted(counts):
            if is_repairable(form):
                for key in deletion_keys(form):
                    self._by_key.setdefault(key, []).append(form)

    def near(self, word: str) -> list[str]:
        """Return the repairs of ``word``, likeliest first."""
        found = {form for key in deletions(word, slips_allowed(word)) for form in self._by_key.get(key, ())}
        return repairs(word, [(form, self._counts[form]) for form in found], self._language)
