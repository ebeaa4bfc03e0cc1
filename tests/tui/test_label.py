"""Labelling under a labeller's hands: marks, steps, finding, leaving and coming back."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, cast

import pytest
from textual.pilot import Pilot
from textual.theme import Theme
from textual.widgets import Static

from assistant.errors import ExitCode, UsageError
from assistant.evaluation.asked import Asked
from assistant.evaluation.judgements import Judgement, JudgementFile, label_lines
from assistant.evaluation.pooling import Candidates
from assistant.model import Note
from assistant.pack.reader import Pack
from assistant.tui.common.app import OneScreenApp
from assistant.tui.common.pressable import OfferLine
from assistant.tui.common.theme import PAIRS, THEMES, colours
from assistant.tui.label.app import label_app
from assistant.tui.label.labelling import Labelling
from assistant.tui.label.screen import LabelScreen
from tests.tui.bench import NARROW, WIDE, answer, line, painted, press, said, tap, tap_foot
from tests.tui.test_contrast import LEAST, _painted, contrast, rgb
from tests.unit.visiting.conftest import Clock

if TYPE_CHECKING:
    from assistant.tui.ask.app import StationApp

Compare = Callable[..., bool]
SIZES = pytest.mark.parametrize("size", [WIDE, NARROW], ids=["100x30", "40x24"])
LONG = "Walked in and the pad was hanging by its lead, " + "the stick feels loose and wobbly, " * 12 + "what now?"
QUESTIONS = tuple(
    Asked(f"q{number}", text)
    for number, text in enumerate(
        (
            "controller stick cap broken?",
            "screen says no signal",
            LONG,
            "fingerprints on the game disc",
            "when do i get paid",
            "the strip under the bench is dead",
            "lead of the pad is cut",
            "the pad swells and is hot",
            "game is odd",
            "bye",
        ),
        start=1,
    )
)
ORDER = ("screen-no-signal", "pad-stick-cap", "disc-clean", "pad-cable-damage")
CAP, SIGNAL = "2", "1"


class ScriptedPools:
    """Offers four of the six notes for every question, and finds notes by a word of their id."""

    def __init__(self, notes: dict[str, Note]) -> None:
        self.notes = notes

    def pool(self, question_id: str, question: str) -> tuple[str, ...]:
        return () if question == "bye" else ORDER

    def find(self, words: str, most: int) -> tuple[str, ...]:
        return tuple(note for note in self.notes if any(word in note for word in words.split()))[:most]


class Desk:
    """One labeller, one file, and apps over it, one after the other."""

    def __init__(self, path: Path, notes: dict[str, Note]) -> None:
        self.path = path
        self.notes = notes

    def file(self) -> JudgementFile:
        return JudgementFile(self.path, "B")

    def app(self, questions: tuple[Asked, ...] = QUESTIONS) -> OneScreenApp:
        pools = ScriptedPools(self.notes)
        return label_app(Labelling(questions, self.file(), pools, self.notes.get, clock=Clock()))

    def judged(self, id: str = "q1") -> Judgement:
        return self.file().latest()[id]._replace(at="")


@pytest.fixture
def desk(tmp_path: Path, mini_notes: dict[str, Note]) -> Desk:
    return Desk(tmp_path / "labels-B.jsonl", mini_notes)


def progress(pilot: Pilot[int]) -> str:
    return str(pilot.app.screen.query_one("#head", Static).content)


def at(pilot: Pilot[int]) -> Labelling:
    screen = pilot.app.screen
    assert isinstance(screen, LabelScreen)
    return screen._at


def lines(pilot: Pilot[int]) -> list[OfferLine]:
    return list(pilot.app.screen.query(OfferLine))


def texts(pilot: Pilot[int]) -> list[str]:
    return [offer.text for offer in at(pilot).offers]


@SIZES
async def test_ten_questions_with_a_kill_in_the_midst(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        assert progress(pilot) == "0 of 10 done, 0 unsure"
        await answer(pilot, CAP, "", SIGNAL, "")
        assert progress(pilot) == "2 of 10 done, 0 unsure"
        await answer(pilot, "unsure", "next")
        await answer(pilot, "3", "4", "", "3")
        await answer(pilot, "uncovered")
        assert progress(pilot) == "5 of 10 done, 1 unsure"
        before = desk.path.read_bytes()
    # A kill: the screen is gone without being left, and the last line was being written.
    desk.path.write_bytes(before + before.splitlines(keepends=True)[-1][:30])
    async with desk.app().run_test(size=size) as pilot:
        assert progress(pilot) == "5 of 10 done, 1 unsure"
        assert at(pilot).place == 5
        assert QUESTIONS[5].question in painted(pilot)
        await answer(pilot, "strip", "1", "", "4", "", "swollen", "1", "", "2")
        await answer(pilot, "unsure", "next", "uncovered")
        assert progress(pilot) == "10 of 10 done, 2 unsure. All done."
        await answer(pilot, "next")
        assert said(pilot) == f"All done: 10 questions. The labels are in {desk.path}."
    assert [judged.notes for judged in desk.file().latest().values()] == [
        ("pad-stick-cap",),
        ("screen-no-signal",),
        (),
        ("disc-clean", "pad-cable-damage"),
        (),
        ("power-strip-dead",),
        ("pad-cable-damage",),
        ("safety-swollen-cell",),
        ("pad-stick-cap",),
        (),
    ]
    assert [judged.mark for judged in desk.file().latest().values() if judged.mark] == [
        "unsure",
        "uncovered",
        "unsure",
        "uncovered",
    ]
    assert len(label_lines(desk.file().latest())) == 8
    async with desk.app().run_test(size=size) as pilot:
        assert said(pilot).startswith("All done: 10 questions.")
        await answer(pilot, "open")
        assert said(pilot).startswith("All done: 10 questions.")


async def test_marks_keep_their_order_and_are_told_in_words(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "3", "1", "2")
        assert said(pilot) == "Marked 3rd: Thumb stick cap torn or missing (pad; replace)."
        leads = [text.partition(":")[0] for text in texts(pilot)]
        assert leads[:3] == ["+ 2nd", "+ 3rd", "+ 1st"]
        assert not leads[3].startswith("+")
        assert "1 + 2nd: " in painted(pilot)
        assert [one.has_class("-ticked") for one in lines(pilot)] == [True, True, True, False]
        await answer(pilot, "3")
        assert said(pilot).startswith("Taken back: ")
        assert desk.judged().notes == ("screen-no-signal", "pad-stick-cap")
        assert "1 + 1st: " in painted(pilot)
        await answer(pilot, "1", "2")
        assert progress(pilot) == "0 of 10 done, 0 unsure"
        assert desk.judged() == Judgement("q1", QUESTIONS[0].question)


@SIZES
async def test_lines_can_be_tapped(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await tap(pilot, lines(pilot)[1])
        assert desk.judged().notes == ("pad-stick-cap",)
        await tap_foot(pilot, "unsure")
        assert desk.judged().mark == "unsure"


async def test_steps_of_the_note_last_marked(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "inside")
        assert said(pilot) == "Mark a note first: its steps are marked after it."
        await answer(pilot, "1", "2")
        await answer(pilot, "inside")
        note = desk.notes["pad-stick-cap"]
        assert texts(pilot) == [step.text for step in note.steps]
        assert " ".join(note.condition.split()) in painted(pilot)
        await answer(pilot, "3", "2", "4", "4")
        assert said(pilot) == "Taken back: step 4."
        assert desk.judged().steps == {"pad-stick-cap": (2, 3)}
        assert [one.has_class("-ticked") for one in lines(pilot)[:4]] == [False, True, True, False]
        assert [text.startswith("+ ") for text in texts(pilot)[:4]] == [False, True, True, False]
        await answer(pilot, "99")
        assert said(pilot) == f"Type 1 to {len(note.steps)}."
        await answer(pilot, "words")
        assert said(pilot) == "Type the number of a step, or Enter alone to go back."
        await answer(pilot, "")
        assert len(texts(pilot)) == 4
        assert at(pilot).place == 0
        await answer(pilot, "2")
        assert desk.judged() == Judgement("q1", QUESTIONS[0].question, ("screen-no-signal",))


async def test_uncovered_and_notes_exclude_one_another(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "1", "2")
        await answer(pilot, "uncovered")
        assert said(pilot) == "Uncovered: no note answers it. 2 marked notes cleared."
        assert desk.judged() == Judgement("q1", QUESTIONS[0].question, mark="uncovered")
        assert "! Uncovered: no note answers it." in painted(pilot)
        await answer(pilot, "4")
        assert said(pilot).endswith(" No longer uncovered.")
        assert desk.judged() == Judgement("q1", QUESTIONS[0].question, ("pad-cable-damage",))
        await answer(pilot, "uncovered", "uncovered")
        assert said(pilot) == "No longer uncovered."
        assert progress(pilot) == "0 of 10 done, 0 unsure"


async def test_unsure_keeps_the_notes_and_is_taken_back(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "uncovered", "unsure")
        assert said(pilot) == "Unsure: left out of the labels. No longer uncovered."
        await answer(pilot, "2")
        assert said(pilot).endswith(" Still unsure.")
        assert desk.judged() == Judgement("q1", QUESTIONS[0].question, ("pad-stick-cap",), mark="unsure")
        assert "! Unsure: left out of the labels." in painted(pilot)
        await answer(pilot, "unsure")
        assert desk.judged() == Judgement("q1", QUESTIONS[0].question, ("pad-stick-cap",))


async def test_a_note_is_found_by_words_or_by_its_id(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "nothing of the kind")
        assert said(pilot) == "No note fits these words: type others, or press Esc."
        await answer(pilot, "pad power")
        assert len(texts(pilot)) == 3
        assert not desk.path.exists()
        await press(pilot, "escape")
        assert len(texts(pilot)) == 4
        await answer(pilot, "pad power", "7")
        assert said(pilot) == "Type 1 to 3."
        await answer(pilot, "")
        assert said(pilot) == "Type words of the note, or press Esc."
        await answer(pilot, "SAFETY-SWOLLEN-CELL", "1")
        assert desk.judged().notes == ("safety-swollen-cell",)
        assert texts(pilot)[4].startswith("+ 1st: ")
        await answer(pilot, "safety-swollen-cell", "1")
        assert said(pilot).startswith("Marked already: ")
    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "previous")
        assert len(texts(pilot)) == 5
        assert texts(pilot)[4].startswith("+ 1st: ")


async def test_going_to_and_fro(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "previous")
        assert said(pilot) == "This is the first question."
        await answer(pilot, "")
        assert said(pilot) == "Mark a note, or uncovered, or unsure; or go to the next question."
        await answer(pilot, *["next"] * 9)
        assert at(pilot).place == 9
        assert "No note comes near" in painted(pilot)
        await answer(pilot, "next")
        assert said(pilot) == "This was the last. Question 1 is still open."
        await answer(pilot, "previous")
        assert at(pilot).place == 8
        await answer(pilot, "open")
        assert at(pilot).place == 0
        await answer(pilot, "12")
        assert said(pilot) == "Type 1 to 4."


async def test_what_the_disk_refuses_is_not_shown_as_marked(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: int) -> None:
        raise OSError(28, "No space left on device")

    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "1")
        with monkeypatch.context() as patch:
            patch.setattr(os, "fsync", refuse)
            await answer(pilot, "2")
            assert "No space left on device" in said(pilot)
            assert [one.has_class("-ticked") for one in lines(pilot)] == [True, False, False, False]
            await answer(pilot, "uncovered")
            assert progress(pilot) == "1 of 10 done, 0 unsure"
        await answer(pilot, "2")
        assert desk.judged().notes == ("screen-no-signal", "pad-stick-cap")


@SIZES
async def test_escape_sequences_and_markup_are_drawn_as_they_stand(desk: Desk, size: tuple[int, int]) -> None:
    asked = Asked("q1", "\x1b[31mred\x1b[0m [bold]lamp[/] [@click=app.quit]x[/] \u202eon\x07\nfoo")
    async with desk.app((asked,)).run_test(size=size) as pilot:
        shown = painted(pilot)
        assert "[31mred[0m [bold]lamp[/] [@click=app.quit]x[/] on foo" in shown
        assert not {"\x1b", "\x07", "\u202e"} & set(shown)
        await answer(pilot, "1", "\x1b[2Jpad [bold]")
    assert desk.judged().question == asked.question


@SIZES
async def test_nothing_is_cut_off(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app((QUESTIONS[2],)).run_test(size=size) as pilot:
        seen = painted(pilot)
        for _ in range(6):
            await press(pilot, "pagedown")
            seen += f" {painted(pilot)}"
        record = pilot.app.screen.query_one("#record")
        assert record.max_scroll_x == 0
        for words in (LONG[:30], "what now?", *(desk.notes[note].title.split()[-1] for note in ORDER), "help"):
            assert words in seen, words
        assert all(one.region.width <= size[0] for one in pilot.app.screen.query("Static, Hanging"))


async def test_a_mark_far_down_does_not_lose_the_place(desk: Desk) -> None:
    async with desk.app((QUESTIONS[2],)).run_test(size=NARROW) as pilot:
        record = pilot.app.screen.query_one("#record")
        await pilot.pause()
        await tap(pilot, lines(pilot)[3])
        await pilot.pause()
        assert record.scroll_y > 0
        await answer(pilot, "pad")
        assert record.scroll_y == 0


async def test_help_names_every_action_and_holds_other_acts_back(desk: Desk) -> None:
    async with desk.app().run_test(size=(100, 60)) as pilot:
        await answer(pilot, "help")
        for action in LabelScreen.ACTIONS:
            assert action.tooltip in painted(pilot)
        await answer(pilot, "1")
        assert not desk.path.exists()
        assert lines(pilot)
        await answer(pilot, "help")
        await press(pilot, "escape")
        await press(pilot, "escape")
        assert said(pilot) == "All is saved. To close the program, type leave."


async def test_leaving(desk: Desk) -> None:
    app = desk.app()
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, "1")
        await answer(pilot, "leave")
    assert app.return_value == ExitCode.DONE
    app = desk.app()
    async with app.run_test(size=WIDE) as pilot:
        await press(pilot, "ctrl+c")
        assert said(pilot) == "Press Ctrl+C again to close the program."
        await press(pilot, "ctrl+c")
    assert app.return_value == ExitCode.INTERRUPTED


def test_another_question_under_the_same_id_is_refused(desk: Desk) -> None:
    desk.file().add(Judgement("q1", "what was asked before", ("a",)))
    with pytest.raises(UsageError, match="another question under the id 'q1'"):
        desk.app()


async def test_a_note_that_the_pack_lost_is_said(desk: Desk) -> None:
    desk.file().add(Judgement("q1", QUESTIONS[0].question, ("pad-gone",)))
    async with desk.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "previous")
        assert texts(pilot)[4] == "+ 1st: pad-gone (not in this pack)"
        await answer(pilot, "inside")
        assert said(pilot) == "The note 'pad-gone' is not in this pack."


async def test_over_a_real_pack(desk: Desk, mini_pack: Pack) -> None:
    labelling = Labelling(QUESTIONS, desk.file(), Candidates(mini_pack), mini_pack.note)
    async with label_app(labelling).run_test(size=WIDE) as pilot:
        place = labelling.candidates.index("pad-stick-cap") + 1
        await answer(pilot, str(place), "", "screen no signal")
        assert texts(pilot)[0].startswith(mini_pack.titles["screen-no-signal"])
        await answer(pilot, "1")
    assert desk.judged("q1").notes == ("pad-stick-cap",)
    assert desk.judged("q2").notes == ("screen-no-signal",)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
async def test_every_painted_pair_is_readable_and_named(desk: Desk, theme: Theme) -> None:
    named = {(rgb(colours(theme)[a]), rgb(colours(theme)[b])) for a, b in PAIRS}
    app = desk.app()
    app.theme = theme.name
    seen = set()
    async with app.run_test(size=(100, 60)) as pilot:
        for keys in (["2", "enter"], ["tab"], ["tab"], ["i", "enter"], ["escape", "z", "enter"], ["h", "enter"]):
            await press(pilot, *keys)
            seen |= set(_painted(cast("StationApp", app)))
    assert len(seen) >= 6
    assert not {pair for pair in seen if contrast(*pair) < LEAST}
    assert seen <= named


@SIZES
def test_labelling_looks_as_before(desk: Desk, snap_compare: Compare, size: tuple[int, int]) -> None:
    desk.file().add(Judgement("q1", QUESTIONS[0].question, mark="unsure"))

    async def act(pilot: Pilot[int]) -> None:
        await pilot.pause()
        await answer(pilot, "4", "1")
        line(pilot).value = "2"
        await pilot.pause()

    assert snap_compare(desk.app(), terminal_size=size, run_before=act)
