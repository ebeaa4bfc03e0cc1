"""The lines that the linear models learn from."""

from __future__ import annotations

import pytest

from assistant.compiling.lines import lines_of, own_lines, turn_lines
from assistant.model import Corpus, Example, Note, Phrases
from assistant.notes.reader import read_note
from assistant.pack.format import TURN_CLASSES
from assistant.ranking.score import NONE
from tests.making import NOTE_PATH, NOTE_TEXT

NOTE = read_note(NOTE_TEXT, NOTE_PATH)._replace(title="Pad is dark", condition="It is dark. Is it?\nNot lit")
OTHER = NOTE._replace(id="pad-other", title="Pad hums", condition="It hums.")
MANY = Phrases(tuple(f"thing {n}" for n in range(6)), tuple(f"trouble {n}" for n in range(5)))


def lines(*notes: Note, **rest: object) -> dict[str, frozenset[int]]:
    return lines_of(Corpus(notes)._replace(**rest), 60)  # type: ignore[arg-type]


def classes(*numbers: int) -> frozenset[int]:
    return frozenset(numbers)


def test_own_lines_are_title_id_condition_phrases_pairs_and_questions() -> None:
    phrases = Phrases(("pad", "lamp"), ("out", "gone"), ("no light",), (("street lamp", ""),))
    note = NOTE._replace(phrases=phrases, examples=(Example("why is it dark", (2,)),))
    found = own_lines(note, 60)
    assert found[:6] == ["Pad is dark", "pad demo", "It is dark.", "Is it?", "Not lit", "no light"]
    assert sorted(found[6:-1]) == ["lamp gone", "lamp out", "pad gone", "pad out"]
    assert found[-1] == "why is it dark"


@pytest.mark.parametrize(("pairs", "expected"), [(0, 0), (1, 1), (7, 7), (30, 30), (99, 30)])
def test_so_many_pairs_are_drawn(pairs: int, expected: int) -> None:
    drawn = [line for line in own_lines(NOTE._replace(phrases=MANY), pairs) if line.startswith("thing")]
    assert len(drawn) == len(set(drawn)) == expected


def test_the_draw_of_pairs_is_the_same_each_time_whatever_their_order() -> None:
    """Sorted by SHA-256; these three were taken down once, and hold on every machine."""
    turned = Phrases(MANY.things[::-1], MANY.troubles[::-1])
    drawn = [own_lines(NOTE._replace(phrases=phrases), 3)[-3:] for phrases in (MANY, turned)]
    assert drawn[0] == drawn[1] == ["thing 4 trouble 2", "thing 2 trouble 0", "thing 2 trouble 3"]


def test_a_smaller_draw_is_part_of_a_larger_one() -> None:
    note = NOTE._replace(phrases=MANY)
    assert own_lines(note, 20)[: -(20 - 8)] == own_lines(note, 8)


def test_lines_stand_for_their_note_in_lower_case() -> None:
    found = lines(NOTE, OTHER)
    assert found["pad is dark"] == classes(0)
    assert found["pad hums"] == found["it hums."] == classes(1)
    assert all(line == line.lower() for line in found)


def test_a_line_that_is_a_notes_and_uncovered_stands_for_the_note() -> None:
    found = lines(NOTE, OTHER, uncovered=("Pad hums", "sing a song"))
    assert found["pad hums"] == classes(1)
    assert found["sing a song"] == classes(NONE)


def test_a_line_of_two_notes_stands_for_both() -> None:
    found = lines(
        NOTE._replace(examples=(Example("Broken"),)),
        OTHER._replace(examples=(Example("broken"),)),
        ambiguous=((("pad-demo", "pad-other"), "wont go"), (("pad-other", "pad-demo"), "pad hums")),
    )
    assert found["broken"] == found["wont go"] == found["pad hums"] == classes(0, 1)


def test_what_a_note_is_not_about_stands_for_the_other_or_for_none() -> None:
    apart = Phrases(not_this=(("it buzzes", "pad-other"), ("street lamp", ""), ("pad is dark", "")))
    found = lines(NOTE._replace(phrases=apart), OTHER)
    assert found["it buzzes"] == classes(1)
    assert found["street lamp"] == classes(NONE)
    assert found["pad is dark"] == classes(0)


def test_sentences_of_danger_stand_for_their_note() -> None:
    assert lines(NOTE, OTHER, dangers=(("pad-other", "It Burns"),))["it burns"] == classes(1)


def test_turns_have_their_kinds() -> None:
    followups = (("time", "How long"), ("why", "how come"), ("procedure", "how come"), ("new", "another thing"))
    assert turn_lines(Corpus((NOTE,), followups=followups)) == {
        "how long": classes(TURN_CLASSES.index("time")),
        "how come": classes(TURN_CLASSES.index("why"), TURN_CLASSES.index("procedure")),
        "another thing": classes(len(TURN_CLASSES) - 1),
    }
