"""Text -> word forms."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.analysis.tokens import CODE, clean, printable, tokenize
from assistant.languages.english import LANGUAGE


@pytest.mark.parametrize(
    ("text", "forms"),
    [
        ("Stick cap BROKEN?!", ["stick", "cap", "broken"]),
        ("wide-screen TV", ["wide", "screen", "tv"]),
        ("DR-21", ["dr21", "dr", "21"]),
        ("code dr-21-x", ["code", "dr21x", "dr", "21", "x"]),
        ("hdmi2 port", ["hdmi2", "port"]),
        ("under_score", ["under", "score"]),
        ("can't won't isn\u2019t", ["not", "not", "not"]),
        ("it doesn't charge", ["it", "not", "charge"]),
        ("cannot", ["not"]),
        ("shopper's", ["shoppers"]),
        ("\uff33\uff54\uff49\uff43\uff4b", ["stick"]),
        ("\ufb01rm \u00bd", ["firm", "1", "2"]),
        ("caf\u00e9 cafe\u0301", ["caf\u00e9", "caf\u00e9"]),
        ("st\x00i\x1bck\u200b cap", ["stick", "cap"]),
        ("a\tb\nc\u00a0d", ["a", "b", "c", "d"]),
        ("-- - --", []),
        ("\U0001f3ae \U0001f525", []),
        ("", []),
    ],
)
def test_forms(text: str, forms: list[str]) -> None:
    assert tokenize(text) == forms


@pytest.mark.parametrize("word", LANGUAGE.contractions)
def test_negated_verbs_all_mean_not(word: str) -> None:
    assert tokenize(word) == ["not"]


@pytest.mark.parametrize(
    ("form", "code"), [("dr21", True), ("dr-21", True), ("21", False), ("dr", False), ("-21a", False)]
)
def test_code(form: str, code: bool) -> None:
    assert bool(CODE.match(form)) is code


@given(st.text())
def test_clean_text_is_one_line_without_control_characters(text: str) -> None:
    cleaned = clean(text)
    assert not any(unicodedata.category(c)[0] == "C" for c in cleaned)
    assert cleaned == " ".join(cleaned.split())
    assert printable(cleaned) == cleaned


@given(st.text())
def test_control_characters_change_no_form(text: str) -> None:
    assert tokenize("\x1b" + text + "\x07") == tokenize(text)


@given(st.text())
def test_forms_are_bare_words(text: str) -> None:
    assert all(form and not any(c.isspace() or c in "-_'" for c in form) for form in tokenize(text))


def test_words_that_tell_faults_apart_are_kept() -> None:
    assert {"on", "off", "not", "no", "up", "down"} <= LANGUAGE.kept
    assert all(word == word.lower() for word in LANGUAGE.question_words)
