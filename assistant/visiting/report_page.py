"""The report as one self-contained page: the shop's copy, or, where ``full`` is True, with every step and question."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from assistant.languages import said, spoken, to_say
from assistant.visiting.photos import can_make_small, small_picture
from assistant.visiting.report_blocks import Block, Pictures, Sign, report_blocks
from assistant.visiting.report_forms import FOR_STORE, named
from assistant.visiting.report_model import Report
from assistant.visiting.report_words import picture_words
from assistant.webpage.templates import page_of, style_of

__all__ = ["report_html"]

_NEEDS_PILLOW = to_say("Small pictures need Pillow: install the program with its extra named pictures.")


class _ToSign(NamedTuple):
    """A place to sign, with what it is headed by."""

    label: str
    name: str


class _Drawn(NamedTuple):
    """Small pictures as (address, words), those of which only the name is told, and what they lack."""

    shown: tuple[tuple[str, str], ...]
    named: tuple[str, ...]
    lacking: str


def report_html(report: Report, full: bool = False) -> str:
    """Return the report as one page that needs no other file, runs nothing and prints on A4."""
    blocks = list(report_blocks(report, full=full))
    return page_of(
        "report.html.j2",
        report.title,
        style_of("report.css"),
        pictures=any(isinstance(block, Pictures) for block in blocks),
        language=spoken(),
        said=said,
        blocks=[(type(block).__name__.lower(), _filled(block, report.folder)) for block in blocks],
    )


def _filled(block: Block, folder: Path | None) -> Block | _ToSign | _Drawn:
    """Return a block with all that the template shows of it."""
    if isinstance(block, Sign):
        return _ToSign(said(FOR_STORE), block.name)
    if not isinstance(block, Pictures):
        return block
    small = {one: small_picture(folder / one.copy) if folder and one.copy else "" for one in block.pictures}
    return _Drawn(
        tuple((address, picture_words(one)) for one, address in small.items() if address),
        tuple(named(one) for one, address in small.items() if not address),
        "" if can_make_small() else said(_NEEDS_PILLOW),
    )
