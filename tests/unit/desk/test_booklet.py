"""The booklet as a page: what stands on it, and that no text of a note is markup.

That steps on a shelf are set in 14 pt and more, and that a booklet has contents and an index, is common practice.
"""

from __future__ import annotations

import base64
import re
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import lxml.html
import pytest
import segno

from assistant.desk.booklet.page import anchors_of, booklet_page
from assistant.desk.booklet.sheets import chosen_notes, index_of, sheets_of
from assistant.errors import UsageError
from assistant.model import Branch, Contact, Corpus, Figure, Phrases, Review, SafetyMessage, Step
from assistant.notes.corpus import read_corpus
from tests.german import english_twin, mixed, texts_of
from tests.making import changed

DAY = date(2026, 11, 28)
GERMAN = Path(__file__).parents[2] / "data/corpus_de"
PAYLOADS = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style><script>alert(1)</script>",
    "' onmouseover='alert(1)",
    "{{ 7 * 7 }}{% raw %}",
    "]]><!--",
    "&lt;b&gt; \\3c b",
    "</title><svg onload=alert(1)>",
)


@pytest.fixture(scope="module")
def mini(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


def page_of(corpus: Corpus, *, title: str = "Notes") -> str:
    return booklet_page(sheets_of(chosen_notes(corpus), corpus), corpus, DAY, title=title)


def test_a_number_that_nobody_filled_in_is_shown_as_unset(mini: Corpus) -> None:
    told = (Contact("support desk", "support desk"), Contact("first aider", "first aider", "0123 456"))
    page = page_of(changed(mini, trade=changed(mini.trade, contacts=told)))
    assert "support desk: <b>number unset</b>" in page
    assert "first aider: <b>0123 456</b>" in page


def test_steps_are_large_and_the_code_holds_the_id(mini: Corpus) -> None:
    page = page_of(mini)
    assert ".steps { list-style: none; margin: 0; padding: 0; font-size: 14pt;" in page
    for note in mini.notes:
        assert (
            segno.make(note.id, error="m", micro=False, boost_error=False).svg_inline(omitsize=True, border=2) in page
        )


class _Shape(HTMLParser):
    """Keeps the elements of a page with the names of their attributes, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, tuple[str, ...]]] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, tuple(name for name, _ in attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def filled(corpus: Corpus, text: str) -> Corpus:
    """Return a corpus whose every text that an author types is ``text``, with a letter that keeps lists apart."""
    notes = tuple(
        note._replace(
            title=text,
            tools=(text,),
            parts=(text,),
            reviewed=text,
            condition=text,
            cause=(text,),
            before_you_start=(text,),
            steps=(Step(1, text, (Branch(text, text, note=corpus.notes[0].id),)),),
            safety=(SafetyMessage("DANGER", text, 1),),
            result=text,
            if_it_still_fails=text,
            why=text,
            phrases=Phrases((text,), (text,)),
        )
        for note in corpus.notes
    )
    trade = corpus.trade._replace(
        areas=dict.fromkeys(corpus.trade.areas, text),
        stations=dict.fromkeys(corpus.trade.stations, text),
        actions=dict.fromkeys(corpus.trade.actions, text),
        contacts=(Contact("a", text, text),),
    )
    return corpus._replace(notes=notes, trade=trade, emergency=text)


@pytest.mark.parametrize("payload", PAYLOADS)
def test_markup_in_every_field_stays_text(mini: Corpus, payload: str) -> None:
    plain, hostile = (_Shape(page_of(filled(mini, text), title=text)) for text in ("(harmless words)", payload))
    assert hostile.elements == plain.elements
    assert hostile.text.count(payload) == plain.text.count("(harmless words)") > 100


def test_contents_and_index_name_the_numbers_of_notes(mini: Corpus) -> None:
    text = " ".join(_Shape(page_of(mini)).text.split())
    for place, note in enumerate(chosen_notes(mini), start=1):
        assert f"{note.title} note {place} " in text
        assert f" {place}. {note.title} " in text
    thing = chosen_notes(mini)[0].phrases.things[0]
    assert f"{thing}, note 1" in text.rpartition("Things")[2]


def test_nothing_leaves_the_page(mini: Corpus) -> None:
    shape = _Shape(page_of(mini))
    assert {"script", "img", "link", "iframe"}.isdisjoint(tag for tag, _ in shape.elements)
    assert "content=\"default-src 'none'; style-src 'sha256-" in page_of(mini)
    assert not any(name.startswith("on") or name == "style" for _, names in shape.elements for name in names)


def test_which_notes_are_chosen(mini: Corpus) -> None:
    whole = [note.id for note in chosen_notes(mini)]
    assert sorted(whole) == [note.id for note in mini.notes]
    area = whole[0].partition("-")[0]
    assert {note.id for note in chosen_notes(mini, areas=[area])} == {
        one for one in whole if one.startswith(f"{area}-")
    }
    for station in mini.trade.stations:
        wanted = {note.id for note in mini.notes if {"all", station} & set(note.station)}
        if wanted:
            assert {note.id for note in chosen_notes(mini, stations=[station])} == wanted
    assert [note.id for note in chosen_notes(mini, whole[1:3])] == whole[1:3]
    for ids, areas, stations in ((["no-note"], [], []), ([], ["moon"], []), ([], [], ["boat"])):
        with pytest.raises(UsageError, match=r"^no (note|area|station) (no-note|moon|boat)"):
            chosen_notes(mini, ids, areas, stations)
    with pytest.raises(UsageError, match="no note is all of that"):
        chosen_notes(mini, whole[:1], [area for area in mini.trade.areas if not whole[0].startswith(area)][:1])


def test_the_index_leaves_out_what_leads_everywhere(mini: Corpus) -> None:
    notes = tuple(note._replace(phrases=Phrases(("lamp", "Own thing"), ())) for note in mini.notes[:3])
    sheets = sheets_of([*notes[:2], notes[2]._replace(phrases=Phrases(("Lamp",), ()))], mini)
    entries, less = index_of(sheets, "things", 2)
    assert [(entry.text, [sheet.number for sheet in entry.sheets]) for entry in entries] == [("Own thing", [1, 2])]
    assert less == 1
    assert [entry.text for entry in index_of(sheets, "things", 3)[0]] == ["lamp", "Own thing"]


def test_a_note_outside_of_the_booklet_is_named_as_such(mini: Corpus) -> None:
    one, other, third = mini.notes[:3]
    leading = one._replace(
        see_also=(other.id, third.id),
        on_failure=(other.id,),
        steps=(Step(1, "Look.", (Branch("If a", "If a: go.", note=other.id), Branch("If b", "If b: stay.", step=1))),),
    )
    whole = mini._replace(notes=(leading, *mini.notes[1:]))
    alone = booklet_page(sheets_of([leading], whole), whole, DAY)
    assert '<li>If a: go.<span class="to">(not in this booklet)</span></li>' in alone
    assert "<li>If b: stay.</li>" in alone
    for heading, note in (("Named here", other), ("See also", third)):
        assert f'<p class="small">{heading}: {note.title} (not in this booklet).</p>' in alone
    both = booklet_page(sheets_of([leading, other], whole), whole, DAY)
    assert f'{other.title} (note <a class="ref" href="#n2">2</a>)' in both
    assert f"{third.title} (not in this booklet)" in both


def test_a_picture_is_drawn_under_its_step_with_its_words(mini: Corpus) -> None:
    drawn = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"></svg>'
    note = mini.notes[0]
    figures = (Figure("a.svg", "first words", 0, digest="1"), Figure("b.svg", "other & words", 1, digest="1"))
    pictured = mini._replace(notes=(note._replace(figures=figures),), figures={"1": drawn})
    page = page_of(pictured)
    address = f"data:image/svg+xml;base64,{base64.b64encode(drawn).decode()}"
    assert f'<img src="{address}" alt="other &amp; words">' in page.partition("<b>1.</b>")[2].partition("<b>2.</b>")[0]
    assert f'<img src="{address}" alt="first words">' in page.partition("<h3>Steps</h3>")[0]
    assert "img-src data:;" in page
    assert "img-src" not in page_of(mini)


def test_a_message_of_another_language_has_the_frame_of_its_signal_word() -> None:
    page = page_of(read_corpus(GERMAN))
    found = set(re.findall(r'<p class="message (\w+)"><strong>(\w+)</strong>', page))
    assert found == {("danger", "GEFAHR"), ("warning", "WARNUNG"), ("notice", "HINWEIS")}


@pytest.mark.parametrize("pages", [False, True])
def test_a_german_booklet_holds_no_english_word(*, pages: bool) -> None:
    """Fronts, headings, indexes and feet, with what was left out and with numbers that are not set."""
    corpus = read_corpus(GERMAN)
    unset = [contact._replace(number="") for contact in corpus.trade.contacts[:1]]
    corpus = changed(corpus, trade=changed(corpus.trade, contacts=(*unset, *corpus.trade.contacts[1:])))
    reviews = (Review("A. B.", "2026-11-28", fits=True), Review("A. B.", "2026-11-28", fits=False), None)
    some = [
        changed(note, safety_review=reviews[n % 3], phrases=Phrases(things=("Ding",)))
        for n, note in enumerate(corpus.notes)
    ]
    sheets = sheets_of(some[:-1], changed(corpus, notes=tuple(some)))
    places = dict.fromkeys(anchors_of(sheets), 3) if pages else None
    german = text_of(booklet_page(sheets, corpus, DAY, pages=places))
    with english_twin():
        english = text_of(booklet_page(sheets, corpus, DAY, pages=places))
    assert len(english) == len(german)
    assert mixed(english, german, [*texts_of(some, corpus.trade), corpus.emergency]) == []
    assert "not in this booklet" in " ".join(english)
    assert all(word in " ".join(german) for word in ("nicht in diesem Heft", "veraltet", "nicht unterschrieben"))
    assert 'lang="de"' in booklet_page(sheets, corpus, DAY)


def text_of(page: str) -> list[str]:
    """Return the texts of a page, and what stands in the feet."""
    body = lxml.html.fromstring(page).body
    feet = [head.get("data-foot") for head in body.iter("h2") if head.get("data-foot")]
    return [*(text for element in body.iter() if element.tag != "svg" for text in element.itertext()), *feet]
