"""The pages that show a note, its card and the booklet: sixty texts that would do harm, and drawings that would act.

The drawings are put into a pack past all that refuses them, as whoever writes a pack can; a page shows them as
pictures, of which a browser runs nothing (W3C, SVG Integration, secure static mode, from memory).
"""

from __future__ import annotations

import importlib.util
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import pytest

from assistant.answering.assistant import Assistant
from assistant.checking.graph import build
from assistant.checking.graph_picture import graph_svg
from assistant.cli.card_page import card_page
from assistant.compiling.compiler import compile_corpus
from assistant.desk.booklet.page import booklet_page
from assistant.desk.booklet.sheets import chosen_notes, sheets_of
from assistant.model import Corpus, Note
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from tests.browser.test_payloads import CHROMIUM, PAYLOADS, browse, elements_and_text, tree_of
from tests.making import NOTE_PATH, NOTE_TEXT, plain_settings, write_corpus

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9" {}>{}<rect width="9" height="9"/></svg>'
HOSTILE = (
    SVG.format("onload='console.log(1)'", ""),
    SVG.format("", "<script>console.log(1)</script>"),
    SVG.format("", "<image href='http://a.invalid/x.png'/>"),
    SVG.format("", "<style>@import 'http://a.invalid/x.css';</style>"),
    SVG.format(
        "", "<foreignObject><iframe xmlns='http://www.w3.org/1999/xhtml' src='http://a.invalid'/></foreignObject>"
    ),
    SVG.format("", "<a href='javascript:console.log(1)'><rect width='9' height='9'/></a>"),
    SVG.format("", "<set attributeName='x' to='1' onbegin='console.log(1)'/>"),
    '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/hostname">]>' + SVG.format("", "<text>&a;</text>"),
    "<html><script>console.log(1)</script></html>",
)
LINE = "![The plug at the back of the pad](pad-plug.svg)"


@pytest.fixture(scope="module")
def corpus(tmp_path_factory: pytest.TempPathFactory) -> Corpus:
    root = write_corpus(tmp_path_factory.mktemp("pages"))
    (root / "pad/pad-plug.svg").write_text(SVG.format("", ""), "utf-8")
    text = NOTE_TEXT.replace("2. Unplug the pad.\n", f"2. Unplug the pad.\n\n   {LINE}\n\n")
    (root / NOTE_PATH).write_text(text, "utf-8")
    return read_corpus(root)


def pages_of(corpus: Corpus, folder: Path, text: str = "", drawn: str = "") -> list[str]:
    """Return card and booklet of a corpus whose note has ``text`` for all words and ``drawn`` for its picture."""
    if drawn:
        corpus = corpus._replace(figures=dict.fromkeys(corpus.figures, drawn.encode()))
    if text:
        corpus = corpus._replace(notes=tuple(told(note, text) if note.figures else note for note in corpus.notes))
    path = folder / "p.pack"
    compile_corpus(corpus, plain_settings(), path)
    with Pack(path) as pack:
        answer, _ = Assistant(pack).show("pad-demo")
        card = card_page(answer, pack)
    return [card, booklet_page(sheets_of(chosen_notes(corpus, ["pad-demo"]), corpus), corpus, date(2026, 11, 28))]


def told(note: Note, text: str) -> Note:
    return note._replace(
        title=text,
        condition=text,
        before_you_start=(text,),
        steps=tuple(
            step._replace(text=text, branches=tuple(branch._replace(text=text) for branch in step.branches))
            for step in note.steps
        ),
        safety=tuple(message._replace(text=text) for message in note.safety),
        result=text,
        if_it_still_fails=text,
        why=text,
        figures=tuple(figure._replace(alt=text) for figure in note.figures),
    )


def test_every_payload_stays_text_in_every_field_of_a_note(corpus: Corpus, tmp_path: Path) -> None:
    one, two = pages_of(corpus, tmp_path, "plain words")
    for text in ("".join(PAYLOADS[start : start + 6]).replace("\ud800", "") for start in range(0, len(PAYLOADS), 6)):
        for usual, found in zip((one, two), pages_of(corpus, tmp_path, text), strict=True):
            assert elements_and_text(found)[0] == elements_and_text(usual)[0]
            assert tree_of(found)[0] == tree_of(usual)[0]


@pytest.mark.parametrize("text", PAYLOADS)
def test_every_payload_stays_text_in_the_picture_of_the_graph(corpus: Corpus, text: str) -> None:
    def shape(words: str) -> list[tuple[str, list[str]]]:
        notes = tuple(told(note, words) if note.figures else note for note in corpus.notes)
        drawn = graph_svg(build(corpus._replace(notes=notes)), corpus.trade)
        return [(element.tag, sorted(element.attrib)) for element in ElementTree.fromstring(drawn).iter()]  # noqa: S314

    assert shape(text) == shape("plain words")


@pytest.mark.skipif(importlib.util.find_spec("playwright") is None, reason="playwright is not installed")
@pytest.mark.skipif(not CHROMIUM.exists(), reason=f"no browser at {CHROMIUM}")
def test_in_a_browser_no_picture_runs_and_none_asks_for_anything(corpus: Corpus, tmp_path: Path) -> None:
    pages = [page for drawn in ("", *HOSTILE) for page in pages_of(corpus, tmp_path, drawn=drawn)]
    pages += pages_of(corpus, tmp_path, "".join(PAYLOADS[:59]).replace("\ud800", ""))
    for url, seen in browse(tmp_path, pages).items():
        assert {happened for happened in seen["happened"] if not happened.startswith("request data:")} == {
            f"request {url}"
        }
        assert "img alt src" in seen["elements"]
