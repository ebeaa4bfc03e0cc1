"""A card as a page that needs no other file and runs nothing, with the pictures of its note drawn in it."""

from __future__ import annotations

from typing import NamedTuple

from assistant.answering.card import BlockKind, card
from assistant.model import Answer
from assistant.pack.reader import Pack
from assistant.webpage.templates import data_uri, frame_of, page_of, style_of

__all__ = ["card_page"]


class _Drawn(NamedTuple):
    """A block of a card; ``address`` is that of a picture, ``signal`` the signal word of a safety message."""

    kind: BlockKind
    head: str
    text: str
    marked: bool
    signal: str
    address: str


def card_page(answer: Answer, pack: Pack) -> str:
    """Return the blocks of a card in their order, top to bottom.

    Raises
    ------
    PackError
        If a picture is not what was written.
    """
    note = answer.note
    area = note.id.partition("-")[0] if note else ""
    drawn = (
        {f"{area}/{figure.name}": data_uri(figure.name, pack.figure(figure)) for figure in note.figures} if note else {}
    )
    blocks = [
        _Drawn(
            block.kind,
            block.head,
            block.text,
            block.marked,
            frame_of(block.head.partition(" ")[0]) if block.kind == "safety" else "",
            drawn.get(block.target, ""),
        )
        for block in card(answer)
    ]
    title = note.title if note else answer.question
    return page_of(
        "card.html.j2", title, style_of("card.css"), pictures=bool(drawn), language=answer.language, blocks=blocks
    )
