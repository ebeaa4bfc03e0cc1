"""Text that is safe to draw, and paragraphs that hang."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st
from textual.content import Content

from assistant.tui.common.hanging import Hanging
from assistant.tui.common.text import literal, printable


@given(st.text())
def test_nothing_but_printable_characters_is_kept(text: str) -> None:
    shown = printable(text)
    assert all(unicodedata.category(character)[0] != "C" for character in shown)
    assert printable(shown) == shown
    assert literal(text).plain == shown


@given(st.text(st.characters(codec="ascii", min_codepoint=32), max_size=200), st.integers(12, 60))
def test_wrapped_paragraph_loses_no_word_and_fits(text: str, width: int) -> None:
    body = " ".join(text.split())
    lines = Hanging("10. ", Content(body)).lines(width)
    assert all(line.cell_length <= width for line in lines)
    assert "".join("".join(line.plain for line in lines).split()) == "10." + "".join(body.split())


def test_no_width_is_too_small() -> None:
    for lead in ("", "1. "):
        assert "".join(line.plain for line in Hanging(lead, Content("one two")).lines(0)).replace(" ", "")


def test_further_lines_keep_clear_of_the_lead() -> None:
    lines = Hanging("1. ", Content("one two three four")).lines(13)
    assert [line.plain.rstrip() for line in lines] == ["1. one two", "   three four"]
