"""The desk under an author's and QA's hands: groups into the notes, and the misses of a release."""

from __future__ import annotations

import argparse
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from textual.app import App
from textual.pilot import Pilot
from textual.theme import Theme
from textual.widgets import Static

from assistant.answering.assistant import Assistant
from assistant.cli.desk_screen import show_groups, show_release
from assistant.desk.by_hand import ByHand
from assistant.desk.missed import missed_questions
from assistant.desk.unanswered import Group, group_missed
from assistant.errors import ExitCode, UsageError
from assistant.evaluation.bars import Bar, Bars
from assistant.evaluation.report import score_notes
from assistant.evaluation.study import Study, study
from assistant.journal.export import Export
from assistant.journal.records import KINDS, Question, Record, Visit
from assistant.journal.store import stamp
from assistant.model import Phrases
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from assistant.tui.common.pressable import OfferLine
from assistant.tui.common.theme import PAIRS, THEMES, colours
from assistant.tui.desk.app import GroupsApp, ReleaseApp
from assistant.tui.desk.screen import DeskScreen
from tests.tui.bench import NARROW, WIDE, answer, line, painted, press, said, tap, tap_foot
from tests.tui.test_contrast import LEAST, _painted, contrast, rgb
from tests.unit.evaluation.making import labelled

Compare = Callable[..., bool]
START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
HOSTILE = "\x1b[31m[bold]stool[/bold] \u202efoot [@click=app.bell]wobbles[/]"
SHOWN = "[31m[bold]stool[/bold] foot [@click=app.bell]wobbles[/]"
READER, SMEAR = "the card reader will not take a card", "film of grease over the game disc"
ASKED = (
    (READER, 1, 0),
    (READER, 2, 1),
    ("card reader takes no card", 1, 3),
    (SMEAR, 2, 0),
    (SMEAR, 1, 2),
    (HOSTILE, 1, 0),
)
"""(question, visit, day) of what was asked in vain."""
SIZES = pytest.mark.parametrize("size", [WIDE, NARROW], ids=["100x30", "40x24"])
LABELLED = [
    labelled("q1", "display shows no signal", notes=("screen-no-signal",)),
    labelled("q2", f"display shows no signal {HOSTILE}", "long", ("pad-stick-cap",)),
    labelled("q3", "outlet strip has no power", "everyday", ("power-strip-dead",)),
    labelled("q4", "wipe the sticky disc", "uncovered", (), kind="near"),
    labelled("q5", "unplug the display lead", "plain", ("pad-cable-damage",)),
    labelled("q6", "wipe the sticky disc", "plain", ("disc-clean",), danger="safety-swollen-cell"),
]
SHORT = Bars("tune", (Bar("P@1", "at_least", 0.99), Bar("false answers", "at_most", 1.0)))
MET = Bars("tune", (Bar("P@1", "at_least", 0.1), Bar("confidence: Brier score", "at_most", 1.0)))


def groups_of(pack: Pack) -> list[Group]:
    visits: list[Record] = [Visit(f"S-0{n}", at=stamp(START), id=n) for n in (1, 2)]
    asked: list[Record] = [
        Question(text, "none", "procedure", "", visit=visit, at=stamp(START + timedelta(days=day)), id=number)
        for number, (text, visit, day) in enumerate(ASKED, start=1)
    ]
    records = [*visits, *asked]
    export = Export("one", {kind: [record for record in records if type(record) is kind] for kind in KINDS})
    return group_missed(missed_questions([export]), pack)


class Desk:
    """An author over a copy of the six notes."""

    def __init__(self, pack: Pack, root: Path) -> None:
        self.pack = pack
        self.root = root
        self.by_hand = ByHand(root.parent / "home")
        self.groups = groups_of(pack)
        self.before = self.files()

    def app(self, groups: list[Group] | None = None) -> GroupsApp:
        shown = self.groups if groups is None else groups
        return GroupsApp(shown, Assistant(self.pack), self.pack, self.root, date(2026, 3, 9), self.by_hand)

    def files(self) -> dict[str, str]:
        files = (path for path in self.root.rglob("*") if path.is_file())
        return {path.relative_to(self.root).as_posix(): path.read_text("utf-8") for path in files}

    def plain(self, note: str) -> tuple[str, ...]:
        """Return the plain lines of a note as they are now."""
        return next(one for one in read_corpus(self.root).notes if one.id == note).phrases.plain

    def written(self) -> dict[str, str]:
        """Return what was added to each file that has changed; the whole of a new one."""
        now = self.files()
        return {
            name: text.removeprefix(self.before.get(name, ""))
            for name, text in now.items()
            if text != self.before.get(name)
        }


@pytest.fixture
def desk(mini_pack: Pack, mini_corpus_path: Path, tmp_path: Path) -> Desk:
    root = tmp_path / "notes"
    shutil.copytree(mini_corpus_path, root)
    return Desk(mini_pack, root)


@pytest.fixture(scope="module")
def scored(mini_pack_path: Path) -> Study:
    with Pack(mini_pack_path) as pack:
        found = study(pack, score_notes(pack, LABELLED, [], "tune"), SHORT)
    return found._replace(report=replace(found.report, pack="mini"))


@pytest.fixture
def release(mini_pack: Pack, scored: Study) -> Iterator[ReleaseApp]:
    yield ReleaseApp(scored, Assistant(mini_pack))


def lines(pilot: Pilot[int]) -> list[str]:
    screen = pilot.app.screen
    assert isinstance(screen, DeskScreen)
    shown = [offer.text for offer in screen._at.offers]
    assert [one.number for one in screen.query(OfferLine)] == list(range(1, len(shown) + 1))
    return shown


def number_of(pilot: Pilot[int], text: str) -> str:
    return str(next(number for number, shown in enumerate(lines(pilot), start=1) if text in shown))


async def pick(pilot: Pilot[int], *texts: str) -> None:
    for text in texts:
        await answer(pilot, number_of(pilot, text))


async def everything(pilot: Pilot[int]) -> str:
    """Return all that scrolling down brings into view."""
    record = pilot.app.screen.query_one("#record")
    seen = ""
    for top in range(0, record.virtual_size.height, 5):
        record.scroll_to(y=top, animate=False, immediate=True)
        await pilot.pause()
        seen += painted(pilot)
    return seen


@SIZES
async def test_groups_stand_biggest_first_and_open_whole(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await pilot.pause()
        shown = lines(pilot)
        assert [text.partition(":")[0] for text in shown] == [
            "3 x, 2 shops, last 2026-03-05",
            "2 x, 2 shops, last 2026-03-04",
            "1 x, 1 shop, last 2026-03-02",
        ]
        assert READER in shown[0]
        assert "disc-clean" in shown[1]
        await answer(pilot, "1")
        seen = await everything(pilot)
        for text in (f"2 x {READER}", "1 x card reader takes no card", "S-01, S-02", "2026-03-02 to 2026-03-05"):
            assert text in seen
        assert "Missed: 3 without an answer" in seen
        assert "Now: " in seen
        await press(pilot, "escape")
        assert lines(pilot) == shown
    assert desk.written() == {}


@SIZES
async def test_examples_of_the_nearest_note(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await pick(pilot, SMEAR)
        assert lines(pilot)[0] == "Examples of disc-clean"
        await answer(pilot, "1")
        assert "disc-clean: 0 new plain lines, 1 new example questions, of 1 wordings." in said(pilot)
        assert "assistant corpus check" in said(pilot)
        assert lines(pilot)[1].startswith("+ taken: examples of disc-clean | 2 x")
        assert lines(pilot)[0].startswith("3 x")
        await pick(pilot, SMEAR, "Examples of disc-clean")
        assert "0 new plain lines, 0 new example questions, of 1 wordings." in said(pilot)
        assert "have changed" not in said(pilot)
    assert desk.written() == {"disc/disc-clean.questions.txt": f"{SMEAR}\n"}


async def test_another_note_is_found_by_words_or_by_its_id(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await pick(pilot, READER, "another note")
        await answer(pilot, "")
        assert "No note comes near" in said(pilot)
        await answer(pilot, "outlet strip has no power")
        assert 1 <= len(lines(pilot)) <= 5
        assert lines(pilot)[0].endswith("(power-strip-dead)")
        await answer(pilot, "pad-stick-cap")
        assert [text.rpartition(" ")[2] for text in lines(pilot)] == ["(pad-stick-cap)"]
        assert desk.written() == {}
        await answer(pilot, "1")
        assert "1 new plain lines, 1 new example questions, of 2 wordings." in said(pilot)
    written = desk.written()
    assert set(written) == {"pad/pad-stick-cap.questions.txt", "pad/pad-stick-cap.phrases.yaml"}
    assert written["pad/pad-stick-cap.questions.txt"] == f"{READER}\n"
    assert desk.plain("pad-stick-cap")[-1] == "card reader takes no card"


async def test_a_word_that_reps_use(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await pick(pilot, SMEAR, "A word")
        for wrong in ("platter", "=disc", "platter="):
            await answer(pilot, wrong)
            assert "reads FORM=WORD" in said(pilot)
        await answer(pilot, "gamepad=pad", "1")
        assert "'gamepad' stands for 'pad' already" in said(pilot)
        await answer(pilot, "platter=disc")
        assert desk.written() == {}
        await pick(pilot, "Write it")
        assert "vocabulary.yaml: 'platter' stands for 'disc' at 0.8" in said(pilot)
        assert lines(pilot)[1].startswith("+ taken: the word platter |")
    assert list(desk.written()) == ["vocabulary.yaml"]
    assert read_corpus(desk.root).vocabulary.forms["platter"] == (("disc", 80),)


@SIZES
async def test_a_new_note_step_by_step(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await pick(pilot, READER, "A new note")
        for wrong, why in (("Reader", "area-what"), ("disc-clean", "note 'disc-clean' is there already")):
            await answer(pilot, wrong)
            assert why in said(pilot)
        await answer(pilot, "hand-card-reader", "")
        assert "A title is" in said(pilot)
        await answer(pilot, "Reader: dead")
        assert "A title is" not in said(pilot)
        assert said(pilot)
        await answer(pilot, "Reader takes no card", "shelf")
        assert "Station must be" in said(pilot)
        await answer(pilot, "hand, screen")
        await pick(pilot, "replace")
        for wrong in ("0", "soon", "91"):
            await answer(pilot, wrong)
            assert "Minutes must be" in said(pilot)
        await answer(pilot, "10", "card reader, reader")
        assert lines(pilot) == ["None for now"]
        await answer(pilot, "1")
        assert desk.written() == {}
        told = "hand-card-reader; Reader takes no card; hand, screen; replace; 10; card reader, reader"
        assert str(pilot.app.screen.query_one("#asked-for", Static).content) == f"New note: {told}"
        await pick(pilot, "Write it")
        assert "hand-card-reader.md: written" in said(pilot)
        assert lines(pilot)[0].startswith("+ taken: new note hand-card-reader |")
    assert {name.partition(".")[2] for name in desk.written()} == {"md", "phrases.yaml", "questions.txt"}
    note = next(note for note in read_corpus(desk.root).notes if note.id == "hand-card-reader")
    assert (note.title, note.station, note.action) == ("Reader takes no card", ("hand", "screen"), "replace")
    assert (note.minutes, note.reviewed) == (10, "2026-03-09")
    assert [example.question for example in note.examples] == [READER]
    assert note.phrases == Phrases(
        things=("card reader", "reader"), plain=("reader takes no card", "card reader takes no card")
    )


@pytest.mark.parametrize(
    "texts",
    [
        ("another note",),
        ("another note", "outlet strip has no power"),
        ("A word",),
        ("A word", "platter=disc"),
        ("A new note",),
        ("A new note", "hand-card-reader", "Reader dead", "hand", "replace"),
        ("A new note", "hand-card-reader", "Reader dead", "hand", "replace", "10", "reader"),
        ("A new note", "hand-card-reader", "Reader dead", "hand", "replace", "10", "", ""),
    ],
    ids=lambda texts: f"{texts[0]}-{len(texts)}",
)
async def test_a_question_that_is_cancelled_writes_nothing(desk: Desk, texts: tuple[str, ...]) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await pick(pilot, READER)
        before = lines(pilot)
        await pick(pilot, texts[0])
        await answer(pilot, *texts[1:])
        for word in ("next", "previous", "back"):
            await answer(pilot, word)
            assert said(pilot) == "Answer on the line first, or press Esc."
        await press(pilot, "escape")
        assert lines(pilot) == before
        assert pilot.app.screen.query_one("#asking").display is False
        await press(pilot, "escape", "escape", "escape")
        assert lines(pilot)[0].startswith("3 x")
    assert desk.written() == {}


async def test_what_the_disk_refuses_is_said_and_nothing_is_taken(desk: Desk) -> None:
    (desk.root / "hand").write_text("a file where a folder is to be", "utf-8")
    desk.before = desk.files()
    async with desk.app().run_test(size=WIDE) as pilot:
        await pick(pilot, READER, "A new note")
        await answer(pilot, "hand-card-reader", "Reader dead", "hand", "replace", "10", "", "", "1")
        assert "cannot be written" in said(pilot)
        await press(pilot, "escape", "escape")
        assert lines(pilot)[0].startswith("3 x")
    assert desk.written() == {}


@SIZES
async def test_hostile_wording_is_shown_and_taken_harmlessly(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await pilot.pause()
        assert HOSTILE in lines(pilot)[2]
        await answer(pilot, "3")
        shown = painted(pilot)
        assert "[bold]stool[/bold]" in shown
        assert "[@click=app.bell]" in shown.replace("[@click =", "[@click=")
        assert not {"\x1b", "\u202e"} & set(shown)
        await pick(pilot, "another note")
        await answer(pilot, "disc-clean", "1")
    assert list(desk.written()) == ["disc/disc-clean.phrases.yaml"]
    assert desk.plain("disc-clean")[-1] == SHOWN.lstrip("[")
    assert "\x1b" not in desk.files()["disc/disc-clean.phrases.yaml"]


async def test_a_new_note_keeps_no_wording_that_its_file_would_read_as_steps(desk: Desk) -> None:
    group = desk.groups[0]._replace(wordings=(("[99] the foot of the stool wobbles about", 2), ("# stool", 1)))
    async with desk.app([group]).run_test(size=WIDE) as pilot:
        await answer(pilot, "1")
        await pick(pilot, "A new note")
        await answer(pilot, "hand-stool", "Stool wobbles", "all", "adjust", "5", "", "", "1")
    note = next(note for note in read_corpus(desk.root).notes if note.id == "hand-stool")
    assert [example.question for example in note.examples] == ["99] the foot of the stool wobbles about"]
    assert note.phrases.plain == ("stool wobbles", "stool")


async def test_a_group_set_aside_goes_last_and_can_be_taken_up_again(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await pick(pilot, READER, "Set aside")
        assert lines(pilot)[2].startswith("x set aside | 3 x")
        await pick(pilot, READER, "Take it up again")
        assert lines(pilot)[0].startswith("3 x")
    async with desk.app().run_test(size=WIDE) as pilot:
        await pilot.pause()
        assert lines(pilot)[0].startswith("3 x")
    assert desk.written() == {}


@SIZES
async def test_wordings_go_apart_by_their_numbers_and_come_back(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await pick(pilot, READER, "Some wordings apart")
        assert f"1. 2 x {READER}" in await everything(pilot)
        for wrong in ("", "3", "1,2"):
            await answer(pilot, wrong)
            assert "wordings" in said(pilot)
        await answer(pilot, "2")
        assert "Apart: card reader takes no card. To take it back, type undo." in said(pilot)
        assert [text.partition(",")[0] for text in lines(pilot)] == ["2 x", "2 x", "1 x", "1 x"]
        await answer(pilot, "undo")
        assert "Taken back: apart" in said(pilot)
        assert [text.partition(",")[0] for text in lines(pilot)] == ["3 x", "2 x", "1 x"]
        await answer(pilot, "undo")
        assert said(pilot) == "Nothing was done to groups by hand."
    assert desk.written() == {}


@SIZES
async def test_two_groups_become_one_and_stay_so(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await pick(pilot, READER, "One with another group")
        assert len(lines(pilot)) == 2
        await answer(pilot, "grease film")
        assert SMEAR in lines(pilot)[0]
        assert desk.by_hand.read() == []
        await pick(pilot, SMEAR)
        assert [text.partition(",")[0] for text in lines(pilot)] == ["5 x", "1 x"]
    async with desk.app().run_test(size=size) as pilot:
        await pilot.pause()
        assert [text.partition(",")[0] for text in lines(pilot)] == ["5 x", "1 x"]
    assert desk.written() == {}


@SIZES
async def test_a_group_is_ignored_for_good_and_no_longer(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await pick(pilot, READER, "Ignore it for good")
        assert lines(pilot)[2].startswith("x ignored | 3 x")
    async with desk.app().run_test(size=size) as pilot:
        await pilot.pause()
        assert lines(pilot)[2].startswith("x ignored | 3 x")
        await pick(pilot, READER, "Ignore it no longer")
        assert lines(pilot)[0].startswith("3 x")
    assert [deed.did for deed in desk.by_hand.read()] == ["ignored", "taken up"]
    assert desk.written() == {}


async def test_a_file_of_deeds_that_cannot_be_written_is_said(desk: Desk) -> None:
    desk.by_hand.path.parent.write_text("a file where a folder is to be", "utf-8")
    async with desk.app().run_test(size=WIDE) as pilot:
        await pick(pilot, READER, "Ignore it for good")
        assert "cannot be written" in said(pilot)
        assert "Ignore it for good" in " ".join(lines(pilot))


@SIZES
async def test_uncovered_lines_are_written_and_a_note_takes_them_over(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app().run_test(size=size) as pilot:
        await pick(pilot, READER, "No note is to cover it")
        assert "uncovered.txt: 2 new lines, of 2 wordings." in said(pilot)
        assert lines(pilot)[0].startswith("+ taken: uncovered |")
        assert desk.written() == {"uncovered.txt": f"{READER}\ncard reader takes no card\n"}
        await pick(pilot, READER, "another note")
        await answer(pilot, "disc-clean", "1")
        assert lines(pilot)[0].startswith("Move all ")
        assert lines(pilot)[-1] == "Leave it as it is"
        await pick(pilot, "Move: card reader takes no card")
        assert "taken over from uncovered.txt" in said(pilot)
    assert desk.written()["uncovered.txt"] == f"{READER}\n"
    assert desk.plain("disc-clean")[-1] == "card reader takes no card"


async def test_what_is_uncovered_can_stay_so(desk: Desk) -> None:
    async with desk.app().run_test(size=WIDE) as pilot:
        await pick(pilot, READER, "No note is to cover it")
        await pick(pilot, READER, "another note")
        await answer(pilot, "disc-clean", "1")
        await pick(pilot, "Leave it as it is")
        assert lines(pilot)[0].startswith("+ taken: uncovered, examples of disc-clean |")
    assert desk.written()["uncovered.txt"] == f"{READER}\ncard reader takes no card\n"


def many(desk: Desk, count: int) -> list[Group]:
    group = desk.groups[0]
    return [
        group._replace(key=f"{n:08x}", wordings=((f"wording {n}", 1),), askings=100 - n) for n in range(1, count + 1)
    ]


@SIZES
async def test_ten_lines_a_page(desk: Desk, size: tuple[int, int]) -> None:
    async with desk.app(many(desk, 23)).run_test(size=size) as pilot:
        await pilot.pause()
        assert len(lines(pilot)) == 10
        await answer(pilot, "previous")
        assert said(pilot) == "This is the first."
        await answer(pilot, "next")
        assert "wording 11 " in lines(pilot)[0]
        assert "11 to 20 of 23" in painted(pilot)
        await answer(pilot, "next")
        assert [text.split("wording ")[1].split()[0] for text in lines(pilot)] == ["21", "22", "23"]
        await answer(pilot, "next")
        assert said(pilot) == "This is the last."
        await answer(pilot, "4")
        assert said(pilot) == "Type 1 to 3."
        line(pilot).value = ""
        for _ in range(30):
            await press(pilot, "pageup")
        assert "wording 1 " in lines(pilot)[0]
        for _ in range(30):
            await press(pilot, "pagedown")
        assert "wording 21 " in lines(pilot)[0]


async def test_next_and_previous_go_on_in_an_open_group_and_back_finds_its_line(desk: Desk) -> None:
    async with desk.app(many(desk, 23)).run_test(size=NARROW) as pilot:
        await answer(pilot, "10")
        assert "wording 10" in painted(pilot)
        await answer(pilot, "next")
        assert "wording 11" in painted(pilot)
        await answer(pilot, "previous")
        assert "wording 10" in painted(pilot)
        await pilot.pause()
        await answer(pilot, "back")
        await pilot.pause()
        assert "wording 10" in painted(pilot)
        assert "11 to 20" not in painted(pilot)
        assert lines(pilot)[9].count("wording 10")


async def test_no_group_is_told_and_the_program_is_left(desk: Desk) -> None:
    app = desk.app([])
    async with app.run_test(size=NARROW) as pilot:
        await pilot.pause()
        assert "Every question found its answer." in painted(pilot)
        await answer(pilot, "1")
        assert said(pilot) == "There is no numbered line here."
        await answer(pilot, "back")
        assert said(pilot) == "This is the first page; leave closes the program."
        await answer(pilot, "leave")
    assert app.return_value == ExitCode.DONE


async def test_ctrl_c_twice_closes(desk: Desk) -> None:
    app = desk.app()
    async with app.run_test(size=WIDE) as pilot:
        await press(pilot, "ctrl+c")
        assert "again to close" in said(pilot)
        await press(pilot, "ctrl+c")
    assert app.return_value == ExitCode.INTERRUPTED


async def test_everything_can_be_tapped(desk: Desk) -> None:
    async with desk.app(many(desk, 12)).run_test(size=WIDE) as pilot:
        await pilot.pause()
        await tap_foot(pilot, "next")
        assert len(lines(pilot)) == 2
        await tap(pilot, pilot.app.screen.query(OfferLine).last())
        assert lines(pilot)[-1] == "Back to the groups"
        await tap_foot(pilot, "back")
        assert len(lines(pilot)) == 2
        await tap_foot(pilot, "help")
        assert "as a new note, or as what no note is to cover" in painted(pilot)
        await press(pilot, "escape")
        assert len(lines(pilot)) == 2


@SIZES
async def test_the_gate_falls_short_in_words_before_the_misses(release: ReleaseApp, size: tuple[int, int]) -> None:
    async with release.run_test(size=size) as pilot:
        await pilot.pause()
        shown = painted(pilot)
        assert "The release falls short: 1 of 2 bars are not reached." in shown
        assert "! P@1: 0.400, at least 0.99; 2/5 [0.053, 0.853]" in shown
        assert shown.index("! P@1") < shown.index("+ false answers: 1.000, at most 1; 1/1")
        assert lines(pilot) == [
            "Safety: lost, or a false alarm: 1",
            "Outranked by another note: 3",
            "A word that no note has: 1",
            "The right note only among those offered: 1",
            "Uncovered, but answered: 1",
            "Plain: 2 of 3",
            "Long: 1 of 1",
            "Uncovered: 1 of 1",
            "pad: 2 of 2",
            "safety: 1 of 1",
        ]


@pytest.mark.parametrize(
    ("bars", "told", "sign"),
    [(MET, "The gate is passed: all 2 bars are reached.", "+ P@1"), (None, "No bars were given", "Misses by reason")],
)
async def test_the_gate_is_passed_or_there_is_none(
    mini_pack: Pack, scored: Study, bars: Bars | None, told: str, sign: str
) -> None:
    found = study(mini_pack, scored.report, bars)
    async with ReleaseApp(found, Assistant(mini_pack)).run_test(size=WIDE) as pilot:
        await pilot.pause()
        assert told in painted(pilot)
        assert sign in painted(pilot)
        assert "The release falls short" not in painted(pilot)


@SIZES
async def test_a_miss_is_opened_with_the_card_that_the_rep_sees(release: ReleaseApp, size: tuple[int, int]) -> None:
    async with release.run_test(size=size) as pilot:
        await pick(pilot, "Outranked")
        assert len(lines(pilot)) == 3
        second = lines(pilot)[1]
        assert second.startswith(
            "unplug the display lead | wanted pad-cable-damage; offered first screen-no-signal; outranked by "
        )
        await answer(pilot, "2")
        shown = await everything(pilot)
        for text in (
            "Asked: unplug the display lead",
            "Label: q5, plain",
            "What the rep sees",
            "Read as: unplug display lead",
        ):
            assert text in shown
        assert "Misses: 2 of 3" in shown
        title = release.at.study.titles["screen-no-signal"]
        assert title.split()[0] in shown.partition("What the rep sees")[2]
        assert lines(pilot) == []
        await answer(pilot, "next")
        assert "Misses: 3 of 3" in painted(pilot)
        await answer(pilot, "next")
        assert said(pilot) == "This is the last."
        await answer(pilot, "previous", "previous")
        assert "Misses: 1 of 3" in painted(pilot)
        await press(pilot, "escape")
        assert len(lines(pilot)) == 3
        await press(pilot, "escape")
        assert len(lines(pilot)) == 10
        await press(pilot, "escape")
        assert len(lines(pilot)) == 10


async def test_a_hostile_question_of_a_miss_is_shown_harmlessly(release: ReleaseApp) -> None:
    async with release.run_test(size=WIDE) as pilot:
        await pick(pilot, "Long")
        assert "\x1b" not in lines(pilot)[0]
        await answer(pilot, "1")
        shown = painted(pilot)
        assert f"display shows no signal {SHOWN}" in shown
        assert not {"\x1b", "\u202e"} & set(shown)


async def test_misses_stand_ten_a_page(mini_pack: Pack, scored: Study) -> None:
    miss = scored.misses[0]
    found = scored._replace(misses=[miss] * 12)
    async with ReleaseApp(found, Assistant(mini_pack)).run_test(size=NARROW) as pilot:
        await answer(pilot, "1")
        assert len(lines(pilot)) == 10
        await answer(pilot, "next")
        assert len(lines(pilot)) == 2
        await answer(pilot, "2", "")
        assert "Misses: 12 of 12" in painted(pilot)
        await answer(pilot, "back")
        assert len(lines(pilot)) == 2


@pytest.mark.parametrize("show", [show_groups, show_release])
def test_without_a_terminal_the_screen_is_refused(
    show: Callable[[argparse.Namespace], int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    with pytest.raises(UsageError, match="needs a terminal; leave --screen out") as refused:
        show(argparse.Namespace())
    assert refused.value.exit_code == ExitCode.USAGE


@pytest.mark.parametrize("width", [100, 40])
@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
async def test_every_painted_pair_is_readable_and_named(
    desk: Desk, release: ReleaseApp, theme: Theme, width: int
) -> None:
    named = {(rgb(colours(theme)[a]), rgb(colours(theme)[b])) for a, b in PAIRS}
    seen = set()
    apps: list[tuple[App[int], tuple[str, ...]]] = [
        (desk.app(), ("1", "2", "outlet strip has no power", "1")),
        (release, ("1", "1")),
    ]
    for app, texts in apps:
        app.theme = theme.name
        async with app.run_test(size=(width, 60)) as pilot:
            await pilot.pause()
            seen |= set(_painted(app))  # type: ignore[arg-type]
            for text in texts:
                await answer(pilot, text)
                seen |= set(_painted(app))  # type: ignore[arg-type]
            for keys in (("h", "enter"), ("tab",)):
                await press(pilot, *keys)
                seen |= set(_painted(app))  # type: ignore[arg-type]
    assert len(seen) >= 6
    assert not {pair for pair in seen if contrast(*pair) < LEAST}
    assert seen <= named


@SIZES
@pytest.mark.parametrize("page", ["groups", "group", "new-note", "help"])
def test_groups_look_as_before(desk: Desk, snap_compare: Compare, page: str, size: tuple[int, int]) -> None:
    async def act(pilot: Pilot[int]) -> None:
        await pilot.pause()
        if page in {"group", "new-note"}:
            await pick(pilot, READER)
        if page == "new-note":
            await pick(pilot, "A new note")
            await answer(pilot, "hand-card-reader", "Reader takes no card")
        if page == "help":
            await answer(pilot, "help")
        assert line(pilot).has_focus
        await pilot.pause()

    assert snap_compare(desk.app(), terminal_size=size, run_before=act)


@SIZES
@pytest.mark.parametrize("page", ["figures", "misses", "miss"])
def test_release_looks_as_before(release: ReleaseApp, snap_compare: Compare, page: str, size: tuple[int, int]) -> None:
    async def act(pilot: Pilot[int]) -> None:
        await pilot.pause()
        if page != "figures":
            await pick(pilot, "Outranked")
        if page == "miss":
            await answer(pilot, "2")
        assert line(pilot).has_focus
        await pilot.pause()

    assert snap_compare(release, terminal_size=size, run_before=act)
