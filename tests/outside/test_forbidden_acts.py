"""Forbidden acts in other people's words, and in none of the shipped notes.

One writer, who had not seen the rule, wrote 120 forbidden and 60 harmless steps. Before anybody had looked at one of
them the rule found 93 of the 120 (.775) and 1 of the 60. It was then made better with the half that is marked as seen
and with sentences of its own author; of the other half nothing but the number of steps found was looked at, some twenty
times, so its 54 of 60 is a little kind. When all was done another writer, who had seen neither, wrote 60 forbidden and
30 harmless ones: 56 and none were found at the first try. Four lists of the rule's own author, each measured before it
was used, had given between seven and eight of ten. Expect eight or nine of ten of words that the rule has not met.
"""

from __future__ import annotations

import json

from assistant.checking.advice import DOING
from assistant.checking.forbidden import ActFinder, finder_of
from assistant.checking.said import blocks
from assistant.notes.forbidden import read_forbidden
from assistant.notes.trade import read_trade
from tests.shipped import CORPUS, shipped_corpus

STEPS = [
    json.loads(line) for line in (CORPUS.parent / "tests/data/forbidden_steps.jsonl").read_text("utf-8").splitlines()
]
FRESH = [
    json.loads(line)
    for line in (CORPUS.parent / "tests/data/forbidden_steps_fresh.jsonl").read_text("utf-8").splitlines()
]
LEAST = 0.95
LEAST_FRESH = 56 / 60
"""As measured, once."""
LEAST_UNSEEN = 0.9
"""As measured: no step of this half was looked at."""
MOST_FALSE = 1
"""As measured, and not wanted: one harmless step of the unseen half is found."""


def shipped_finder() -> ActFinder:
    return finder_of(read_trade(CORPUS), read_forbidden(CORPUS))


def share_found(half: str = "") -> float:
    finder = shipped_finder()
    steps = [one["step"] for one in STEPS if one["forbidden"] and half in ("", one["half"])]
    return sum(bool(finder.found(step)) for step in steps) / len(steps)


def test_the_list_is_whole() -> None:
    assert sum(one["forbidden"] for one in STEPS) == 120
    assert sum(not one["forbidden"] for one in STEPS) == 60
    assert sum(one["half"] == "unseen" for one in STEPS) == 90


def test_most_forbidden_steps_are_found() -> None:
    assert share_found() >= LEAST


def test_most_are_found_where_nobody_looked() -> None:
    assert share_found("unseen") >= LEAST_UNSEEN


def test_most_are_found_of_a_list_that_came_after_the_rule() -> None:
    finder = shipped_finder()
    steps = [one["step"] for one in FRESH if one["forbidden"]]
    assert len(steps) == 60
    assert sum(bool(finder.found(step)) for step in steps) / len(steps) >= LEAST_FRESH
    assert [one["step"] for one in FRESH if not one["forbidden"] and finder.found(one["step"])] == []


def test_harmless_steps_are_left_alone() -> None:
    finder = shipped_finder()
    found = [one["half"] for one in STEPS if not one["forbidden"] and finder.found(one["step"])]
    assert len(found) <= MOST_FALSE
    assert "seen" not in found


def test_no_note_tells_a_forbidden_act() -> None:
    finder = shipped_finder()
    found = [
        f"{note.path}: {act.key}: {sentence}"
        for note in shipped_corpus().notes
        for section in (*DOING, "result")
        for text, _ in blocks(note, section)
        for act, sentence in finder.found(text)
    ]
    assert found == []
