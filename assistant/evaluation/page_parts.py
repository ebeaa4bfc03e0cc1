"""What the page of figures is made of: headings, sections that fold, tables, plots; a template draws them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from assistant.evaluation.statistics import Share
from assistant.webpage.templates import page_of, style_of

__all__ = [
    "COLUMNS",
    "Fold",
    "Heading",
    "Missed",
    "Misses",
    "Pair",
    "Paragraph",
    "Part",
    "Plot",
    "Signatures",
    "Table",
    "figures_page",
    "fold",
    "share_cells",
    "shares_table",
    "table",
]

COLUMNS = ("right", "of", "share", "from", "to")
"""Of a table of shares, after what is shared."""


class Heading(NamedTuple):
    """A heading outside of what folds; ``level`` counts from 1."""

    level: int
    text: str


class Paragraph(NamedTuple):
    """A paragraph."""

    text: str


class Plot(NamedTuple):
    """A plot with its caption; ``svg`` is what this program drew."""

    caption: str
    svg: str


class Table(NamedTuple):
    """A table, which scrolls by itself where the page is too narrow; the first cell of a row names it.

    With ``numbers`` the other cells stand at the right.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: bool


class Fold(NamedTuple):
    """A section that folds without a script; ``told`` in its head is what it comes to.

    It is ``opened`` at first where something failed. ``level`` is that of its heading.
    """

    title: str
    told: str
    body: tuple[Part, ...]
    opened: bool
    level: int


class Pair(NamedTuple):
    """Two columns, which stand one below the other where the page is narrow."""

    columns: tuple[tuple[Part, ...], ...]


class Signatures(NamedTuple):
    """A line to sign for each role."""

    roles: tuple[str, ...]


class Missed(NamedTuple):
    """A question that came out wrong; a note is a title with an id."""

    question: str
    known_as: str
    wanted: tuple[tuple[str, str], ...]
    decision: str
    first: tuple[str, str] | None
    confidence: str
    why: str


class Misses(NamedTuple):
    """Questions that came out wrong."""

    misses: tuple[Missed, ...]


Part = Heading | Paragraph | Plot | Table | Fold | Pair | Signatures | Misses


def figures_page(title: str, parts: Iterable[Part]) -> str:
    """Return a page of parts, top to bottom."""
    return page_of("figures.html.j2", title, style_of("figures.css"), parts=tuple(parts))


def fold(title: str, told: str, body: Iterable[Part], *, opened: bool = False, level: int = 2) -> Fold:
    """Return a section that folds."""
    return Fold(title, told, tuple(body), opened, level)


def shares_table(caption: str, what: str, shares: Iterable[tuple[str, Share]]) -> Table:
    """Return a table of shares with their exact intervals."""
    return table(caption, (what, *COLUMNS), [(name, *share_cells(share)) for name, share in shares])


def share_cells(share: Share) -> tuple[str, ...]:
    """Return the cells under `COLUMNS`."""
    low, high = share.interval()
    return str(share.k), str(share.n), f"{share.value:.3f}", f"{low:.3f}", f"{high:.3f}"


def table(caption: str, head: Sequence[str], rows: Iterable[tuple[object, ...]], *, numbers: bool = True) -> Table:
    """Return a table of any values, as texts."""
    return Table(caption, tuple(head), tuple(tuple(map(str, row)) for row in rows), numbers)
