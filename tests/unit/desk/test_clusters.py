"""Grouping of rows: the same groups as the library makes of a table of all pairs, without such a table."""

from __future__ import annotations

import random
import tracemalloc

import numpy as np
import pytest
from sklearn.cluster import AgglomerativeClustering

from assistant.analysis.tokens import tokenize
from assistant.desk.clusters import LEAST_ALIKE, clusters
from assistant.desk.meaning import Rows, rows_of, rows_of_terms
from assistant.pack.reader import Pack

THINGS = [
    "card reader",
    "stick cap",
    "pad lamp",
    "display",
    "lead of the pad",
    "stool foot",
    "light strip",
    "kiosk door",
]
TROUBLES = [
    "is dead",
    "came off",
    "stays dark",
    "flickers red",
    "is loose",
    "will not take a card",
    "smells",
    "is stuck",
]
MORE = ["", "since today", "again", "help", "at the back", "after the storm", "all day long", "near the door"]
NOTES = 12


def questions(many: int) -> list[str]:
    draw = random.Random(7)
    made: set[str] = set()
    while len(made) < many:
        text = f"{draw.choice(THINGS)} {draw.choice(TROUBLES)} {draw.choice(MORE)} {draw.randrange(many)}"
        place = draw.randrange(len(text))
        made.add(text if draw.random() < 0.7 else text[:place] + text[place + 1 :])
    return sorted(made)


def rows(texts: list[str]) -> Rows:
    """Return rows of the words of texts, with notes drawn by their first word."""
    notes = np.zeros((len(texts), NOTES), dtype=np.float32)
    for row, text in zip(notes, texts, strict=True):
        draw = random.Random(text.split()[0])
        row[draw.randrange(NOTES)], row[draw.randrange(NOTES)] = 0.6, 0.8
    return rows_of_terms([tokenize(text) for text in texts], notes / np.linalg.norm(notes, axis=1, keepdims=True))


def as_library(held: Rows) -> set[frozenset[int]]:
    far = np.clip(1 - held.times(held).astype(float), 0, None)
    found = AgglomerativeClustering(
        n_clusters=None, metric="precomputed", linkage="average", distance_threshold=1 - LEAST_ALIKE
    ).fit_predict(far)
    return {frozenset(np.flatnonzero(found == label).tolist()) for label in set(found.tolist())}


@pytest.mark.parametrize("many", [2, 9, 60, 400])
def test_the_groups_are_those_of_average_linkage(many: int) -> None:
    held = rows(questions(many))
    found = list(clusters(held))
    assert {frozenset(members) for members in found} == as_library(held)
    assert sorted(place for members in found for place in members) == list(range(many))


def test_every_row_has_length_one_with_or_without_notes(mini_pack: Pack) -> None:
    texts = ["stick cap torn", "zzz qqq", "", "display shows no signal and the lamp is out"]
    held = rows_of(texts, mini_pack)
    assert np.allclose(np.diagonal(held.times(held)), 1, atol=1e-5)
    assert held.times(held)[0, 1] == 0


def test_notes_bring_together_what_shares_no_term() -> None:
    near = np.array([[1, 0], [1, 0], [0, 1]], dtype=np.float32)
    held = rows_of_terms([["knob"], ["stick"], ["lamp"]], near)
    assert [sorted(members) for members in clusters(held)] == [[2], [0, 1]]


def test_the_first_is_the_one_nearest_to_the_others() -> None:
    texts = ["pad lamp dark", "pad lamp dark dark again", "lamp pad dark"]
    ((first, *rest),) = clusters(rows_of_terms([tokenize(text) for text in texts], np.zeros((3, 0), dtype=np.float32)))
    assert first == 0
    assert len(rest) == 2


@pytest.mark.parametrize("texts", [[""], [" "], ["", " ", "\u200b"], ["?", "!"], ["a"], ["a", "a "]])
def test_texts_without_a_word_are_no_error(mini_pack: Pack, texts: list[str]) -> None:
    found = list(clusters(rows_of(texts, mini_pack)))
    assert sorted(place for members in found for place in members) == list(range(len(texts)))


def test_memory_grows_with_the_texts_and_not_with_their_pairs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.desk.clusters._CELLS", 20_000)
    peaks = []
    list(clusters(rows(questions(20))))
    for many in (400, 1600):
        held = rows(questions(many))
        tracemalloc.start()
        list(clusters(held))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 8 * peaks[0]
