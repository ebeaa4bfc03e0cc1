"""Sheets -> one page of HTML."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import segno

from assistant.desk.booklet.sheets import Sheet, by_area, index_of
from assistant.languages import said, said_of, speak, to_say
from assistant.model import Corpus
from assistant.webpage.templates import css_string, frame_of, page_of, style_of

__all__ = ["TITLE", "anchors_of", "booklet_page"]

TITLE = to_say("Procedure notes")
"""What a booklet is headed by where nobody says otherwise."""

_INDEXES = ("things", "troubles")
_MOST_NOTES = 6
"""A word of the index leads to so many notes at most."""


def booklet_page(
    sheets: Sequence[Sheet],
    corpus: Corpus,
    day: date,
    *,
    title: str = TITLE,
    per_page: int = 1,
    pages: Mapping[str, int] | None = None,
) -> str:
    """Return the booklet as one page, in the language of its notes.

    Parameters
    ----------
    per_page
        As the sheets were made with: where one begins a page, the foot of each page says which note stands on it.
    pages
        The page on which each sheet and each index begins, by its anchor (see `anchors_of`), for contents and index to
        name; without it they name the numbers of notes.
    """
    speak(corpus.trade.language)
    things, less_things = index_of(sheets, "things", _MOST_NOTES)
    troubles, less_troubles = index_of(sheets, "troubles", _MOST_NOTES)
    every = f"@page {{ @top-left {{ content: {css_string(corpus.emergency)}; font: bold 11pt sans-serif; }} }}\n"
    return page_of(
        "booklet.html.j2",
        said(TITLE) if title == TITLE else title,
        style_of("booklet.css") + (every if corpus.emergency else ""),
        pictures=any(sheet.note.figures for sheet in sheets),
        language=corpus.trade.language,
        sheets=sheets,
        codes={sheet.note.id: _code(sheet.note.id) for sheet in sheets},
        areas=by_area(sheets, corpus.trade),
        things=things,
        less_things=less_things,
        troubles=troubles,
        less_troubles=less_troubles,
        most=_MOST_NOTES,
        contacts=corpus.trade.contacts,
        emergency=corpus.emergency,
        day=day.isoformat(),
        per_page=per_page,
        pages=pages,
        frame_of=frame_of,
        said=said,
        said_of=said_of,
    )


def anchors_of(sheets: Sequence[Sheet]) -> list[str]:
    """Return what a booklet has page numbers of."""
    return [*(sheet.anchor for sheet in sheets), *_INDEXES]


def _code(text: str) -> str:
    """Return a square code that holds a text, as a drawing in the page."""
    drawn = segno.make(text, error="m", micro=False, boost_error=False)
    return str(drawn.svg_inline(omitsize=True, border=2))
