"""A plain question is understood as the full parser understands it, and its card is wrapped as `textwrap` wraps."""

from __future__ import annotations

import textwrap

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.cli import output
from assistant.cli.parser import parser_for
from assistant.cli.plain import plain_question
from assistant.errors import UsageError

_PIECES = [
    *("ask", "show", "stick cap", "broken?", "", " ", "text", "json", "xml", "-1", "-x y", "--", "@file", "é"),
    *("--pack", "--corpus", "--home", "--format", "--no-record", "--batch", "--pac", "--format=json", "-h", "--help"),
]


@given(st.lists(st.sampled_from(_PIECES), max_size=3), st.lists(st.sampled_from(_PIECES), max_size=6))
def test_what_is_plain_is_what_the_parser_finds(before: list[str], after: list[str]) -> None:
    arguments = [*before, "ask", *after]
    plain = plain_question(arguments)
    if plain is not None:
        found = vars(parser_for(arguments).parse_args(arguments))
        assert found["command"] == "ask"
        assert plain._asdict() == {name: found[name] for name in plain._fields}
        assert found["batch"] is None


@pytest.mark.parametrize(
    "arguments",
    [
        ["ask", "a", "b"],
        ["--pack", "p", "ask", "a"],
        ["--home", "h", "--corpus", "c", "ask", "--format", "json", "a", "b", "--no-record", "--pack", "p"],
        ["ask"],
    ],
)
def test_the_usual_ways_to_ask_are_plain(arguments: list[str]) -> None:
    assert plain_question(arguments) is not None


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["show", "a"],
        ["ask", "--batch", "-"],
        ["ask", "a", "--no-record", "b"],
        ["ask", "a", "--format", "xml"],
        ["ask", "a", "--format"],
        ["ask", "--help"],
        ["--format", "json", "ask", "a"],
        ["ask", "a", "--form", "json"],
    ],
)
def test_whatever_else_there_is_goes_to_the_parser(arguments: list[str]) -> None:
    assert plain_question(arguments) is None


def test_words_after_an_option_are_refused_as_before() -> None:
    with pytest.raises(UsageError, match="words come first"):
        parser_for(["ask", "a", "--no-record", "b"]).parse_args(["ask", "a", "--no-record", "b"])


_words = st.text(alphabet="ab-", min_size=0, max_size=40)


@given(
    st.sampled_from(["", "  ", "    - "]),
    st.lists(_words, max_size=30).map(" ".join),
    st.integers(1, 60),
    st.sampled_from(["", "  ", "      "]),
)
def test_lines_are_those_of_textwrap(start: str, text: str, width: int, indent: str) -> None:
    told = textwrap.wrap(start + text, max(20, width), subsequent_indent=indent, break_on_hyphens=False) or [""]
    wrapped = output._wrap(start + text, width, indent)
    assert [line.rstrip() for line in wrapped] == [line.rstrip() for line in told]
