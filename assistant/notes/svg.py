"""A drawing in SVG, written anew from what a still picture is made of; what could act or fetch is refused.

Elements and attributes that are not listed here go: those of an editor without a word, those that would be missed with
one. There are no entities, as there is no document type; nothing is named twice, so that a small file draws little.

Source
------
W3C, Scalable Vector Graphics (SVG) 2, secure static mode of chapter 2 (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape
from xml.parsers import expat

from assistant.notes.text import forbidden_characters

__all__ = ["SvgError", "cleaned_svg"]

_SVG, _XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_DRAWN = _words(
    "svg g path rect circle ellipse line polyline polygon text tspan title desc defs linearGradient radialGradient stop"
)
_TEXTS = _words("text tspan title desc")
_PASSED_OVER = _words("metadata")
_KEPT = _words(
    "id x y x1 y1 x2 y2 cx cy r rx ry fx fy width height viewBox d points dx dy rotate transform offset gradientUnits "
    "gradientTransform spreadMethod preserveAspectRatio textLength lengthAdjust role"
)
_STYLES = _words(
    "fill fill-opacity fill-rule stroke stroke-width stroke-opacity stroke-linecap stroke-linejoin stroke-dasharray "
    "stroke-dashoffset stroke-miterlimit opacity color stop-color stop-opacity font-family font-size font-weight "
    "font-style text-anchor dominant-baseline letter-spacing vector-effect display visibility"
)
_OWN = re.compile(r"url\(#[A-Za-z_][\w.-]*\)(?: #?[0-9A-Za-z]+)?")
_CALLED = ("matrix", "translate", "scale", "rotate", "skewx", "skewy", "rgb", "rgba", "hsl", "hsla")
_NUMBER = re.compile(r"-?[0-9.]{1,20}")
_MOST_ELEMENTS, _DEEPEST = 5000, 40


class SvgError(ValueError):
    """A drawing was refused; ``line`` counts from 1."""

    def __init__(self, line: int, message: str) -> None:
        self.line = line
        super().__init__(message)


def cleaned_svg(raw: bytes) -> bytes:
    """Return a drawing as it may be shown, the same bytes for the same file.

    Raises
    ------
    SvgError
        If it is no SVG in UTF-8, could act or fetch something, or holds what would be missed.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SvgError(raw[: error.start].count(b"\n") + 1, "not valid UTF-8") from error
    return _Cleaning().clean(text).encode("utf-8")


class _Cleaning:
    """Reads one drawing and writes it anew."""

    def __init__(self) -> None:
        self._out: list[str] = []
        self._open: list[str] = []
        self._elements = 0
        self._skipped = 0
        self._reader = expat.ParserCreate("utf-8", " ")
        self._reader.StartElementHandler = self._begin
        self._reader.EndElementHandler = self._end
        self._reader.CharacterDataHandler = self._text
        self._reader.StartDoctypeDeclHandler = self._doctype
        self._reader.ProcessingInstructionHandler = self._instruction

    def clean(self, text: str) -> str:
        try:
            self._reader.Parse(text.encode("utf-8"), True)
        except expat.ExpatError as error:
            raise SvgError(
                error.lineno, f"is no SVG: {expat.errors.messages.get(error.code, 'cannot be read')}"
            ) from error
        return "".join(self._out) + "\n"

    def _refuse(self, message: str) -> SvgError:
        return SvgError(self._reader.CurrentLineNumber, message)

    def _doctype(self, *_: object) -> None:
        raise self._refuse("holds a document type, which could hold entities: take it out")

    def _instruction(self, *_: object) -> None:
        raise self._refuse("holds an instruction for other programs: take it out")

    def _begin(self, name: str, attributes: Mapping[str, str]) -> None:
        space, _, tag = name.rpartition(" ")
        if not self._open and name != f"{_SVG} svg":
            raise self._refuse("is no SVG: it does not begin with an element svg of its namespace")
        if self._skipped or space != _SVG or tag in _PASSED_OVER:
            self._skipped += 1
            return
        self._elements += 1
        if self._elements > _MOST_ELEMENTS or len(self._open) >= _DEEPEST:
            raise self._refuse(f"has more than {_MOST_ELEMENTS} elements, or {_DEEPEST} in one another")
        if tag not in _DRAWN or (tag == "svg" and self._open):
            raise self._refuse(f"element '{tag}' has no place in a picture of a note")
        self._open.append(tag)
        kept = self._attributes(attributes)
        if tag == "svg":
            if not _is_box(kept.get("viewBox", "")):
                raise self._refuse("the element svg needs a viewBox, so that the picture can be shown at any size")
            kept = {"xmlns": _SVG, **kept}
        written = "".join(f' {key}="{escape(value)}"' for key, value in kept.items())
        self._out.append(f"<{tag}{written}>")

    def _attributes(self, attributes: Mapping[str, str]) -> dict[str, str]:
        kept: dict[str, str] = {}
        for name, value in attributes.items():
            space, _, key = name.rpartition(" ")
            if key.lower().startswith("on"):
                raise self._refuse(f"attribute '{key}' would run a script")
            if key == "href" and space in ("", _XLINK):
                raise self._refuse("attribute 'href' leads elsewhere: draw what it names in its place")
            if space:
                continue
            if key == "style":
                kept |= self._styles(value)
            elif key in _KEPT or key in _STYLES:
                kept.setdefault(key, self._value(key, value))
        return kept

    def _styles(self, text: str) -> dict[str, str]:
        """Return a style as attributes, which a page may have while it allows no inline style."""
        pairs = (pair.partition(":") for pair in text.split(";"))
        found = {key.strip(): value.strip() for key, _, value in pairs}
        return {key: self._value(key, value) for key, value in found.items() if key in _STYLES}

    def _value(self, key: str, value: str) -> str:
        value = " ".join(value.split())
        calls = value.lower().split("(")[:-1]
        if not all(call.rstrip().endswith(_CALLED) for call in calls) and not _OWN.fullmatch(value):
            raise self._refuse(f"attribute '{key}' may name nothing but a part of the drawing itself: url(#name)")
        if "\\" in value or forbidden_characters(value):
            raise self._refuse(f"attribute '{key}' holds a character that has no place there")
        return value

    def _end(self, _: str) -> None:
        if self._skipped:
            self._skipped -= 1
        else:
            self._out.append(f"</{self._open.pop()}>")

    def _text(self, text: str) -> None:
        if not self._skipped and self._open[-1] in _TEXTS:
            for problem in forbidden_characters(text.replace("\n", " ")):
                raise self._refuse(problem)
            self._out.append(escape(text, quote=False))


def _is_box(text: str) -> bool:
    """Tell whether a text is four numbers, the last two, width and height, above none."""
    numbers = text.replace(",", " ").split()
    try:
        return len(numbers) == 4 and all(map(_NUMBER.fullmatch, numbers)) and min(map(float, numbers[2:])) > 0
    except ValueError:
        return False
