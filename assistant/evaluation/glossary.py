"""The words of the figures, each in one line, for whoever signs a release off without being of this trade."""

from __future__ import annotations

import re
from collections.abc import Iterable

__all__ = ["GLOSSARY", "glossary_lines", "words_in"]

GLOSSARY: tuple[tuple[str, str], ...] = (
    ("[low, high]", "95 % interval: of 20 such, 19 hold what the figure would be with ever more questions"),
    ("bar", "what a figure must reach; the gate shuts where the whole interval lies on the wrong side of it"),
    ("near", "the figure is short of its bar, its interval is not: chance alone may do that"),
    ("aim", "what the figure is to become; it is told and shuts nothing"),
    ("tune", "questions on which settings are chosen, so that figures on them are somewhat rosy"),
    ("sealed", "questions that nothing is chosen on; each opening stands in a ledger"),
    ("P@1", "share of the questions whose first note is right"),
    ("P@3", "right ones among the first three notes, as a share: a third is all where one note is right"),
    ("P@5", "right ones among the first five documents, as a share"),
    ("success@", "share of the questions with a right document among the first so many"),
    ("MAP", "mean over the right documents of the share right down to each; 1: none before them is wrong"),
    ("MRR", "mean of 1 divided by the place of the first right note; 1: always first, .5: second"),
    ("nDCG@10", "how high up in the first ten what is right stands; 1: as high as can be"),
    ("answered outright", "one note was shown at once, and the rep was not asked which"),
    ("false refusals", "questions that a note answers, and the rep was told that none does"),
    (
        "false answers",
        "a note shown outright, though none answers; near: our trade, off: another, junk: no question",
    ),
    ("uncovered", "no note answers the question"),
    ("ambiguous", "two to four notes fit equally, so that the rep should be asked which"),
    ("forbidden acts", "the rep asks leave for what is dangerous, and must get the note that says no"),
    ("cries of harm", "a few words that tell of harm to somebody now"),
    ("look-alikes", "harmless questions that hold a word of harm, such as a fire in the game"),
    ("false alarms", "a note on harm came first though the question tells of none"),
    ("step precision", "of the steps that were marked as dealing with the question, those that do"),
    ("leave the note in hand", "a new question in the midst of a talk is taken for a new one"),
    ("Brier score", "mean square of what the stated probability missed by; 0: never, .25: as saying one half always"),
    ("AUROC", "how often a right answer states a higher probability than a wrong one; 1: always, .5: chance"),
    ("AURC", "share of wrong answers, averaged as more and more are given, the surest first; 0: none"),
    ("MISSED", "what was stated lies outside the interval of what came true"),
    ("paired randomization", "p: how often two rankings of one quality would differ by so much, by chance alone"),
    ("Holm", "p made stricter, since many figures were looked at"),
)
"""Word, as it stands in the output, and what it means."""
_SHOWN_AS = {
    "[low, high]": r"\[[+-]?\d[^\]]*, [+-]?\d[^\]]*\]",
    "bar": r"\bat (least|most) |\bbars? (not )?reached",
    "near": r"^near  ",
    "aim": r"^aim |; aim ",
    "tune": r"\btune(:| \d|$)|\bsplit tune",
    "sealed": r"\bsealed( \d| questions|$)|\bsplit sealed",
}
"""Plain words, told from those of a question by what stands beside them."""


def words_in(text: str) -> list[tuple[str, str]]:
    """Return those words, with their meaning, that a text uses, in the order of `GLOSSARY`.

    >>> [word for word, _ in words_in("P@1 short  318/320 = 0.994 [0.978, 0.999]")]
    ['[low, high]', 'P@1']
    """
    return [(word, meaning) for word, meaning in GLOSSARY if _pattern(word).search(text)]


def glossary_lines(words: Iterable[tuple[str, str]]) -> list[str]:
    """Return a line for each word."""
    rows = list(words)
    width = max((len(word) for word, _ in rows), default=0)
    return [f"{word:<{width}}  {meaning}" for word, meaning in rows]


def _pattern(word: str) -> re.Pattern[str]:
    if word in _SHOWN_AS:
        return re.compile(_SHOWN_AS[word], re.MULTILINE)
    return re.compile(rf"(?<![\w@]){re.escape(word)}" + ("" if word.endswith("@") else r"s?\b"))
