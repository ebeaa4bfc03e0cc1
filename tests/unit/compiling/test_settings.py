"""Settings that a pack is compiled with."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from assistant.compiling.settings import (
    OWN_SETTINGS,
    corpus_settings,
    default_settings,
    read_settings,
    settings_from_json,
    shipped_settings,
)
from assistant.errors import NotesError
from assistant.pack.format import FIELDS


def test_settings_that_ship_can_be_read() -> None:
    settings = default_settings()
    assert set(settings.bm25f.weight) == set(settings.bm25f.b) == set(FIELDS)
    assert settings.linear.inverse_penalty > 0
    assert settings.linear.least_weight > 0
    assert {"bm25f_share", "bars", "harm", "turn", "labelled"} <= set(settings.decision)


def test_what_is_no_settings_is_refused() -> None:
    with pytest.raises((ValueError, KeyError, TypeError)):
        settings_from_json("{}")
    with pytest.raises(ValueError, match="Expecting"):
        settings_from_json("")


def test_a_folder_of_notes_may_hold_its_own(tmp_path: Path) -> None:
    assert corpus_settings(None) == corpus_settings(tmp_path) == default_settings()
    data = json.loads(shipped_settings())
    data["decision"]["bars"]["lead"] += 50
    (tmp_path / OWN_SETTINGS).write_text(json.dumps(data), "utf-8")
    assert corpus_settings(tmp_path).decision == data["decision"] != default_settings().decision


def _without(name: str) -> str:
    data: dict[str, Any] = json.loads(shipped_settings())
    del data["decision"][name]
    return json.dumps(data)


@pytest.mark.parametrize(
    "text", ["", "{}", "[]", "null", "\x00", *map(_without, ("bars", "harm", "right", "turn", "labelled")), "[" * 5000]
)
def test_a_file_of_another_form_is_refused_by_name(tmp_path: Path, text: str) -> None:
    (tmp_path / OWN_SETTINGS).write_text(text, "utf-8")
    with pytest.raises(NotesError, match=r"settings\.json:1: no settings as 'score tune' writes them"):
        corpus_settings(tmp_path)
    with pytest.raises(NotesError, match="cannot be read"):
        read_settings(tmp_path)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("linear", "least_weight"), float("nan")),
        (("linear", "least_weight"), "60"),
        (("linear", "inverse_penalty"), 0),
        (("linear", "inverse_penalty"), -1),
        (("linear", "pairs"), 10**9),
        (("linear", "word_texts"), 1.5),
        (("analysis", "vocabulary_weight"), 400),
        (("analysis", "vocabulary_weight"), -40),
        (("analysis", "repair"), 1),
        (("bm25f", "k1"), "a"),
        (("bm25f", "weight"), {"title": 1}),
        (("chunk_points",), 10**400),
        (("chunk_points",), -100),
        (("steps", "alpha"), float("inf")),
    ],
    ids=str,
)
def test_a_number_out_of_bounds_is_refused_with_the_file(tmp_path: Path, place: tuple[str, ...], value: object) -> None:
    data: dict[str, Any] = json.loads(shipped_settings())
    *outer, last = place
    held = data
    for name in outer:
        held = held[name]
    held[last] = value
    path = tmp_path / "settings.json"
    path.write_text(json.dumps(data), "utf-8")
    with pytest.raises(NotesError, match=r"settings\.json:1: no settings as 'score tune' writes them"):
        read_settings(path)
