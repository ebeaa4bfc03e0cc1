"""Saving an answer: where it goes, that nothing is overwritten, and what is said when it fails."""

from __future__ import annotations

import errno
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Static

from assistant.tui.ask.app import StationApp
from assistant.tui.common.question import QuestionLine
from assistant.tui.common.saving import save_text
from assistant.tui.common.settings import Settings

CAP = "controller stick cap broken?"
MOMENT = datetime(2026, 3, 2, 9, 5, tzinfo=UTC)
STAMP = f"{MOMENT.astimezone():%Y-%m-%d-%H%M}"


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")


async def _say(app: StationApp, *texts: str) -> str:
    async with app.run_test(size=(100, 60)) as pilot:
        for text in texts:
            app.screen.query_one(QuestionLine).value = text
            await pilot.press("enter")
            await pilot.pause()
        return str(app.screen.query_one("#notice", Static).content)


def saved(folder: Path) -> list[Path]:
    return sorted(folder.iterdir())


@pytest.mark.parametrize("word", ["save", "s"])
async def test_answer_is_saved_as_plain_text_in_the_known_folder(app: StationApp, home: Path, word: str) -> None:
    said = await _say(app, CAP, word)
    (path,) = saved(home / "saved")
    assert path.name.startswith("pad-stick-cap-20")
    assert said == f"Saved: {path.name} in {path.parent}."
    text = path.read_text("utf-8")
    assert text.startswith(f"Asked: {CAP}\n")
    assert "! CAUTION: A bare stick has a sharp edge." in text
    assert "> 1. Look at both sticks of the pad." in text
    assert list(Path.cwd().iterdir()) == []


async def test_another_folder_is_made_used_at_once_and_remembered(app: StationApp, home: Path, tmp_path: Path) -> None:
    said = await _say(app, "hello", f"Save in {tmp_path / 'my own'}", "s")
    assert len(saved(tmp_path / "my own")) == 2
    assert said.endswith(f" in {tmp_path / 'my own'}.")
    assert Settings(home).folder == tmp_path / "my own"
    assert not (home / "saved").exists()


async def test_a_folder_can_be_named_before_anything_is_asked(app: StationApp, home: Path) -> None:
    assert await _say(app, "save in notes") == f"What you save goes to {Path.cwd() / 'notes'} from now on."
    assert Settings(home).folder == Path.cwd() / "notes"


async def test_a_folder_that_cannot_be_is_refused_and_not_remembered(
    app: StationApp, home: Path, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("")
    said = await _say(app, "hello", f"save in {tmp_path / 'file' / 'below'}")
    assert said == f"{tmp_path / 'file' / 'below'} cannot be saved in: Not a directory."
    assert Settings(home).folder == home / "saved"


async def test_without_an_answer_nothing_is_saved(app: StationApp, home: Path) -> None:
    assert await _say(app, "s") == "No answer yet. Ask first."
    assert not home.exists()


async def test_missing_permission_is_said_in_words(
    app: StationApp, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path, *_: Any, **__: Any) -> None:
        raise PermissionError(errno.EACCES, "Permission denied", str(self))

    monkeypatch.setattr(Path, "mkdir", refuse)
    said = await _say(app, CAP, "s")
    assert said == f"Not saved in {home / 'saved'}: Permission denied. To save elsewhere: save in FOLDER."


def test_a_file_is_named_after_note_station_and_local_time(tmp_path: Path) -> None:
    assert save_text(tmp_path, ("pad-stick-cap", "A-0101"), MOMENT, "t").name == f"pad-stick-cap-A-0101-{STAMP}.txt"
    assert save_text(tmp_path, ("question", ""), MOMENT, "t").name == f"question-{STAMP}.txt"


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    kept = tmp_path / f"x-{STAMP}.txt"
    kept.write_text("kept")
    (tmp_path / f"x-{STAMP}-2.txt").symlink_to(tmp_path / "elsewhere")
    assert save_text(tmp_path, ("x",), MOMENT, "text").name == f"x-{STAMP}-3.txt"
    assert kept.read_text() == "kept"
    assert not (tmp_path / "elsewhere").exists()


def test_full_disk_leaves_no_part_of_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = os.fdopen

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

    monkeypatch.setattr(os, "fdopen", lambda *a, **k: FullDisk(opened(*a, **k)))
    folder = tmp_path / "full"
    with pytest.raises(OSError, match="No space left") as raised:
        save_text(folder, ("x",), MOMENT, "text")
    assert raised.value.filename == str(folder / f"x-{STAMP}.txt")
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("name", ["../../disc/x\x00-y", "/etc/x", "..", "a/b", "x" * 400])
def test_no_name_can_lead_out_of_the_folder(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "in"
    path = save_text(folder, (name,), MOMENT, "text")
    assert path.parent == folder
    assert path.resolve().parent == folder.resolve()
    assert path.exists()
