"""What the screen remembers, and that a damaged or locked file costs nothing but that."""

from __future__ import annotations

import gc
import json
from pathlib import Path

import pytest

from assistant.tui.ask.app import StationApp
from assistant.tui.common.settings import Settings
from assistant.tui.common.theme import DARK, LIGHT
from tests.tui.conftest import ScriptedAsks


def test_nothing_is_written_before_something_is_changed(tmp_path: Path) -> None:
    settings = Settings(tmp_path / "home")
    assert (settings.dark, settings.folder) == (True, tmp_path / "home/saved")
    assert list(tmp_path.iterdir()) == []


def test_what_was_changed_is_there_at_the_next_start(tmp_path: Path) -> None:
    settings = Settings(tmp_path / "home")
    settings.turn()
    settings.save_in(tmp_path / "else")
    again = Settings(tmp_path / "home")
    assert (again.dark, again.folder) == (False, tmp_path / "else")
    again.turn()
    assert Settings(tmp_path / "home").dark


def test_what_is_remembered_is_for_nobody_but_its_owner(tmp_path: Path) -> None:
    Settings(tmp_path / "home").turn()
    assert (tmp_path / "home").stat().st_mode & 0o777 == 0o700
    assert (tmp_path / "home/screen.json").stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    "raw",
    [b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"dark": "no", "folder": 3}', b'{"folder": ""}', b"[" * 100_000],
    ids=lambda raw: repr(raw[:12]),
)
def test_a_damaged_file_means_the_defaults(tmp_path: Path, raw: bytes) -> None:
    (tmp_path / "screen.json").write_bytes(raw)
    settings = Settings(tmp_path)
    assert (settings.dark, settings.folder) == (True, tmp_path / "saved")
    settings.turn()
    assert json.loads((tmp_path / "screen.json").read_text()) == {"dark": False, "folder": str(tmp_path / "saved")}


def test_a_file_that_cannot_be_written_is_no_failure(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("a file where the folder is to be")
    settings = Settings(tmp_path / "home")
    settings.turn()
    assert not settings.dark
    assert Settings(tmp_path / "home").dark


def test_without_a_home_nothing_is_remembered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Settings().turn()
    assert Settings().dark
    assert list(tmp_path.iterdir()) == []


async def test_the_program_begins_as_it_was_left(asks: ScriptedAsks, home: Path) -> None:
    Settings(home).turn()
    app = StationApp(asks, str, asks.notes.get, settings=Settings(home))
    async with app.run_test() as pilot:
        assert app.theme == "station-light"
        assert (app.has_class("-light-mode"), app.has_class("-dark-mode")) == (True, False)
        assert app.screen.styles.background.hex.lower() == LIGHT.variables["page"]
        app.action_toggle_form()
        await pilot.pause()
        assert (app.has_class("-light-mode"), app.has_class("-dark-mode")) == (False, True)
        assert app.screen.styles.background.hex.lower() == DARK.variables["page"]


async def test_garbage_is_looked_for_again_once_the_first_frame_stands(app: StationApp) -> None:
    gc.disable()
    try:
        async with app.run_test() as pilot:
            await pilot.pause()
            assert gc.isenabled()
    finally:
        gc.enable()
