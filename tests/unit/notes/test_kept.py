"""What was made of a file stays until the file's text is another."""

from __future__ import annotations

import pytest

from assistant.notes.kept import Kept


def test_made_once_for_each_text_however_many_there_are() -> None:
    made: list[tuple[str, str]] = []

    def make(text: str, shown: str) -> str:
        made.append((shown, text))
        return f"{shown}: {text}"

    kept = Kept(make)
    names = [f"pad/{n}.md" for n in range(5000)]
    for _ in range(2):
        assert [kept("dark", name) for name in names] == [f"{name}: dark" for name in names]
    assert len(made) == len(names)
    assert kept("bright", names[7]) == "pad/7.md: bright"
    assert kept("dark", names[8]) == "pad/8.md: dark"
    assert made[len(names) :] == [(names[7], "bright")]


def test_nothing_is_kept_of_what_cannot_be_made() -> None:
    tries = []

    def make(text: str, _: str) -> str:
        tries.append(text)
        if len(tries) == 2:
            raise ValueError(text)
        return text

    kept = Kept(make)
    assert kept("a", "x") == "a"
    with pytest.raises(ValueError, match="b"):
        kept("b", "x")
    assert kept("b", "x") == "b"
    assert tries == ["a", "b", "b"]
