"""Saving an answer: where it goes, that nothing is overwritten, and what is said when it fails."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Static

from assistant.model import Answer, Note
from assistant.tui.ask.app import StationApp
from assistant.tui.common.pressable import ActionKey
from assistant.tui.common.question import QuestionLine
from assistant.tui.common.saving import save_answer

CAP = "controller stick cap broken?"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


async def _ask_and_save(app: StationApp, question: str, *, times: int = 1) -> str:
    async with app.run_test(size=(100, 60)) as pilot:
        app.screen.query_one(QuestionLine).value = question
        await pilot.press("enter")
        await pilot.pause()
        for _ in range(times):
            await pilot.press("f3")
        return str(app.screen.query_one("#notice", Static).content)


async def test_answer_is_saved_as_plain_text(app: StationApp, folder: Path) -> None:
    said = await _ask_and_save(app, CAP)
    path = folder / "answer-pad-stick-cap-1.txt"
    assert said == f"Saved: {path}"
    text = path.read_text("utf-8")
    assert text.startswith(f"Asked: {CAP}\n")
    assert "! CAUTION: A bare stick has a sharp edge." in text
    assert "> 1. Look at both sticks of the pad." in text


async def test_tap_saves_too(app: StationApp, folder: Path) -> None:
    async with app.run_test(size=(100, 60)) as pilot:
        app.screen.query_one(QuestionLine).value = "hello"
        await pilot.press("enter")
        await pilot.pause()
        key = next(key for key in app.screen.query(ActionKey) if key.action_id == "save")
        await pilot.click(key)
        await pilot.pause()
    assert [path.name for path in folder.iterdir()] == ["answer-question-1.txt"]


async def test_nothing_is_overwritten(app: StationApp, folder: Path) -> None:
    kept = folder / "answer-pad-stick-cap-1.txt"
    kept.write_text("kept")
    (folder / "answer-pad-stick-cap-2.txt").symlink_to(folder / "elsewhere")
    await _ask_and_save(app, CAP, times=2)
    assert kept.read_text() == "kept"
    assert not (folder / "elsewhere").exists()
    assert (folder / "answer-pad-stick-cap-3.txt").exists()
    assert (folder / "answer-pad-stick-cap-4.txt").exists()


async def test_without_an_answer_nothing_is_saved(app: StationApp, folder: Path) -> None:
    async with app.run_test() as pilot:
        await pilot.press("f3")
        assert "No answer yet" in str(app.screen.query_one("#notice", Static).content)
    assert list(folder.iterdir()) == []


async def test_missing_permission_is_said_in_words(
    app: StationApp, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path, *_: Any, **__: Any) -> None:
        raise PermissionError(errno.EACCES, "Permission denied", str(self))

    monkeypatch.setattr(Path, "open", refuse)
    said = await _ask_and_save(app, CAP)
    assert said == f"Not saved: Permission denied. {folder / 'answer-pad-stick-cap-1.txt'}"


def test_full_disk_leaves_no_part_of_a_file(
    answers: dict[str, Answer], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = Path.open

    class FullDisk:
        def __init__(self, file: Any) -> None:
            self.file = file

        def __enter__(self) -> FullDisk:
            return self

        def __exit__(self, *_: object) -> None:
            self.file.close()

        def write(self, text: str) -> None:
            self.file.write(text[:5])
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "open", lambda self, *a, **k: FullDisk(opened(self, *a, **k)))
    with pytest.raises(OSError, match="No space left") as raised:
        save_answer(answers[CAP], "text")
    assert raised.value.filename == str(folder / "answer-pad-stick-cap-1.txt")
    assert list(folder.iterdir()) == []


def test_note_id_cannot_lead_out_of_the_folder(
    answers: dict[str, Answer], mini_notes: dict[str, Note], folder: Path
) -> None:
    hostile = mini_notes["disc-clean"]._replace(id="../../disc/x\x00-y")
    path = save_answer(answers[CAP]._replace(note=hostile), "text")
    assert path == folder / "answer-discx-y-1.txt"
