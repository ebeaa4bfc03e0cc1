"""The file of forbidden acts: families resolved, every mistake told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from assistant.errors import NotesError
from assistant.model import Act, Forbidden
from assistant.notes.forbidden import FORBIDDEN, read_forbidden

ACT = {"verbs": ["undo"], "things": ["device"], "why": "it is opened", "source": "common practice"}
WHOLE: dict[str, Any] = {
    "verbs": {"undo": ["open", "unscrew"], "pry": ["pry", "open"]},
    "things": {"device": ["pad"], "wet": ["damp"]},
    "harmless": ["pad lead"],
    "acts": {"opened": ACT},
}


def read(root: Path, sections: dict[str, Any]) -> Forbidden:
    (root / FORBIDDEN).write_text(yaml.safe_dump(sections), "utf-8")
    return read_forbidden(root)


def test_an_act_has_the_words_of_its_families_once(tmp_path: Path) -> None:
    acts = {"opened": {**ACT, "verbs": ["undo", "pry"], "marks": ["wet"], "unless": ["device"]}}
    expected = Act(
        "opened", ("open", "unscrew", "pry"), ("pad",), (), ("damp",), ("pad",), "it is opened", "common practice"
    )
    assert read(tmp_path, {**WHOLE, "acts": acts}) == Forbidden((expected,), harmless=("pad lead",))


def test_no_file_is_no_act(tmp_path: Path) -> None:
    assert read_forbidden(tmp_path) == Forbidden()


@pytest.mark.parametrize(
    ("section", "message"),
    [
        ({"verb": {}}, "unknown section 'verb'"),
        ({"verbs": []}, "'verbs' are 'family: [words]' lines"),
        ({"verbs": {"undo": "open"}}, "'verbs' are 'family: [words]' lines"),
        ({"things": {"device": [True]}}, "'things' are 'family: [words]' lines"),
        ({"harmless": "pad"}, "are lists of texts"),
        ({"idioms": [1]}, "are lists of texts"),
        ({"acts": ["opened"]}, "are lists of texts"),
        ({"acts": {"opened": []}}, "forbidden act 'opened' may have"),
        ({"acts": {"opened": {**ACT, "verb": ["undo"]}}}, "forbidden act 'opened' may have"),
        ({"acts": {"opened": {**ACT, "verbs": []}}}, "must have verbs, why and source"),
        ({"acts": {"opened": {**ACT, "why": " "}}}, "must have verbs, why and source"),
        ({"acts": {"opened": {**ACT, "source": 3}}}, "must have verbs, why and source"),
        ({"acts": {"opened": {**ACT, "of": "device"}}}, "of is a list of families"),
        ({"acts": {"opened": {**ACT, "things": ["car"]}}}, "there is no family 'car' under things"),
        ({"acts": {"opened": {**ACT, "verbs": ["device"]}}}, "there is no family 'device' under verbs"),
    ],
)
def test_a_mistake_is_told(section: dict[str, Any], message: str, tmp_path: Path) -> None:
    with pytest.raises(NotesError) as told:
        read(tmp_path, {**WHOLE, **section})
    (fault,) = told.value.faults
    assert fault.path == FORBIDDEN
    assert message in fault.message
