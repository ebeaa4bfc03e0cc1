"""HTML -> blocks; nothing that it names is fetched, run or followed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

from lxml import etree

from assistant.desk.importing.blocks import Block, Left, Source, kept
from assistant.desk.importing.lettered import lettered_lines
from assistant.errors import Fault, NotesError
from assistant.model import SIGNALS

__all__ = ["LINE", "read_markup"]

LINE = "data-line"
"""The attribute in which a maker of HTML says on which line of its own source an element began."""
_HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
_BLOCKS = frozenset(
    {"address", "article", "aside", "blockquote", "body", "caption", "center", "dd", "details", "dialog", "div", "dl"}
    | {"dt", "fieldset", "figcaption", "figure", "footer", "form", "header", "hgroup", "hr", "html", "legend", "main"}
    | {"nav", "p", "pre", "section", "summary", "table", "tbody", "td", "tfoot", "th", "thead", "tr"}
)
_LISTS = ("ol", "ul", "menu", "dir")
_PICTURES = frozenset({"img", "svg", "picture", "video", "audio", "object", "embed", "iframe", "canvas", "map"})
_PROGRAMS = frozenset({"script", "style", "template"})
_NOTES_OF_WORD = ("footnote-", "endnote-")
_AROUND = ("nav", "footer")
_PARAGRAPHS = frozenset({"p", "li", *_HEADINGS})
_MOST_DIGITS = 4


def read_markup(
    html: str, place: str, name: str, numbering: Literal["lines", "attribute", "paragraphs"] = "lines"
) -> Source:
    """Read a page.

    Parameters
    ----------
    numbering
        What a line is: that of the text itself, what the attribute `LINE` says, or the count of paragraphs.

    Raises
    ------
    NotesError
        If it is nested so deep that a part of it would be lost.
    """
    parser = etree.HTMLParser(encoding="utf-8", no_network=True, huge_tree=False)
    try:
        root = etree.fromstring(html.encode("utf-8"), parser) if html.strip() else None
    except etree.XMLSyntaxError:
        root = None
    if any(entry.level_name == "FATAL" and "RESOURCE" in entry.type_name for entry in parser.error_log):
        raise NotesError([Fault(place, 1, "is nested too deeply")])
    walk = _Walk(place, numbering)
    if root is not None:
        walk.inside(root)
    walk.flush()
    lines = () if root is None else tuple(_texts(root))
    return Source(place, name, tuple(walk.blocks), tuple(walk.left), lines)


def _texts(root: Any) -> Iterator[tuple[int, str]]:
    """Yield every text that a reader of the page sees."""
    for element in root.iter():
        if isinstance(element.tag, str) and element.tag not in _PROGRAMS and element.text:
            yield element.sourceline or 1, element.text
        if element.tail:
            yield element.sourceline or 1, element.tail


class _Walk:
    """Goes through the elements in their order and keeps what it read."""

    def __init__(self, place: str, numbering: str) -> None:
        self.blocks: list[Block] = []
        self.left: list[Left] = []
        self._place = place
        self._numbering = numbering
        self._texts: list[str] = []
        self._line = 1
        self._paragraph = 0
        self._next = Block("text", 1)
        self._flat = 0

    def flush(self) -> None:
        """End a paragraph."""
        if self._flat:
            self._texts.append(" ")
            return
        parts = lettered_lines("".join(self._texts))
        self._texts = []
        for below, part in parts:
            if text := kept(part):
                self.blocks.append(self._next._replace(line=self._line + below, text=text))
                if self._next.kind == "item":
                    self._next = Block("more", 1, level=self._next.level)

    def inside(self, element: Any) -> None:
        """Read what an element holds."""
        self._texts.append(element.text or "")
        for child in element:
            self._child(child)
            self._texts.append(child.tail or "")

    def _child(self, element: Any) -> None:
        tag = element.tag
        if not isinstance(tag, str):
            if kept(element.text or ""):
                self._tell(element, "a comment is not read")
            return
        self._count(element)
        if tag in _HEADINGS:
            self._heading(element, int(tag[1]))
        elif tag == "title":
            self._tell(element, "the title of the page", self._flat_text(element))
        elif tag in _AROUND and not any(signal in self._peek(element).upper() for signal in SIGNALS):
            self._around(element, tag)
        elif tag in _LISTS:
            self._list(element)
        elif tag == "table" and not self._flat:
            self._table(element)
        elif tag in _PROGRAMS:
            if kept(element.text or ""):
                self._tell(element, f"a {tag} is not read")
        elif tag in _BLOCKS or tag == "li":
            self.flush()
            self._start(element)
            self.inside(element)
            self.flush()
        else:
            self._inline(element, tag)

    def _inline(self, element: Any, tag: str) -> None:
        if not "".join(self._texts).strip():
            self._start(element)
        if tag == "br":
            self._texts.append(" ")
        elif tag in _PICTURES:
            named = (kept(element.get(key) or "") for key in ("alt", "title", "src", "data"))
            self._tell(element, "a picture is not taken over: save it beside the note", " ".join(filter(None, named)))
        elif tag == "a" and not (element.get("href") or "#").startswith("#"):
            self._tell(element, "a link is kept as its text", f"{self._peek(element)} -> {kept(element.get('href'))}")
        elif tag in ("b", "strong") and (text := self._peek(element)):
            if text.strip(":!. ").upper() not in SIGNALS:
                self._tell(element, "bold is kept as plain text", text)
        elif tag in ("input", "option") and (text := kept(element.get("value") or "")):
            self._tell(element, "a field of a form is not read", text)
        self.inside(element)

    def _heading(self, element: Any, level: int) -> None:
        self.flush()
        self._start(element)
        told = len(self.left)
        text = self._flat_text(element)
        self.left[told:] = [one for one in self.left[told:] if not one.what.startswith("bold")]
        if self._flat:
            self._texts.append(f" {text} ")
        elif text:
            self.blocks.append(Block("heading", self._line, text, level))

    def _around(self, element: Any, tag: str) -> None:
        self.flush()
        told = len(self.left)
        text = self._flat_text(element)
        del self.left[told:]
        self._tell(element, f"the {tag} of the page has no place in a note", text)

    def _list(self, element: Any) -> None:
        self.flush()
        depth = self._next.level if self._next.kind in ("item", "more") else 0
        before = self._next
        number = _whole(element.get("start"), 1)
        for child in element:
            if child.tag != "li":
                self._child(child)
            elif (child.get("id") or "").startswith(_NOTES_OF_WORD) and self._numbering == "paragraphs":
                self._count(child)
                self._tell(child, "a footnote has no place in a note", self._flat_text(child))
            else:
                self._count(child)
                self._start(child)
                number = _whole(child.get("value"), number)
                self._next = Block("item", 1, level=depth + 1, number=number if element.tag == "ol" else 0)
                self.inside(child)
                self.flush()
                number += 1
                self._next = before
            self._texts.append(child.tail or "")
            self.flush()
        if before.kind == "item":
            self._next = Block("more", 1, level=before.level)

    def _table(self, element: Any) -> None:
        self.flush()
        self._start(element)
        line = self._line
        own = [row for row in element.iter("tr") if next(row.iterancestors("table")) is element]
        rows = [tuple(self._flat_text(cell) for cell in row if cell.tag in ("td", "th")) for row in own]
        for caption in element.iter("caption"):
            self.blocks.append(Block("text", line, self._flat_text(caption)))
        self.blocks.append(Block("table", line, rows=tuple(filter(any, rows))))

    def _flat_text(self, element: Any) -> str:
        """Return all text of an element on one line, whatever blocks it holds."""
        outer, self._texts = self._texts, []
        self._flat += 1
        self.inside(element)
        self._flat -= 1
        text = kept("".join(self._texts))
        self._texts = outer
        return text

    def _peek(self, element: Any) -> str:
        return kept("".join(element.itertext()))

    def _count(self, element: Any) -> None:
        if element.tag in _PARAGRAPHS:
            self._paragraph += 1

    def _start(self, element: Any) -> None:
        self._line = self._line_of(element)

    def _line_of(self, element: Any) -> int:
        if self._numbering == "paragraphs":
            return max(1, self._paragraph + int(element.tag == "table"))
        if self._numbering == "attribute":
            known = (_whole(one.get(LINE), 0) for one in (element, *element.iterancestors()))
            return next(filter(None, known), 1)
        return int(element.sourceline or 1)

    def _tell(self, element: Any, what: str, text: str = "") -> None:
        self.left.append(Left(self._place, self._line_of(element), what, text))


def _whole(text: str | None, otherwise: int) -> int:
    fits = text is not None and text.isascii() and text.isdecimal() and len(text) <= _MOST_DIGITS
    return int(text) if fits and text is not None else otherwise
