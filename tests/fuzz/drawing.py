"""What the targets are handed: texts and values drawn from odd pieces, and real ones with something changed in them.

All of it is JSON, so that an input that was found can be kept in a file. A lone surrogate stands for a byte that is not
UTF-8.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from hypothesis import strategies as st

__all__ = ["changed_texts", "changed_values", "odd_texts", "odd_values", "raw"]

FRAGMENTS = (
    *(
        "\x00",
        "\x07",
        "\x1b[31m",
        "\x1b]8;;http://a.invalid\x07",
        "\x7f",
        "\x85",
        "\u2028",
        "\u200d",
        "\ufe0f",
        "\u202e",
    ),
    *("\ufeff", "\ud800", "\udcff", "\U000e0041", "\U0010ffff", "\ufdfa", "\u0130", "\u00df", "\ufb01", "e\u0301" * 8),
    *("\r", "\r\n", "\n", "\n\n", "\t", " ", "\u00a0", "\u3000", "---\n", "...\n", "```\n", "    code\n"),
    *(
        "# ",
        "## Steps\n",
        "## ",
        "1. ",
        "0. ",
        "99999999999. ",
        "- ",
        "   - ",
        "> ",
        "> **WARNING** ",
        "> **",
        "**",
        "|",
    ),
    *(
        "[",
        "]",
        "[1] ",
        "[1, 2] ",
        "[99] ",
        "[a](b.md)",
        "[a](../../a.md)",
        "![a](b)",
        "<b>",
        "<!--",
        "&amp;",
        "\\",
        "`",
    ),
    *(
        ": ",
        "? ",
        "{",
        "}",
        "{a: 1}",
        "[[[[",
        "!!int ''",
        "!!python/name:a",
        "!a ",
        "&a ",
        "*a",
        "<<: ",
        "'",
        '"',
        "%",
        "@",
    ),
    *(
        "null",
        "true",
        "~",
        "0",
        "-1",
        "0x1f",
        "0b_",
        "1e999",
        "nan",
        ".inf",
        "2026-02-30",
        "12:34:56",
        "9" * 400,
        "a" * 400,
    ),
    *(
        "go to step 9",
        "go to step 1",
        "If ",
        "If not: ",
        "the work is done.",
        "=1+1",
        "\uff1d1",
        "A-0101",
        "dr-21",
        "a1-" * 30,
    ),
    *("stick", "smoke", "no power", "how long", "the second one", "why", "back", "thumbpad", "contorller"),
)
ODD_NUMBERS = (0, -1, 1, 2, 1.5, -0.0, 2**31, 2**63, -(2**63) - 1, 10**400, 1e308, float("nan"), float("inf"))

odd_texts = st.lists(
    st.sampled_from(FRAGMENTS) | st.text(max_size=12) | st.text(st.characters(codec=None), max_size=4), max_size=12
).map("".join)
odd_values: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.sampled_from(ODD_NUMBERS) | st.integers() | odd_texts,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(odd_texts, inner, max_size=3),
    max_leaves=6,
)


def raw(text: str) -> bytes:
    """Return the bytes of a text; a lone surrogate becomes the byte, or the three bytes, that are not UTF-8."""
    try:
        return text.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:
        return text.encode("utf-8", "surrogatepass")


@st.composite
def changed_texts(draw: st.DrawFn, bases: Sequence[str]) -> str:
    """Draw one of some texts with up to four changes: something put in, taken out, doubled, or cut off."""
    text = draw(st.sampled_from(bases))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.sampled_from((0, 0, 1, 2, 8, 40, 400))))
        way = draw(st.sampled_from(("fragment", "fragment", "odd", "double", "out", "cut", "line")))
        if way == "cut":
            text = text[:start]
        elif way == "line":
            lines = text.split("\n")
            place = draw(st.integers(0, len(lines) - 1))
            lines[place] = draw(
                st.sampled_from(("", lines[0], lines[-1], lines[place] * 2, lines[place].lstrip(" -0123.")))
            )
            text = "\n".join(lines)
        else:
            new = {"double": text[start:end] * 2, "out": ""}.get(way)
            if new is None:
                new = draw(st.sampled_from(FRAGMENTS) if way == "fragment" else odd_texts)
            text = text[:start] + new + text[end:]
    return text


@st.composite
def changed_values(draw: st.DrawFn, bases: Sequence[Any]) -> str:
    """Draw one of some JSON values with up to three changes in it, as text."""
    value = json.loads(json.dumps(draw(st.sampled_from(bases))))
    for _ in range(draw(st.integers(1, 3))):
        value = _changed(draw, value)
    text = json.dumps(value, ensure_ascii=draw(st.booleans()))
    deep = draw(st.sampled_from((0, 0, 0, 0, 0, 1, 50, 20_000)))
    return "[" * deep + text + "]" * deep


def _changed(draw: st.DrawFn, value: Any) -> Any:
    if not isinstance(value, (dict, list)) or not value or draw(st.integers(0, 9)) == 0:
        return draw(odd_values)
    places: list[Any] = list(value) if isinstance(value, dict) else list(range(len(value)))
    place = draw(st.sampled_from(places))
    way = draw(st.sampled_from(("in", "in", "in", "in", "out", "more")))
    if way == "out":
        del value[place]
    elif way == "in":
        value[place] = _changed(draw, value[place])
    elif isinstance(value, dict):
        value[draw(odd_texts)] = draw(odd_values)
    else:
        value.append(draw(st.sampled_from(value)))
    return value
