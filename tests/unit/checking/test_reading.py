"""Sentences and their places, advice and its negation, likeness, order, and folders that nobody has vouched for."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.feature_extraction.text import TfidfVectorizer

from assistant.analysis.features import word_features
from assistant.analysis.tokens import tokenize
from assistant.checking.advice import advises
from assistant.checking.alike import alike
from assistant.checking.book import read_book
from assistant.checking.check import check
from assistant.checking.registry import all_rules
from assistant.checking.rule import Book, Rule
from assistant.checking.said import count_words, figures, found, said, sentences, waits
from assistant.errors import NotesError
from tests.unit.checking.seeds import NAME, TODAY, book_of, note_text, write_frame

RULES = all_rules()
FORBIDDEN = [rule for rule in RULES if rule.code.startswith("C4")]


@pytest.mark.parametrize("rule", FORBIDDEN, ids=lambda rule: rule.code)
def test_forbidding_a_thing_is_not_advising_it(rule: Rule, tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    deed = rule.bad.removeprefix("2. ")
    never = f"Never {deed[0].lower()}{deed[1:]} It does harm."
    path = root / f"pad/{NAME}.md"
    path.write_text(note_text(NAME).replace("A lead breaks inside. Nobody sees it.", never), "utf-8")
    assert [one.finding.message for one in check(book_of(root), [rule])] == []
    path.write_text(note_text(NAME).replace("Call the support desk.", deed), "utf-8")
    assert [one.rule.code for one in check(book_of(root), [rule])] == [rule.code]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Never hurry: wipe in circles.", True),
        ("Do not use paper but wipe in circles with a cloth.", True),
        ("You must not wipe in circles.", False),
        ("Wipe straight outward instead of in circles.", False),
    ],
)
def test_only_what_is_said_to_be_done_is_advice(text: str, told: bool) -> None:
    assert advises(text, r"\bwipe\b[^.]*\bcircles\b") is told


@pytest.mark.parametrize(
    ("sentence", "words"),
    [
        ("Pull the plug.", 3),
        ("Use a lint-free cloth.", 4),
        ("Leave 36 in (915 mm) of walkway.", 5),
        ("It rests for 10 minutes.", 4),
        ("Wait (two or three turns of the lamp).", 2),
        ("Check the store's outlet.", 4),
    ],
)
def test_words_are_counted_as_simplified_technical_english_does(sentence: str, words: int) -> None:
    """ASD-STE100 Issue 9 (2025), rules 8.4 to 8.7 (restated)."""
    assert count_words(sentence) == words


def test_figures_waits_and_sentences() -> None:
    assert figures("from 15 to 48 in (380 to 1220 mm)", "in") == [15, 48]
    assert figures("below 0 C or above 45 C", "C") == [0, 45]
    assert waits("Wait ten minutes. Leave it for 5 minutes.") == [10, 5]
    assert sentences("Rule 29 CFR 1910.334(a) asks for 4.75 V. Look!") == (
        "Rule 29 CFR 1910.334(a) asks for 4.75 V.",
        "Look!",
    )


def test_every_sentence_of_the_shipped_notes_has_the_line_where_it_begins(shipped_book: Book) -> None:
    """The line that is named holds the word with which the sentence begins."""
    wrong = []
    total = 0
    for one in said(shipped_book):
        line = shipped_book.texts[one.note.path][found(shipped_book, one, "").line - 1]
        total += 1
        if one.text.split()[0] not in line and one.section not in {"steps", "safety"}:
            wrong.append((one.note.path, one.text))
    assert total > 3000
    assert wrong == []


_PHRASES = st.lists(
    st.sampled_from(["lamp dark", "lamp is lit", "wipe the disc", "pad", "", "the the pad"]), max_size=6
)


@given(_PHRASES)
def test_likeness_is_that_of_scikit_learn(texts: list[str]) -> None:
    """scikit-learn, TfidfVectorizer with sublinear_tf and its own smoothing and norm."""
    pairs = {(i, j): value for i, j, value in alike(texts, 0.01)}
    if not any(texts):
        assert pairs == {}
        return
    vectorizer = TfidfVectorizer(analyzer=lambda t: word_features(tokenize(t)), sublinear_tf=True)
    vectors = vectorizer.fit_transform(texts)
    wanted = (vectors @ vectors.T).toarray()
    for i in range(len(texts)):
        for j in range(i + 1, len(texts)):
            assert pairs.get((i, j), 0.0) == pytest.approx(wanted[i, j], abs=1e-5)


def test_the_same_folder_gives_the_same_findings(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    text = note_text(NAME).replace("lamp is lit", "lamp lamp is lit; it ; it").replace("replace", "clean")
    (root / f"pad/{NAME}.md").write_text(text, "utf-8")
    first = check(book_of(root), RULES)
    assert first
    assert first == check(book_of(root), tuple(reversed(RULES)))
    places = [(one.finding.path, one.finding.line, one.rule.code) for one in first]
    assert places == sorted(places)


def test_what_cannot_be_read_is_a_finding_and_the_rest_is_checked(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    (root / "pad/pad-bytes.md").write_bytes(b"---\n\xff\n")
    (root / "pad/pad-nul.md").write_bytes(b"---\n\n\0")
    (root / "pad/pad-large.md").write_bytes(b"x" * 600_000)
    (root / "pad/pad-gone.md").symlink_to(tmp_path / "nowhere")
    os.mkfifo(root / "pad/pad-pipe.md")
    (root / "pad/pad-\x1b[2J.md").write_text("x", "utf-8")
    Path(os.fsdecode(os.fsencode(root) + b"/pad/pad-\xff.md")).write_text("x", "utf-8")
    (root / "pad/pad-alone.questions.txt").write_text("is it alone\n", "utf-8")
    (root / "vocabulary.yaml").write_text("[" * 400_000, "utf-8")
    (root / f"pad/{NAME}.md").write_text(note_text(NAME).replace("dark\nstation", "dark.\nstation"), "utf-8")
    found = check(book_of(root, ranked=True), RULES)
    unreadable = {one.finding.path for one in found if one.rule.code == "C101"}
    assert {path.removeprefix("pad/pad-") for path in unreadable} == {
        "bytes.md",
        "nul.md",
        "large.md",
        "gone.md",
        "pipe.md",
        "\x1b[2J.md",
        "\udcff.md",
        "alone.questions.txt",
        "vocabulary.yaml",
    }
    assert ("C509", f"pad/{NAME}.md") in {(one.rule.code, one.finding.path) for one in found}


def test_a_hidden_character_is_told_once(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    text = note_text(NAME).replace("Nobody sees", "Nobody\u200b sees").replace("lamp is", "lamp &#x202e;is")
    (root / f"pad/{NAME}.md").write_text(text, "utf-8")
    (root / "pad/pad-plain.md").write_text(note_text("pad-plain").replace("lamp is", "lamp &#x202e;is"), "utf-8")
    told = [
        (one.rule.code, one.finding.path) for one in check(book_of(root), RULES) if one.rule.code in ("C101", "C801")
    ]
    assert told == [("C101", "pad/pad-plain.md"), ("C801", f"pad/{NAME}.md")]


def test_a_folder_that_is_none_or_empty_is_refused(tmp_path: Path) -> None:
    for root in (tmp_path / "none", tmp_path):
        with pytest.raises(NotesError):
            read_book(root, TODAY)


@pytest.mark.parametrize(
    ("day", "told"),
    [(date(2026, 11, 2), 0), (date(2027, 12, 7), 0), (date(2027, 12, 8), 1), (date(2026, 11, 1), 1)],
)
def test_a_review_holds_for_400_days(tmp_path: Path, day: date, told: int) -> None:
    root = tmp_path / "notes"
    (root / "pad").mkdir(parents=True)
    (root / f"pad/{NAME}.md").write_text(note_text(NAME), "utf-8")
    rules = [rule for rule in RULES if rule.code == "C105"]
    assert len(check(read_book(root, day), rules)) == told


@given(st.text(max_size=200))
def test_any_text_in_any_file_is_checked(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    root = write_frame(tmp_path_factory.mktemp("any") / "notes")
    for name in (f"pad/{NAME}.md", "pad/pad-other.questions.txt", "vocabulary.yaml", "waivers.yaml", "uncovered.txt"):
        (root / name).write_bytes(text.encode("utf-8", "surrogatepass"))
    for one in check(book_of(root, ranked=True), RULES):
        assert one.finding.line >= 1
