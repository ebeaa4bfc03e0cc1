"""Where the folder of notes, the pack and the home folder are."""

from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest

from assistant.pack.places import Places, find_places, name_places


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    for name in ("ASSISTANT_HOME", "ASSISTANT_CORPUS", "ASSISTANT_PACK"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    return tmp_path


def test_places_by_default(bare: Path) -> None:
    places = find_places()
    assert places.corpus is None
    assert places.pack == places.home / "notes.pack"
    assert places.home.name == "station-assistant"
    (bare / "corpus").mkdir()
    places = find_places()
    assert places.corpus == Path("corpus")
    assert places.pack.parent == places.home / "compiled"


def test_options_go_before_the_environment(bare: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("home", "corpus", "pack"):
        monkeypatch.setenv(f"ASSISTANT_{name.upper()}", f"{name}-env")
    assert find_places() == Places(Path("home-env"), Path("corpus-env"), Path("pack-env"))
    assert find_places("c", "p", "h") == Places(Path("h"), Path("c"), Path("p"))


def test_a_named_pack_is_used_as_it_is_unless_notes_are_named_too(bare: Path) -> None:
    (bare / "corpus").mkdir()
    assert find_places(pack="p").corpus is None
    assert find_places("corpus", "p").corpus == Path("corpus")


def test_each_folder_of_notes_has_its_own_pack(bare: Path) -> None:
    one, two = find_places("one", home="h"), find_places("two", home="h")
    assert one.pack != two.pack
    assert find_places(str(bare / "one"), home="h").pack == one.pack


@pytest.mark.parametrize("shared", ["", "data", "/somewhere/data", "/somewhere//data/"])
def test_home_is_where_data_of_a_user_lie(bare: Path, monkeypatch: pytest.MonkeyPatch, shared: str) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", shared)
    assert find_places().home == Path(platformdirs.user_data_dir("station-assistant", appauthor=False))


@pytest.mark.parametrize("name", ["a", "./a", "a/", "a//b", "/a/./b/", "a/.", "../a", "a/../b", "//a"])
def test_names_are_written_as_pathlib_writes_them(bare: Path, name: str) -> None:
    named = name_places(name, name, name)
    assert [named.home, named.corpus, named.pack] == [str(Path(name))] * 3
    assert named.journal == str(find_places(home=name).journal)
