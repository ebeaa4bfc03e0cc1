"""Lines of JSON that nobody has vouched for."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.evaluation.jsonl import json_object
from assistant.evaluation.labels import read_questions, read_talks

DEEP = "[" * 100_000


WRONG = ("", "7", "[]", "{", '{"a": 1} x', DEEP, f'{{"a": {DEEP}', b"\xff", b'{"a": "\xed\xa0\x80"}')


@pytest.mark.parametrize("line", WRONG, ids=range(len(WRONG)))
def test_what_is_no_object_is_none(line: str | bytes) -> None:
    assert json_object(line) is None


def test_text_and_bytes_are_the_same_object() -> None:
    assert json_object('{"a": "\u00e9"}') == json_object('{"a": "\u00e9"}'.encode()) == {"a": "\u00e9"}


def test_a_line_that_is_nested_too_deeply_is_told(tmp_path: Path) -> None:
    path = tmp_path / "labels.jsonl"
    path.write_text(f"\n{DEEP}\n", "utf-8")
    for read in (read_questions, read_talks):
        with pytest.raises(NotesError, match=r"labels.jsonl:2: not a JSON object"):
            read(path)
