"""A trade of one's own, from nothing: five notes on beehives with ten phrases each, no labels; facts from memory."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from assistant.answering.assistant import Assistant
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.settings import default_settings
from assistant.model import Corpus, Note, Phrases, Step, Trade
from assistant.pack.reader import Pack

TITLES = {
    "hive-swarm": "Bees hang in a cluster outside the hive",
    "hive-queen": "Queen missing, no eggs in the comb",
    "hive-mites": "Mites on the bees or on the board",
    "hive-honey": "Take the honey frames off and spin them",
    "hive-winter": "Get the hive ready for winter",
}
THINGS = {
    "hive-swarm": ("bees", "swarm", "cluster of bees"),
    "hive-queen": ("queen", "queen bee"),
    "hive-mites": ("mites", "varroa"),
    "hive-honey": ("honey", "honey frames"),
    "hive-winter": ("hive",),
}
TROUBLES = {
    "hive-swarm": ("hang in a tree", "left the hive"),
    "hive-queen": ("is missing", "is dead", "lays no eggs"),
    "hive-mites": ("on the bees", "on the board", "how to count"),
    "hive-honey": ("how to spin", "when to take off"),
    "hive-winter": ("how to feed for winter", "ready for winter", "insulate for the cold"),
}
PLAIN = {
    "hive-swarm": ("bees swarming", "swarm in my tree", "catch a swarm", "ball of bees outside", "bees flew off"),
    "hive-queen": ("no queen", "queen gone", "cant find the queen", "no eggs", "queenless hive"),
    "hive-mites": ("varroa mites", "red dots on bees", "mite count", "treat for mites", "crawling bees with bad wings"),
    "hive-honey": ("harvest honey", "spin honey", "extract the honey", "frames are full", "honey ready"),
    "hive-winter": ("winter feeding", "sugar for winter", "mouse guard", "wrap the hive", "cold is coming"),
}
UNCOVERED = (
    "where can i buy a bee suit",
    "what time is it",
    "my car wont start",
    "wasp nest in the roof",
    "how much does a jar cost",
    "who won the match",
    "hello",
    "asdf qwer",
)


def note(note_id: str) -> Note:
    title = TITLES[note_id]
    return Note(
        id=note_id,
        title=title,
        station=("all",),
        action="inform",
        minutes=5,
        tools=(),
        parts=(),
        see_also=(),
        revision=1,
        reviewed="2026-11-02",
        sources=("from memory",),
        condition=f"{title}.",
        steps=(Step(1, "Put the veil on."), Step(2, "Look.")),
        safety=(),
        result="The hive is quiet.",
        if_it_still_fails="Ask the club.",
        phrases=Phrases(THINGS[note_id], TROUBLES[note_id], PLAIN[note_id]),
    )


@pytest.fixture(scope="module")
def assistant(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Assistant]:
    path = tmp_path_factory.mktemp("hives") / "hives.pack"
    notes = tuple(note(note_id) for note_id in sorted(TITLES))
    trade = Trade(actions={"inform": "Read first"})
    corpus = Corpus(notes, uncovered=UNCOVERED, digest="0" * 64, trade=trade)
    compile_corpus(corpus, default_settings(), path)
    with Pack(path) as pack:
        yield Assistant(pack)


@pytest.mark.parametrize(
    ("question", "wanted"),
    [
        ("swarm", "hive-swarm"),
        ("there is a swarm in the apple tree", "hive-swarm"),
        ("queen is gone", "hive-queen"),
        ("i cant find eggs or the queen", "hive-queen"),
        ("varoa mites", "hive-mites"),
        ("how do i count mites", "hive-mites"),
        ("extracting honey", "hive-honey"),
        ("when do i take the honey off", "hive-honey"),
        ("feed them sugar for the winter", "hive-winter"),
        ("winter", "hive-winter"),
    ],
)
def test_answers_come(assistant: Assistant, question: str, wanted: str) -> None:
    answer, _ = assistant.ask(question)
    assert answer.decision != "none"
    shown = [answer.note.id] if answer.note else [option.id for option in answer.options]
    assert shown[0] == wanted


def test_most_of_them_outright(assistant: Assistant) -> None:
    lines = [line for lines in PLAIN.values() for line in lines]
    assert sum(assistant.ask(line)[0].decision == "answer" for line in lines) >= 0.8 * len(lines)


@pytest.mark.parametrize(
    "question",
    [
        "where do i buy a smoker",
        "what is the weather tomorrow",
        "my bike has a flat tyre",
        "how do i bake bread",
        "zxcv bnm",
        "lottery numbers",
    ],
)
def test_refusals_hold(assistant: Assistant, question: str) -> None:
    answer, _ = assistant.ask(question)
    assert answer.note is None
