"""Grouping of texts: the same groups as the library makes of a table of all pairs, without such a table."""

from __future__ import annotations

import random
import tracemalloc

import numpy as np
import pytest
from sklearn.cluster import AgglomerativeClustering

from assistant.analysis.tokens import tokenize
from assistant.desk.clusters import _vectors, clusters

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


def questions(many: int) -> list[str]:
    draw = random.Random(7)
    made: set[str] = set()
    while len(made) < many:
        text = f"{draw.choice(THINGS)} {draw.choice(TROUBLES)} {draw.choice(MORE)} {draw.randrange(many)}"
        place = draw.randrange(len(text))
        made.add(text if draw.random() < 0.7 else text[:place] + text[place + 1 :])
    return sorted(made)


def as_library(texts: list[str]) -> set[frozenset[str]]:
    rows = _vectors(texts, tokenize)[0].toarray()
    found = AgglomerativeClustering(
        n_clusters=None, metric="precomputed", linkage="average", distance_threshold=0.8
    ).fit_predict(np.clip(1 - rows @ rows.T, 0, None))
    return {frozenset(np.array(texts)[found == label].tolist()) for label in set(found.tolist())}


@pytest.mark.parametrize("many", [2, 9, 60, 400])
def test_the_groups_are_those_of_average_linkage(many: int) -> None:
    texts = questions(many)
    found = list(clusters(texts, tokenize))
    assert {frozenset(members) for members in found} == as_library(texts)
    assert sorted(text for members in found for text in members) == texts


def test_the_first_is_the_one_nearest_to_the_others() -> None:
    ((first, *rest),) = clusters(["pad lamp dark", "pad lamp dark dark again", "lamp pad dark"], tokenize)
    assert first == "lamp pad dark"
    assert len(rest) == 2


@pytest.mark.parametrize("texts", [[], [""], [" "], ["", " ", "\u200b"], ["?", "!"], ["a"], ["a", "a "]])
def test_texts_without_a_word_are_no_error(texts: list[str]) -> None:
    assert sorted(text for members in clusters(texts, tokenize) for text in members) == sorted(texts)


def test_memory_grows_with_the_texts_and_not_with_their_pairs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.desk.clusters._CELLS", 20_000)
    peaks = []
    list(clusters(questions(20), tokenize))
    for many in (400, 1600):
        texts = questions(many)
        tracemalloc.start()
        list(clusters(texts, tokenize))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 8 * peaks[0]
