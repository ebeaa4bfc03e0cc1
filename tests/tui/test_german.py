"""The screens over a German pack: asked, picked, helped, saved and worked through without an English word."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from assistant.answering.assistant import Assistant
from assistant.cli.output import answer_text
from assistant.journal.records import Act
from assistant.journal.store import Journal
from assistant.languages import speak
from assistant.pack.reader import Pack
from assistant.tui.ask.app import StationApp
from assistant.tui.ask.paper import Paper
from assistant.tui.common.foot import Foot
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.settings import Settings
from assistant.tui.visit.harm_screen import HarmScreen
from assistant.tui.visit.screen import VisitScreen
from assistant.tui.visit.work_screen import WorkScreen
from assistant.visiting.recorder import Recorder
from assistant.visiting.waits import waiting_seconds
from assistant.visiting.walk import choices
from tests.german import english_left
from tests.tui.bench import NARROW, WIDE, answer, press, said, until


@pytest.fixture
def german_app(german_pack: Pack, tmp_path: Path) -> Iterator[StationApp]:
    speak(german_pack.language.code)
    to_text = partial(answer_text, width=80)
    yield StationApp(Assistant(german_pack), to_text, german_pack.note, None, Settings(tmp_path))


def shown(pilot: Pilot[int]) -> list[str]:
    """Return every text that the screen holds, drawn or waiting below."""
    screen = pilot.app.screen
    widgets = [widget for kind in (Static, Hanging) for widget in screen.query(kind)]
    drawn = [str(widget.render()) for widget in widgets if isinstance(widget, Static) or widget.content_size.width]
    sheets = [sheet for paper in screen.query(Paper) for sheet in paper.sheets]
    papers = [f"{paragraph.lead}{paragraph.body}" for sheet in sheets for paragraph in sheet.paragraphs]
    feet = [text for foot in screen.query(Foot) for _, text, _ in foot.words()]
    tips = [str(widget.tooltip) for widget in screen.query("*") if widget.tooltip]
    return [*drawn, *papers, *feet, *tips, *(line.placeholder for line in screen.query(Input))]


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
async def test_no_page_of_the_ask_screen_holds_an_english_word(german_app: StationApp, size: tuple[int, int]) -> None:
    async with german_app.run_test(size=size) as pilot:
        await pilot.pause()
        assert english_left(shown(pilot)) == []
        assert any("Was geht nicht?" in text for text in shown(pilot))
        for text in (
            "taste klemmt",
            "controller kaputt",
            "2",
            "pinguine",
            "hilfe es raucht",
            "hilfe",
            "9",
            "wie lange?",
        ):
            await answer(pilot, text)
            assert english_left(shown(pilot)) == [], text


async def test_german_words_do_what_they_say_and_letters_stay(german_app: StationApp, tmp_path: Path) -> None:
    async with german_app.run_test(size=WIDE) as pilot:
        await answer(pilot, "Hilfe")
        assert any("Das Wort oder seinen Buchstaben eingeben" in text for text in shown(pilot))
        await answer(pilot, "h")
        assert not any("Das Wort oder seinen Buchstaben eingeben" in text for text in shown(pilot))
        await answer(pilot, "taste klemmt")
        assert any("Nicht das? Andere Notizen" in text for text in shown(pilot))
        await answer(pilot, f"speichern in {tmp_path / 'hier'}")
        await until(pilot, lambda: bool(said(pilot)))
        assert said(pilot).startswith("Gespeichert: pad-taste-klemmt-")
        (saved,) = (tmp_path / "hier").iterdir()
        assert english_left(saved.read_text("utf-8").splitlines()) == []
        assert saved.read_text("utf-8").startswith("Gefragt: taste klemmt")
        await answer(pilot, "andere Notiz")
        assert english_left(shown(pilot)) == []
        await answer(pilot, "gehen")
    assert german_app.return_code == 0


async def test_no_page_of_working_through_a_note_holds_an_english_word(german_pack: Pack, tmp_path: Path) -> None:
    speak(german_pack.language.code)
    with Journal(tmp_path / "journal.db") as journal:
        recorder = Recorder(journal, german_pack.trade, german_pack.harm_ids)
        app = StationApp(Assistant(german_pack), str, german_pack.note, recorder, Settings(tmp_path))
        async with app.run_test(size=WIDE) as pilot:
            await answer(pilot, "taste klemmt", "arbeiten")
            await until(pilot, lambda: isinstance(app.screen, WorkScreen))
            pages = [shown(pilot)]
            for text in ("alle", "alle", "Hilfe", "h", "2", ""):
                await answer(pilot, text)
                pages.append(shown(pilot))
            await answer(pilot, "hilfe es raucht")
            assert isinstance(app.screen, HarmScreen)
            pages.append(shown(pilot))
            await press(pilot, "escape")
            pages.append(shown(pilot))
            await press(pilot, "space")
            pages.append(shown(pilot))
            for text in ("", "Zeit", "festhalten", "3", "vor Ort gereinigt", "", "", "auslassen", "schon sauber"):
                await answer(pilot, text)
                pages.append(shown(pilot))
            for text in ("Ende", "2", "1", "2", "", ""):
                await answer(pilot, text)
                pages.append(shown(pilot))
                if not isinstance(app.screen, WorkScreen):
                    break
            told = [act.act for act in journal.all(Act)]
    for page in pages:
        assert english_left(page) == []
    texts = {text for page in pages for text in page}
    assert any("Bei diesem Schritt wartet man 10:00." in text for text in texts)
    assert any("Lies es, dann Leertaste" in text for text in texts)
    assert told[:5] == ["done", "done", "acknowledged", "done", "waiting"]


def test_a_choice_in_german_that_holds_in_all_other_cases_is_known(german_pack: Pack) -> None:
    speak(german_pack.language.code)
    note = german_pack.note("pad-taste-klemmt")
    assert note is not None
    first, last = note.steps[0], note.steps[-1]
    assert choices(last) == last.branches
    assert choices(first._replace(branches=first.branches[1:]))[-1].text == "Nichts davon: weitermachen."
    assert [waiting_seconds(step.text) for step in note.steps] == [None, None, None, 600, None]


async def test_the_words_of_the_visit_screen_are_german(german_pack: Pack, tmp_path: Path) -> None:
    """From the first page to the report, with what is refused, taken back, open, planned and in the bag."""
    speak(german_pack.language.code)
    with Journal(tmp_path / "journal.db") as journal:
        recorder = Recorder(journal, german_pack.trade, german_pack.harm_ids)
        app = StationApp(Assistant(german_pack), str, german_pack.note, recorder, Settings(tmp_path))
        async with app.run_test(size=WIDE) as pilot:
            await answer(pilot, "Besuch")
            await until(pilot, lambda: isinstance(app.screen, VisitScreen))
            pages = [shown(pilot)]
            for text in (
                *("S-014", "A-0101 klemmt", "Kim", "1", "", "A-0101 pass", "1"),
                *("A-0102 Taste klemmt", "1", "Hilfe", "h"),
            ):
                await answer(pilot, text)
                pages.append(shown(pilot))
            await answer(pilot, "gehen")
            recorder.see("A-0105", "fault", condition="Akku ist dick", plays="danger")
            for text in ("A-0103", "5", "2 bildkabel", "2", "A-0103", "5", "2 pinguine"):
                await answer(pilot, text)
                pages.append(shown(pilot))
            await press(pilot, "escape")
            for text in (
                *("A-0105 pass", "Kai", "R-1", "", "A-0106", "8", "1", "ein Gast griff hin", ""),
                *("rückgängig", "1", "offen", "1", "1", "", "Plan", "zurück", "Tasche", "zurück", "Rest", "zurück"),
                *("abschließen", "Frau Roth", "1", ""),
            ):
                await answer(pilot, text)
                pages.append(shown(pilot))
    for page in pages:
        assert english_left(page) == []
    texts = {text for page in pages for text in page}
    assert any("Welcher Markt?" in text for text in texts)
    assert any("Besuch in S-014" in text for text in texts)
    assert "Nachricht an die Hotline" in texts
