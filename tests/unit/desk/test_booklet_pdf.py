"""The booklet as a PDF: its pages have the numbers that it names, and no message is cut from its step.

That a message stands before its step is ANSI Z535.6 and IEC/IEEE 82079-1 (from memory); that it stays on the page of
its step is common practice.
"""

from __future__ import annotations

import io
import logging
import sys
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pypdf
import pytest

from assistant.desk.booklet.page import anchors_of, booklet_page
from assistant.desk.booklet.pdf import numbered_pdf, pdf_of
from assistant.desk.booklet.sheets import chosen_notes, sheets_of
from assistant.errors import AssistantError, MissingExtraError
from assistant.model import Branch, Corpus, Note, SafetyMessage, Step
from assistant.notes.corpus import read_corpus
from assistant.webpage.templates import data_uri
from tests.making import changed

DAY = date(2026, 11, 28)
needs_pango = pytest.mark.usefixtures("pango")


@pytest.fixture(scope="module")
def mini(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


def texts_of(raw: bytes) -> list[str]:
    read = pypdf.PdfReader(io.BytesIO(raw))
    assert {(round(page.mediabox.width), round(page.mediabox.height)) for page in read.pages} == {(595, 842)}
    return [" ".join(page.extract_text().split()) for page in read.pages]


def pages_of(corpus: Corpus, per_page: int = 1) -> list[str]:
    sheets = sheets_of(chosen_notes(corpus), corpus, per_page)

    def drawn(pages: Mapping[str, int]) -> str:
        return booklet_page(sheets, corpus, DAY, per_page=per_page, pages=pages)

    return texts_of(numbered_pdf(drawn, anchors_of(sheets)))


def crowded(note: Note) -> Note:
    """Return a note whose steps have messages of many lengths, so that pages end everywhere."""
    steps = tuple(
        Step(n, f"Do thing number {n}q " + "and look " * n, (Branch("If a", "If a: go on."),)) for n in range(1, 25)
    )
    safety = tuple(
        SafetyMessage(
            signal, f"Hazard {n}{signal[0]}. " + "It hurts you badly. " * (n % 7) + f"Mind {n}{signal[0]}z.", n
        )
        for n in range(1, 25)
        for signal in ("DANGER", "NOTICE")[: 1 + n % 2]
    )
    return changed(note, steps=steps, safety=safety)


@needs_pango
def test_every_message_is_on_the_page_of_its_step_and_before_it(mini: Corpus) -> None:
    note = crowded(mini.notes[0])
    pages = pages_of(changed(mini, notes=(note,)))
    found = 0
    for message in note.safety:
        mark = f"{message.before_step}{message.signal[0]}"
        (page,) = (text for text in pages if f"number {message.before_step}q" in text)
        at = [page.index(text) for text in (f"Hazard {mark}.", f"Mind {mark}z.", f"number {message.before_step}q")]
        assert at == sorted(at)
        found += 1
    assert found == len(note.safety) > 30
    assert sum("Hazard" in text for text in pages) > 2


@needs_pango
@pytest.mark.parametrize("per_page", [1, 2])
def test_contents_and_index_name_the_pages_and_the_foot_the_note(mini: Corpus, per_page: int) -> None:
    pages = pages_of(mini, per_page)
    starts = {
        note.id: next(n for n, text in enumerate(pages, start=1) if f"{place}. {note.title}" in text)
        for place, note in enumerate(chosen_notes(mini), start=1)
    }
    contents = next(text for text in pages if text.partition("Contents")[2].strip())
    for note in mini.notes:
        assert f"{note.title} {starts[note.id]}" in contents
    for heading in ("Things", "Troubles"):
        begins = next(n for n, text in enumerate(pages, start=1) if n > max(starts.values()) and heading in text)
        assert f"{heading} {begins}" in contents
    note = mini.notes[0]
    thing = note.phrases.things[0]
    assert any(f"{thing}, {starts[note.id]}" in text for text in pages[-4:])
    assert len(set(starts.values())) == len(mini.notes) if per_page == 1 else len(starts)
    for n, text in enumerate(pages, start=1):
        assert f"{n} / {len(pages)}" in text
        assert mini.emergency in text
    for note in mini.notes if per_page == 1 else ():
        assert f"{note.id}, revision {note.revision}, reviewed {note.reviewed}" in pages[starts[note.id] - 1]


@needs_pango
def test_two_short_notes_share_a_page(mini: Corpus) -> None:
    short = [changed(note, steps=note.steps[:1], safety=(), cause=(), why="") for note in mini.notes]

    def length(per_page: int) -> int:
        sheets = sheets_of(short, mini, per_page)
        pages = dict.fromkeys(anchors_of(sheets), 1)
        page = booklet_page(sheets, mini, DAY, per_page=per_page, pages=pages)
        return len(texts_of(pdf_of(page)))

    assert length(1) - length(2) == len(short) // 2


def moving(pages: Mapping[str, int]) -> str:
    """Return a page in which the higher the page of its note is said to be, the more pages are before it."""
    more = 3 if pages["a"] == 1 else 10 if pages["a"] < 10 else 12
    return f"<style>@page {{ size: A4 }}</style>{'<p>b<p style=break-before:page>' * more}<h1 id=a>{pages['a']}</h1>"


@needs_pango
def test_numbers_that_move_their_note_are_set_again() -> None:
    *before, last = texts_of(numbered_pdf(moving, ["a"]))
    assert (len(before), last) == (12, "13")


@needs_pango
def test_numbers_that_never_settle_are_told() -> None:
    def flips(pages: Mapping[str, int]) -> str:
        return f"<p>a{'<p style=break-before:page>b' * (pages['a'] == 1)}<p id=a>c"

    with pytest.raises(AssistantError, match="move with their numbers"):
        numbered_pdf(flips, ["a"])


@needs_pango
def test_progress_is_told_and_logging_is_as_before(mini: Corpus) -> None:
    told: list[tuple[str, int, int]] = []

    def tell(message: str, done: int = 0, total: int = 0) -> None:
        told.append((message, done, total))

    def long(pages: Mapping[str, int]) -> str:
        return f"{'<p style=break-before:page>b' * 101}<p id=a>{pages['a']}"

    logger = logging.getLogger("weasyprint.progress")
    before = (logger.level, logger.propagate, list(logger.handlers))
    numbered_pdf(long, ["a"], tell)
    assert (logger.level, logger.propagate, list(logger.handlers)) == before
    first = "Laying out, to find the pages of the notes"
    again = "Laying out with their numbers"
    assert told == [
        *((f"{first}: {n} pages", 0, 0) for n in (50, 100)),
        *((again, n, 101) for n in range(102)),
        ("Writing 101 pages", 0, 0),
    ]


@needs_pango
def test_what_a_page_names_elsewhere_is_not_fetched(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    (tmp_path / "a.css").write_text("p { break-before: page }", "utf-8")
    for url in (f"file://{tmp_path}/a.css", "http://example.invalid/a.css"):
        assert pdf_of(f"<style>@import '{url}';</style><p>a<p>b")
        assert f"disallowed protocol: {url}" in caplog.text
    svg = (
        b"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'><image href='http://example.invalid/b.png'/></svg>"
    )
    assert pdf_of(f'<img src="{data_uri("a.svg", svg)}">')
    assert "disallowed protocol: http://example.invalid/b.png" in caplog.text


def test_without_what_draws_a_pdf_it_says_what_is_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    with pytest.raises(MissingExtraError, match=r"libpango-1\.0-0"):
        pdf_of("<p>a")
