"""Made-up notes in any number, for measuring cost as they grow: random words in plain frames, no good for quality.

Each note has forty lines of its own: title, id, condition, phrases with pairs, and example questions. Trade, hazards,
forbidden acts, vocabulary and short turns are those of the shipped notes. The same count and seed give the same files.
Run it from the repository: ``python eval/bench/growing.py FOLDER COUNT``.
"""

from __future__ import annotations

import argparse
import json
import shutil
from collections.abc import Callable, Iterator
from itertools import accumulate, count
from pathlib import Path
from random import Random

__all__ = ["write_notes"]

SHIPPED = Path(__file__).parents[2] / "corpus"
AREAS = (
    "cab",
    "console",
    "disc",
    "game",
    "hand",
    "net",
    "pad",
    "pc",
    "phones",
    "power",
    "screen",
    "sound",
    "tab",
    "vr",
)
SHARED = ("trade.yaml", "hazards.yaml", "forbidden.yaml", "followups.txt", "vocabulary.yaml")
ALARM = "safety-alarm"
WORDS = 30_000
"""Made-up words in all; how often each comes falls with its rank, as in real text."""
THINGS, TROUBLES, PLAIN, QUESTIONS = 3, 4, 14, 10
TROUBLE_FRAMES = ("{b}", "is {b}", "keeps {b}", "went {b} again", "{b} and {w}")
PLAIN_FRAMES = (
    "{a} {b}",
    "{b} {a}",
    "{a} {c} {b}",
    "{a} {b} on the {c}",
    "{a} wont {c}",
    "{a} {b} after {w}",
    "{c} of the {a} is {b}",
    "how do i {w} the {a}",
    "no {c} on the {a}",
)
QUESTION_FRAMES = (
    "The {a} on the {c} is {b}. What do I do?",
    "somebody pushed the {a} and now it is {b}",
    "it was {b} this morning and the {w} next to it too, can i still use the {a}?",
    "Customer says the {c} {w} went {b} when she took the {a} out",
    "my {a} looks {b} at the {w} end, do i {w} it or leave it?",
    "Since the {w} came the {a} makes a {b} noise, and nobody knows which {c} belongs to it.",
)
UNCOVERED_FRAMES = ("when does the {w} {c} open", "who pays for the {w} at {c}", "how do i {w} my {c} at home")
NOTE = """---
id: {id}
title: {title}
station: [all]
action: {action}
minutes: {minutes}
tools: [microfibre cloth]
parts: []
see_also: [{other}]
revision: 1
reviewed: 2026-11-02
sources: [common practice]
---

## Condition

The {a} of the {c} is {b} and the {w0} does not answer.
It began after a {w1} or a {w2} that nobody wrote down.

## Cause

- A {w3} that sits beside the {a}.

## Steps

1. Look at the {a} and at the {c}.
   - If it is {b}: go to step 2.
   - If not: go to [another note](../{other_area}/{other}.md).
2. Wipe the {c} with the microfibre cloth until the {w4} is gone.
3. Turn the {w5} by hand and listen for a {w6} sound.
4. Press the {a} ten times.
   - If it answers each time: the work is done.
   - If not: go to [another note](../{other_area}/{other}.md).

## Result

The {a} answers at once and the {w7} stays dark.

## If it still fails

Hand it over: [another note](../{other_area}/{other}.md).
"""


def write_notes(folder: Path, count: int, seed: int = 0) -> None:
    """Write ``count`` notes (one at least) with all that belongs to them into a new folder."""
    drawing = _Drawing(seed)
    topics = {ALARM: drawing.words(3)}
    while len(topics) < count:
        words = drawing.words(3)
        topics.setdefault(f"{drawing.random.choice(AREAS)}-{words[0]}-{words[1]}", words)
    for area in {name.split("-")[0] for name in topics}:
        (folder / area).mkdir(parents=True)
    ids = list(topics)
    for name, topic in topics.items():
        for ending, text in _files(name, topic, drawing.random.choice(ids), drawing):
            (folder / name.split("-")[0] / f"{name}{ending}").write_text(text, "utf-8")
    for shared in SHARED:
        shutil.copy(SHIPPED / shared, folder)
    uncovered = (drawing.filled(UNCOVERED_FRAMES, drawing.words(3)) for _ in range(20 + count // 4))
    (folder / "uncovered.txt").write_text("".join(f"{line}\n" for line in uncovered), "utf-8")
    (folder / "danger.txt").write_text(f"{ALARM}: it burns\n{ALARM}: there is a fire\n", "utf-8")
    (folder / "alarm.yaml").write_text(f'emergency: "Call first."\n{ALARM}:\n  words: ["fire"]\n  not: []\n', "utf-8")


class _Drawing:
    """Words and sentences, drawn in an order that hangs on the seed alone."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)  # noqa: S311
        made = dict.fromkeys(self._word() for _ in range(2 * WORDS))
        self._known = list(made)[:WORDS]
        self._reach = list(accumulate(1 / (rank + 20) for rank in range(len(self._known))))

    def _word(self) -> str:
        letters = self.random.choice
        syllables = (
            letters("bcdfghjklmnprstvwz") + letters("aeiou") + letters("lnrst")[: self.random.randrange(2)]
            for _ in range(self.random.choice((2, 2, 3, 3, 4)))
        )
        return "".join(syllables) + letters("dgkmpx")

    def words(self, number: int) -> list[str]:
        """Return words, common ones more often; one may stand twice."""
        return self.random.choices(self._known, cum_weights=self._reach, k=number)

    def filled(self, frames: tuple[str, ...], topic: list[str]) -> str:
        """Return one of the frames with the words of a topic and others."""
        a, b, c = topic
        return self.random.choice(frames).format(a=a, b=b, c=c, w=self.words(1)[0])


def _files(id: str, topic: list[str], other: str, drawing: _Drawing) -> Iterator[tuple[str, str]]:
    """Yield ending and text of each file of a note."""
    a, b, c = topic
    others = {f"w{n}": word for n, word in enumerate(drawing.words(8))}
    yield (
        ".md",
        NOTE.format(
            id=id,
            title=f"{a.capitalize()} of the {c} is {b}",
            action=drawing.random.choice(("clean", "adjust", "replace", "escalate")),
            minutes=drawing.random.randrange(3, 30),
            other=other,
            other_area=other.split("-")[0],
            **{"a": a, "b": b, "c": c, **others},
        ),
    )
    things = _apart(THINGS, lambda: f"{a} {drawing.words(1)[0]}")
    troubles = _apart(TROUBLES, lambda: drawing.filled(TROUBLE_FRAMES, topic))
    plain = _apart(PLAIN, lambda: drawing.filled(PLAIN_FRAMES, topic))
    phrases = {"things": things, "troubles": troubles, "plain": plain}
    yield ".phrases.yaml", "".join(f"{name}: {json.dumps(lines)}\n" for name, lines in phrases.items())
    questions = _apart(QUESTIONS, lambda: drawing.filled(QUESTION_FRAMES, topic))
    yield ".questions.txt", "".join(f"{line}\n" for line in questions)


def _apart(number: int, draw: Callable[[], str]) -> list[str]:
    """Return texts of which none is another; the number tells one that cannot be drawn otherwise."""
    found: dict[str, None] = {}
    for tries in count():
        if len(found) == number:
            return list(found)
        text = draw()
        found.setdefault(text if tries < 20 * number else f"{text} {tries}")
    return []


def main() -> None:
    """Write a folder of notes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("count", type=int)
    options = parser.parse_args()
    write_notes(options.folder, options.count)


if __name__ == "__main__":
    main()
