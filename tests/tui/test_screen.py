"""The screen under a rep's hands: asking, picking, follow-ups, recall, scrolling, help, leaving."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Static

from assistant.answering.compose import SMALL_TALK
from assistant.answering.converse import Conversation
from assistant.errors import ExitCode
from assistant.model import ABOUTS, Answer
from assistant.tui.ask.app import StationApp
from assistant.tui.ask.entries import AnswerSheet, HelpSheet, Sheet, Welcome
from assistant.tui.ask.paper import Paper
from assistant.tui.ask.screen import StationScreen
from assistant.tui.common.foot import Foot
from assistant.tui.common.question import MOST_CHARACTERS, QuestionLine
from assistant.tui.common.settings import Settings
from tests.tui.bench import NARROW, WIDE, at_foot, mark, places, tap_foot, tap_paper, texts
from tests.tui.conftest import EMERGENCY, Call, ScriptedAsks

CAP = "controller stick cap broken?"


def line(app: StationApp) -> QuestionLine:
    return app.screen.query_one(QuestionLine)


def record(app: StationApp) -> Paper:
    return app.screen.query_one(Paper)


def newest(app: StationApp) -> AnswerSheet:
    sheet = record(app).newest_answer
    assert sheet is not None
    return sheet


def shows(app: StationApp, kind: type[Sheet]) -> bool:
    """Tell whether a sheet of this kind stands on the paper."""
    return any(isinstance(sheet, kind) for sheet in record(app).sheets)


def note_id(app: StationApp) -> str:
    note = newest(app).answer.note
    assert note is not None
    return note.id


def notice(app: StationApp) -> str:
    return str(app.screen.query_one("#notice", Static).content)


def painted(app: StationApp) -> str:
    """Return what the terminal shows, line by line."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip) for strip in strips)


async def ask(pilot: Pilot[int], question: str) -> None:
    pilot.app.screen.query_one(QuestionLine).value = question
    await pilot.press("enter")
    await pilot.pause()


async def test_empty_record_shows_the_welcome(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await pilot.pause()
        shown = painted(app)
        assert "Life in danger: call the local emergency number first." in shown
        assert "Local and store rules come first." in shown
        assert len(places(pilot, "option")) == 3
        assert app.focused is line(app)


@pytest.mark.parametrize("how", ["number", "tap", "tab"])
async def test_example_question_is_asked(app: StationApp, calls: list[Call], how: str) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await pilot.pause()
        if how == "number":
            await ask(pilot, "1")
        elif how == "tap":
            await tap_paper(pilot, "option")
        else:
            await pilot.press("tab", "enter")
            await pilot.pause()
        assert [call[:2] for call in calls] == [("ask", CAP)]
        assert not shows(app, Welcome)
        assert note_id(app) == "pad-stick-cap"
        assert app.focused is line(app)


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_card_is_whole_and_in_order(app: StationApp, size: tuple[int, int]) -> None:
    wide = size == WIDE
    head = [
        "Read as: controller",
        "REPLACE about 6 min",
        "Thumb stick cap torn",
        "Parts: wired pad",
        "Tools: cabinet key",
    ]
    pieces = [
        "Asked: controller",
        *(head if wide else ["REPLACE, 6 min: Thumb stick cap torn", "Needs: wired pad; cabinet key"]),
        "Before you start",
        "> 1. Look at both sticks",
        "- If both caps sit firmly",
        "! CAUTION",
        "2. Unplug the pad",
        "Result",
        "If it still fails",
        *([] if wide else ["Read as: controller"]),
        "pad-stick-cap, revision 1",
        "1 Pad lead cut or crushed",
        "work through (w) other note (o) visit (v) help (h)" if wide else "work (w) other (o) visit (v) help (h)",
    ]
    async with app.run_test(size=(size[0], 120)) as pilot:
        await ask(pilot, CAP)
        words = " ".join(painted(app).split())
        places = [words.index(piece) for piece in pieces]
        assert places == sorted(places)
        assert ("Needs: " in words) is not wide
        assert words.count("Read as: ") == 1
        assert line(app).value == ""


async def test_who_is_named_is_told_below_the_note_with_the_number(app: StationApp) -> None:
    async with app.run_test(size=(NARROW[0], 120)) as pilot:
        await ask(pilot, "fingerprints on the game disc")
        words = " ".join(painted(app).split())
        told = words.index("Support desk: 0123 456 789")
        assert words.index("If it still fails") < told < words.index("disc-clean, revision 1")
        await ask(pilot, "the pad is puffed up")
        assert "Duty manager: number not set; ask your office." in " ".join(painted(app).split())


async def test_narrow_safety_message_has_no_box(app: StationApp) -> None:
    async with app.run_test(size=(40, 120)) as pilot:
        await ask(pilot, CAP)
        assert "┏" not in painted(app)
        await pilot.resize_terminal(100, 120)
        await pilot.pause()
        assert "┏" in painted(app)


async def test_top_of_a_new_card_is_in_view(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        for question in (CAP, "hello", CAP):
            await ask(pilot, question)
            assert places(pilot, "asked")[0].y == record(app).region.y
            assert f"Asked: {question}" in painted(app).split("\n")[1]


async def test_page_keys_and_taps_scroll_while_the_line_keeps_the_focus(app: StationApp) -> None:
    async with app.run_test(size=NARROW) as pilot:
        await ask(pilot, CAP)
        down, up = app.screen.query_one("#scroll_down"), app.screen.query_one("#scroll_up")
        top = record(app).scroll_y
        assert down.display
        await pilot.press("pagedown")
        assert record(app).scroll_y > top
        assert app.focused is line(app)
        await pilot.press("pageup")
        assert record(app).scroll_y == top
        await pilot.pause()
        await pilot.click(down)
        await pilot.pause()
        assert record(app).scroll_y > top
        assert up.display
        await pilot.click(up)
        assert record(app).scroll_y == top
        assert app.focused is line(app)


async def test_nothing_more_to_scroll_is_not_offered(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await pilot.pause()
        assert not app.screen.query_one("#scroll_down").display
        assert not app.screen.query_one("#scroll_up").display


@pytest.mark.parametrize("how", ["number", "tap", "tab"])
async def test_choice_is_picked(app: StationApp, how: str) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "the game is odd")
        assert newest(app).answer.decision == "choose"
        if how == "number":
            await ask(pilot, " 2 ")
        elif how == "tap":
            await tap_paper(pilot, "option", 1)
        else:
            await pilot.press("tab", "tab", "enter")
            await pilot.pause()
        assert note_id(app) == "screen-no-signal"
        assert newest(app).question == "the game is odd"
        assert [o.id for o in newest(app).answer.options] == ["disc-clean"]
        assert app.focused is line(app)


async def test_number_picks_what_the_newest_card_shows(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        await ask(pilot, "2")
        assert note_id(app) == "disc-clean"
        assert [o.id for o in newest(app).answer.options] == ["pad-stick-cap", "pad-cable-damage", "screen-no-signal"]
        await ask(pilot, "1")
        assert note_id(app) == "pad-stick-cap"


@pytest.mark.parametrize("number", ["0", "3", "7", "42"])
async def test_number_without_such_a_line_is_refused_and_not_asked(
    app: StationApp, calls: list[Call], number: str
) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "the game is odd")
        await ask(pilot, number)
        assert notice(app) == "Type 1 to 2."
        assert line(app).value == ""
        assert len(calls) == 1
        await ask(pilot, "how long")
        await ask(pilot, number)
        assert notice(app) == "There is no numbered line here."
        await ask(pilot, "2026")
        assert calls[-1][:2] == ("ask", "2026")


async def test_option_of_an_earlier_card_can_still_be_tapped(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "the game is odd")
        await ask(pilot, CAP)
        await pilot.press("pageup")
        await pilot.pause()
        rows = painted(app).split("\n")
        earlier = next(y for y, row in enumerate(rows) if row.strip().startswith("1  Wipe a dirty"))
        await pilot.click(offset=(4, earlier))
        await pilot.pause()
        assert note_id(app) == "disc-clean"


async def test_others_go_through_the_nearest_notes_and_end(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "o")
        assert "No answer yet" in notice(app)
        await ask(pilot, CAP)
        seen = []
        for _ in range(3):
            await ask(pilot, "o")
            await pilot.pause()
            seen.append(note_id(app))
        assert seen == ["pad-cable-damage", "disc-clean", "screen-no-signal"]
        await ask(pilot, "other")
        assert "No other note is near" in notice(app)


async def test_choice_under_a_step_leads_to_its_note(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        await tap_paper(pilot, "see-note")
        assert note_id(app) == "pad-cable-damage"
        assert newest(app).answer.options[0].id == "pad-stick-cap"


async def test_name_of_a_note_leads_to_it_in_any_case(app: StationApp, calls: list[Call]) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        await ask(pilot, "Pad-cable-damage")
        assert note_id(app) == "pad-cable-damage"
        assert newest(app).question == CAP
        await ask(pilot, "SCREEN-NO-SIGNAL")
        assert note_id(app) == "screen-no-signal"
        assert newest(app).question == "screen-no-signal"
        await ask(pilot, "pad-gone")
        assert calls[-1][:2] == ("ask", "pad-gone")


async def test_note_that_is_not_there_is_said_in_words(app: StationApp, asks: ScriptedAsks) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "the game is odd")
        asks.notes.pop("disc-clean")
        await ask(pilot, "1")
        assert notice(app) == "No note 'disc-clean' in this pack."
        assert newest(app).answer.decision == "choose"


async def test_follow_up_is_asked_within_the_conversation(app: StationApp, calls: list[Call]) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        await ask(pilot, "how long")
        before = calls[-1][2]
        assert before is not None
        assert before.note == "pad-stick-cap"
        assert "About 6 minutes." in painted(app)
        await ask(pilot, "the game is odd")
        await ask(pilot, "1")
        await ask(pilot, "how long")
        assert calls[-1][2] == Conversation("disc-clean", 0, ("screen-no-signal",))


@pytest.mark.parametrize("size", [WIDE, NARROW])
@pytest.mark.parametrize(
    ("question", "below"),
    [("the pad is puffed up", "TAKE OUT OF SERVICE"), ("something here hurt me", "2 notes may fit.")],
)
async def test_whom_to_call_stands_above_the_card_and_in_view(
    app: StationApp, question: str, below: str, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await ask(pilot, question)
        words = " ".join(painted(app).replace("┃", " ").split())
        told = [f"Read as: {question}"] if size == WIDE else []
        places = [words.index(piece) for piece in (*told, f"! {EMERGENCY}", below)]
        assert places == sorted(places)
        await ask(pilot, CAP)
        assert texts(pilot, "emergency") == []


async def test_small_talk_is_answered_in_a_line_and_the_note_stays_in_hand(app: StationApp, calls: list[Call]) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        await ask(pilot, "thanks")
        asked, *shown = newest(app).paragraphs
        assert (asked.look, [paragraph.body.plain for paragraph in shown]) == ("asked", [SMALL_TALK])
        assert at_foot(pilot) == ["visit", "help"]
        await ask(pilot, "how long")
        assert "About 6 minutes." in painted(app)
        await ask(pilot, "thanks")
        await ask(pilot, CAP)
        await ask(pilot, "thanks")
        await ask(pilot, "2")
        assert calls[-1][:2] == ("show", "disc-clean")


async def test_small_talk_without_a_note_is_no_note_to_work_through(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "thanks")
        assert SMALL_TALK in " ".join(painted(app).split())
        await ask(pilot, "o")
        assert "No other note is near" in notice(app)
        await app.screen.run_action("work")
        assert "No note is shown" in notice(app)


@pytest.mark.parametrize("width", [100, 40])
async def test_every_kind_of_turn_is_drawn(app: StationApp, answers: dict[str, Answer], width: int) -> None:
    whole = {"procedure", "back"}
    for about in ABOUTS:
        answers[about] = answers[CAP]._replace(about=about, text="Told in the note's words.", options=())
    async with app.run_test(size=(width, 120)) as pilot:
        for about in ABOUTS:
            await ask(pilot, about)
            shown = painted(app)
            assert ("Told in the note's words." in shown) is (about not in {*whole, "cautions"})
            assert ("2. Unplug the pad" in shown) is (about in whole)
            assert ("! CAUTION" in shown) is (about in {*whole, "cautions", "next_if_fails", "escalate"})
            assert ("REPLACE" in shown) is (about in whole)
            assert ("pad-stick-cap, revision" in shown) is (about != "small_talk")
            assert "Not it? Other notes" not in shown


async def test_uncovered_question_is_said_plainly(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "when do i get paid")
        assert "No note covers this." in painted(app)
        await ask(pilot, "1")
        assert note_id(app) == "disc-clean"


async def test_damaged_pack_is_said_in_words_and_the_question_can_be_recalled(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "damaged")
        assert notice(app) == "The pack is damaged; compile it again."
        assert line(app).value == ""
        await pilot.press("up")
        assert line(app).value == "damaged"
        await ask(pilot, CAP)
        assert notice(app) == ""


async def test_empty_line_asks_nothing(app: StationApp, calls: list[object]) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "   ")
        assert calls == []
        assert "Type what is wrong" in notice(app)


async def test_earlier_questions_come_back(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        await ask(pilot, "hello")
        line(app).value = "half"
        await pilot.press("up")
        assert line(app).value == "hello"
        await pilot.press("up", "up")
        assert line(app).value == CAP
        await pilot.press("down", "down")
        assert line(app).value == "half"
        await tap_paper(pilot, "asked")
        assert line(app).value == "hello"


async def test_typing_on_an_option_goes_to_the_line(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "the game is odd")
        await pilot.press("tab")
        assert not line(app).has_focus
        await pilot.press("h", "i")
        assert line(app).value == "hi"
        assert line(app).has_focus


async def test_tap_on_plain_text_leaves_the_focus_on_the_line(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        await pilot.click(record(app), offset=(5, 5))
        assert app.focused is line(app)


@pytest.mark.parametrize("word", ["h", "help", "HELP"])
async def test_help_opens_closes_and_names_every_action(app: StationApp, calls: list[Call], word: str) -> None:
    async with app.run_test(size=(100, 70)) as pilot:
        await ask(pilot, CAP)
        await ask(pilot, word)
        words = " ".join(painted(app).split())
        for action in StationScreen.ACTIONS:
            assert f"{action.word} ({action.letter}): {action.tooltip}." in words
        for key in ("Esc", "Page Down", "Page Up", "Up", "Down", "Tab or Shift+Tab", "Ctrl+C"):
            assert f"{key}: " in words
        assert "Copy what is marked by dragging" in words
        assert len(calls) == 1
        await ask(pilot, word)
        assert not shows(app, HelpSheet)
        await ask(pilot, word)
        await pilot.press("escape")
        await pilot.pause()
        assert not shows(app, HelpSheet)
        line(app).value = "half"
        await pilot.press("escape")
        assert line(app).value == ""
        await pilot.press("escape")
        assert notice(app) == "To close the program, type leave."


async def test_question_closes_help_and_a_number_means_the_card(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "the game is odd")
        await ask(pilot, "h")
        await pilot.pause()
        await ask(pilot, "1")
        assert note_id(app) == "disc-clean"
        assert not shows(app, HelpSheet)


@pytest.mark.parametrize(
    ("questions", "foot"),
    [
        ([], ["visit", "help", "leave"]),
        ([CAP], ["work", "other", "visit", "help"]),
        ([CAP, "o", "o", "o"], ["work", "visit", "help"]),
        ([CAP, "how long"], ["work", "visit", "help"]),
        (["the game is odd"], ["wrong", "visit", "help"]),
        (["hello"], ["wrong", "visit", "help"]),
        (["thanks"], ["visit", "help"]),
    ],
    ids=str,
)
async def test_foot_offers_what_can_be_done_with_what_is_shown(
    app: StationApp, questions: list[str], foot: list[str]
) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await pilot.pause()
        for question in questions:
            await ask(pilot, question)
        assert at_foot(pilot) == foot


@pytest.mark.parametrize("width", [120, 60, 40, 38, 30])
async def test_no_word_of_the_foot_is_cut(app: StationApp, width: int) -> None:
    async with app.run_test(size=(width, 24)) as pilot:
        await ask(pilot, CAP)
        placed = app.screen.query_one(Foot).words()
        assert [action.id for _, _, action in placed] == ["work", "other", "visit", "help"]
        assert placed[-1][0] + len(placed[-1][1]) <= width - 2
        last = painted(app).split("\n")[-1]
        assert all(text in last for _, text, _ in placed)
        assert ("More below (Page Down)" in painted(app)) is True
        await tap_foot(pilot, "help")
        assert shows(app, HelpSheet)


async def test_tap_beside_the_words_of_the_foot_does_nothing(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        before = record(app).sheets
        await pilot.click(Foot, offset=(90, 0))
        assert record(app).sheets == before
        assert notice(app) == ""


async def test_colours_change_and_are_remembered(app: StationApp, home: Path) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, "hello")
        await ask(pilot, "colours")
        assert app.theme == "station-light"
        assert not Settings(home).dark
        await ask(pilot, "M")
        assert app.theme == "station-dark"
        assert Settings(home).dark


async def test_long_record_keeps_its_last_entries(
    app: StationApp, answers: dict[str, Answer], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.tui.ask.paper.MOST_ENTRIES", 6)
    async with app.run_test(size=WIDE) as pilot:
        for number in range(100, 109):
            await ask(pilot, f"question {number}")
        cards = [sheet.question for sheet in record(app).sheets if isinstance(sheet, AnswerSheet)]
        assert cards == [f"question {number}" for number in range(103, 109)]


async def test_resize_keeps_the_record_and_the_line(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        line(app).value = "half"
        await pilot.resize_terminal(*NARROW)
        await pilot.pause()
        assert app.screen.has_class("-narrow")
        assert line(app).value == "half"
        assert all(len(row) == 40 for row in painted(app).split("\n"))
        await pilot.resize_terminal(10, 4)
        await pilot.pause()
        await pilot.resize_terminal(*WIDE)
        await pilot.pause()
        assert app.screen.has_class("-wide")


@pytest.mark.parametrize("leave", ["l", "leave"])
async def test_leaving_is_done(app: StationApp, leave: str) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, leave)
    assert app.return_value == ExitCode.DONE


@pytest.mark.parametrize(
    "key", ["ctrl+l", "ctrl+n", "ctrl+p", "ctrl+q", "ctrl+r", "ctrl+t", "ctrl+z", *(f"f{n}" for n in range(1, 13))]
)
async def test_keys_that_terminals_use_do_nothing(app: StationApp, key: str) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        line(app).value = "half"
        before = painted(app)
        await pilot.press(key)
        await pilot.pause()
        assert app.is_running
        assert painted(app) == before
        assert line(app).value == "half"


async def test_ctrl_c_closes_at_the_second_time(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await pilot.press("ctrl+c")
        assert "again" in notice(app)
        await pilot.press("x", "ctrl+c")
        assert app.is_running
        await pilot.press("ctrl+c")
    assert app.return_value == ExitCode.INTERRUPTED


async def test_there_is_no_command_palette(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await pilot.press("ctrl+p")
        await pilot.pause()
        assert len(app.screen_stack) == 1
        assert app.focused is line(app)


@pytest.mark.parametrize("where", ["record", "line"])
async def test_ctrl_c_copies_what_is_marked_and_says_so(app: StationApp, where: str) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, CAP)
        if where == "line":
            await pilot.press(*"words", "shift+left", "shift+left")
            copied = "ds"
        else:
            await mark(pilot, (0, 1), (60, 1))
            copied = f"Asked: {CAP}"
        await pilot.press("ctrl+c")
        assert app.clipboard == copied
        assert notice(app) == "Copied."
        assert app.is_running
        await ask(pilot, "copy")
        assert notice(app) == "Copied."
        assert app.clipboard.startswith(f"Asked: {CAP}\n")
        assert "2. Unplug the pad" in app.clipboard


async def test_example_of_a_note_is_answered_from_a_real_pack(real_app: StationApp) -> None:
    async with real_app.run_test(size=WIDE) as pilot:
        await ask(pilot, "battery is swollen")
        assert "safety-swollen-cell" in {option.id for option in newest(real_app).pool}
        await ask(pilot, "controler stik cap brokn")
        assert "pad-stick-cap" in {option.id for option in newest(real_app).pool}
        assert "controller" in newest(real_app).answer.read_as


HOSTILE = "[bold red]x[/] [@click=app.exit]y[/] \x1b[2J\x1b]0;t\x07 \u202e\u200d\ufeff\x00 \U0001f9f0 end"


async def test_hostile_question_is_shown_as_it_stands(app: StationApp, calls: list[Call]) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await ask(pilot, HOSTILE)
        shown = painted(app)
        assert "[bold red]x[/] [@click=app.exit]y[/]" in shown
        _assert_harmless(shown)
        _assert_harmless(calls[-1][1])


async def test_hostile_note_is_shown_as_it_stands(app: StationApp, answers: dict[str, Answer]) -> None:
    known = answers[CAP]
    assert known.note is not None
    step = known.steps[0]._replace(text=HOSTILE, branches=(HOSTILE,))
    message = known.safety[0]._replace(text=HOSTILE)
    note = known.note._replace(title=HOSTILE, parts=(HOSTILE,), sources=(HOSTILE,), result=HOSTILE)
    option = known.options[0]._replace(title=HOSTILE)
    answers["bad"] = known._replace(note=note, steps=(step,), safety=(message,), options=(option,))
    async with app.run_test(size=(100, 120)) as pilot:
        await ask(pilot, "bad")
        shown = painted(app)
        assert shown.count("[bold red]x[/]") >= 6
        _assert_harmless(shown)


async def test_paste_of_several_lines_becomes_one_question(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        line(app).post_message(events.Paste("stick cap\r\n\x1b[31mtorn\toff\n"))
        await pilot.pause()
        assert line(app).value == "stick cap [31mtorn off"


async def test_paste_over_the_limit_is_cut_and_told(app: StationApp, calls: list[Call]) -> None:
    async with app.run_test(size=WIDE) as pilot:
        line(app).value = "dust "
        line(app).cursor_position = 5
        line(app).post_message(events.Paste("x" * (MOST_CHARACTERS + 500)))
        await pilot.pause()
        assert line(app).value == "dust " + "x" * (MOST_CHARACTERS - 5)
        assert notice(app) == "What was pasted is too long: its first 4,000 characters were kept."
        await pilot.press("enter")
        assert len(calls[-1][1]) == MOST_CHARACTERS


async def test_space_on_the_empty_line_types_nothing(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await pilot.press("space", "a", "space", "b")
        assert line(app).value == "a b"


def _assert_harmless(text: str) -> None:
    for character in "\x1b\x07\x00\u202e\u200d\ufeff":
        assert character not in text
