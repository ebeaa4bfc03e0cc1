"""One bit of a pack is flipped: it is refused in a line, or the card is the very same."""

from __future__ import annotations

import os
import random
import re
import shutil
from bisect import bisect
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from assistant.answering.assistant import Assistant
from assistant.answering.card import card
from assistant.cli.output import answer_line
from assistant.errors import PackError
from assistant.pack.reader import Pack

QUESTIONS = (
    *("controller stick cap broken?", "contorller stikc cap", "no power on the tv", "smoke from the controller lead"),
    *("disc is dirty", "battery is bulging", "no picture", "how long does it take", "when do i get paid"),
    *("lead frayed gamepad", "qqqq", "thumbpad"),
)
RANDOM_FLIPS = int(os.environ.get("ASSISTANT_RANDOM_FLIPS", "100"))
"""How many bits anywhere in the pack are tried; 2000 for the whole run."""
FULL_SIZE = os.environ.get("ASSISTANT_FLIPPED_PACK", "")
"""A pack of all notes, of whose notes every number of a step and of a message is tried too."""
_NUMBER = re.compile(rb'"(?:before_step|n)": [0-9]+|"signal": "[A-Z]+"')
_ID = re.compile(rb'"id": "([a-z0-9-]+)"')


class Flipping:
    """A copy of a pack of which one bit is flipped at a time, and what the whole pack says."""

    def __init__(self, whole: Path, copy: Path) -> None:
        self.path = copy
        shutil.copy(whole, copy)
        self.raw = whole.read_bytes()
        with Pack(whole) as pack:
            self.ids = list(pack.note_ids)

    def cards(self, ids: Iterable[str], questions: Iterable[str]) -> dict[str, str]:
        """Return by note and question what is shown, or that it is refused."""
        told = {}
        try:
            with Pack(self.path) as pack:
                assistant = Assistant(pack)
                for asked in (*ids, *questions):
                    try:
                        answer, _ = assistant.show(asked) if asked in self.ids else assistant.ask(asked)
                        told[asked] = f"{answer_line(answer)} {card(answer)}"
                    except PackError as error:
                        told[asked] = self.refused(error)
        except PackError as error:
            return {"": self.refused(error)}
        return told

    def refused(self, error: PackError) -> str:
        assert str(error).startswith(f"{self.path}:1: ")
        assert "\n" not in str(error)
        return "refused"

    def outcome(self, bit: int, whole: dict[str, str], ids: Iterable[str], questions: Iterable[str] = ()) -> str:
        """Return what becomes of the cards where one bit is flipped."""
        byte = self.raw[bit // 8]
        self._write(bit // 8, byte ^ 1 << bit % 8)
        told = self.cards(ids, questions)
        self._write(bit // 8, byte)
        if any(text not in ("refused", whole.get(asked)) for asked, text in told.items()):
            return "altered"
        return "refused" if "refused" in told.values() else "same"

    def _write(self, place: int, byte: int) -> None:
        with self.path.open("r+b", buffering=0) as file:
            file.seek(place)
            file.write(bytes([byte]))

    def numbers(self) -> Iterator[tuple[str, range]]:
        """Yield each key and number of a step or a message, and each signal word: the note it is of, and its bits."""
        names = [(found.start(), found[1].decode()) for found in _ID.finditer(self.raw)]
        starts = [start for start, _ in names]
        for found in _NUMBER.finditer(self.raw):
            bits = range(8 * found.start(), 8 * found.end())
            yield self._spoiled(bits[0], names[bisect(starts, found.start()) - 1][1]), bits

    def _spoiled(self, bit: int, likeliest: str) -> str:
        """Return a note that a bit belongs to; a file holds its parts where there was room."""
        ids = (likeliest, *self.ids)
        return next((name for name in ids if self.outcome(bit, {}, [name]) == "refused"), likeliest)


@pytest.fixture(scope="module")
def flipping(mini_pack_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Flipping:
    return Flipping(mini_pack_path, tmp_path_factory.mktemp("flipped") / "m.pack")


def every_number(flipping: Flipping) -> Counter[str]:
    whole = flipping.cards(flipping.ids, ())
    assert "refused" not in whole.values()
    return Counter(flipping.outcome(bit, whole, [name]) for name, bits in flipping.numbers() for bit in bits)


def test_every_bit_of_the_numbers_of_steps_and_messages_is_refused(flipping: Flipping) -> None:
    """A message taken off its card, moved to another step or shown twice was one bit away: none is left."""
    found = every_number(flipping)
    assert found.keys() == {"refused"}
    assert found.total() > 2500


@pytest.mark.skipif(not FULL_SIZE, reason="ASSISTANT_FLIPPED_PACK names no pack of all notes")
def test_every_bit_of_the_numbers_of_all_notes_is_refused(tmp_path: Path) -> None:
    found = every_number(Flipping(Path(FULL_SIZE), tmp_path / "m.pack"))
    print(dict(found))
    assert found.keys() == {"refused"}


def test_a_bit_anywhere_is_refused_or_changes_nothing(flipping: Flipping) -> None:
    whole = flipping.cards(flipping.ids, QUESTIONS)
    assert "refused" not in whole.values()
    drawn = random.Random(14)
    bits = [drawn.randrange(8 * len(flipping.raw)) for _ in range(RANDOM_FLIPS)]
    found = Counter(flipping.outcome(bit, whole, flipping.ids, QUESTIONS) for bit in bits)
    print(dict(found))
    assert found.keys() == {"refused", "same"}


def test_every_bit_of_the_head_of_the_file_is_refused_or_changes_nothing(flipping: Flipping) -> None:
    whole = flipping.cards(flipping.ids[:1], QUESTIONS[:1])
    found = Counter(flipping.outcome(bit, whole, flipping.ids[:1], QUESTIONS[:1]) for bit in range(8 * 100))
    assert found.keys() == {"refused", "same"}


def test_what_alters_a_card_is_noticed(flipping: Flipping) -> None:
    whole = flipping.cards(flipping.ids, ())
    other = {name: text.replace("e", "a") for name, text in whole.items()}
    magic, counter = 0, 8 * 24
    assert flipping.outcome(magic, other, flipping.ids) == "refused"
    assert flipping.outcome(counter, other, flipping.ids) == "altered"
    assert flipping.outcome(counter, whole, flipping.ids) == "same"
