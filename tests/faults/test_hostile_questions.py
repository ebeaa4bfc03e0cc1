"""Questions that no one would ask: what they cost is bounded by counts, whatever their text is."""

from __future__ import annotations

import random

import pytest

from assistant.analysis.analyzer import MOST_REPAIRED, MOST_WORDS
from assistant.answering.assistant import MAX_QUESTION, Assistant
from assistant.pack.reader import Pack

GERMAN = (
    "Fr\u00fchmorgens wanderten Holzf\u00e4ller durch verschneite W\u00e4lder, sammelten Reisig und erz\u00e4hlten "
    "einander M\u00e4rchen; Gro\u00dfmutter buk Apfelkuchen, w\u00e4hrend drau\u00dfen Gewitterwolken aufzogen. "
)
DRAWN = random.Random(3)
TEXTS = {
    "another language": (GERMAN * 30)[:3800],
    "one character that becomes eighteen": "\ufdfa" * MAX_QUESTION,
    "words that nobody has": " ".join("".join(DRAWN.choices("bcdfgaeiou", k=9)) for _ in range(400)),
    "one unknown word": "zorgleblorp " * 400,
    "one endless word": "x" * 3 * MAX_QUESTION,
    "parts of a code": "a1-" * MAX_QUESTION,
}


@pytest.mark.parametrize("name", TEXTS)
def test_only_so_many_words_are_repaired_and_none_twice(
    mini_pack: Pack, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    sought: list[str] = []
    words = mini_pack._words
    repairs = words._repairs

    def counted(form: str) -> list[str]:
        sought.append(form)
        return repairs(form)

    monkeypatch.setattr(words, "_repairs", counted)
    assistant = Assistant(mini_pack)
    answer, _ = assistant.ask(TEXTS[name])
    assert len(answer.question) <= MAX_QUESTION
    assert len(answer.read_as.split()) <= MOST_WORDS + MOST_REPAIRED
    assert len(sought) <= MOST_REPAIRED
    before = list(sought)
    assistant.ask(TEXTS[name])
    assert sought == before
    assert len(set(sought)) == len(sought)
