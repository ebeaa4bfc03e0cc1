"""The corpus's own lines, asked: danger comes first, and what fits several notes is not refused (common practice)."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.answering.assistant import Assistant
from assistant.pack.reader import Pack
from tests.shipped import shipped_corpus

ANOTHER_FIRST = {
    "battery acid on my hand",
    "battery liquid on my hand burns",
    "he threw the headset off and feels sick",
    "headset made her feel sick",
    "she is dizzy after the vr demo",
    "she nearly fainted in the headset",
    "someone broke into the cabinet",
    "the battery exploded",
    "the leaking battery burned my fingers",
    "vr makes people feel sick here",
}
"""Another note stands first for these; it deals with harm too, or leaves a choice. No line is to join them."""
REFUSED = {"warranyt?", "who do i tell"}


def asked(pack: Pack, lines: Iterator[tuple[tuple[str, ...], str]]) -> Iterator[tuple[str, tuple[str, ...], list[str]]]:
    """Yield each line, the notes that it is for, and those that the program offers, first to last."""
    assistant = Assistant(pack)
    for notes, line in lines:
        answer, _ = assistant.ask(line)
        options = [option.id for option in answer.options]
        yield line, notes, [answer.note.id, *options] if answer.note else options if answer.decision == "choose" else []


def test_every_line_of_danger_has_its_note_first(shipped_pack: Pack) -> None:
    lines = (((note,), line) for note, line in shipped_corpus().dangers)
    found = {line: (notes, offered) for line, notes, offered in asked(shipped_pack, lines)}
    assert {line for line, (notes, offered) in found.items() if offered[:1] != [*notes]} == ANOTHER_FIRST
    harm = {note for note, _ in shipped_corpus().dangers}
    assert all(harm & set(found[line][1][:2]) for line in ANOTHER_FIRST)


def test_what_fits_several_notes_is_not_refused(shipped_pack: Pack) -> None:
    lines = iter(shipped_corpus().ambiguous)
    assert {line for line, _, offered in asked(shipped_pack, lines) if not offered} == REFUSED


def test_a_thing_or_a_person_on_the_telephone_that_does_not_answer_has_not_collapsed(shipped_pack: Pack) -> None:
    assistant = Assistant(shipped_pack)
    for line in ("the server is down and does not answer", "the support person does not answer the phone"):
        answer, _ = assistant.ask(line)
        assert (answer.decision, answer.options[0].id != "safety-collapse") == ("choose", True), line
