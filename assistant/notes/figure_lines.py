"""The lines of a note that name a picture: ``![what it shows](name.svg)``."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from copy import copy
from urllib.parse import unquote

from markdown_it.token import Token

from assistant.model import Figure
from assistant.notes.text import forbidden_characters

__all__ = ["figures_apart"]

_NAME = re.compile(r"[a-z0-9][a-z0-9-]*\.(?:svg|png|jpg|jpeg)")
_REMOTE = re.compile(r"[a-z][a-z0-9+.-]*:|//", re.IGNORECASE)
_BREAKS = ("softbreak", "hardbreak")
_UNREAD = "!["
_FORM = "![what it shows](name.svg), the file beside the note"


def figures_apart(token: Token, step: int, line: int) -> tuple[list[Figure], Token, list[tuple[int, str]]]:
    """Take the lines that are pictures out of a paragraph.

    Parameters
    ----------
    token
        An ``inline`` token, which is left as it is.
    step
        The step under which it stands, or 0.
    line
        That on which it begins.

    Returns
    -------
    tuple
        The pictures, without digests, a token with the rest, and (line, message) of every fault.
    """
    figures: list[Figure] = []
    faults: list[tuple[int, str]] = []
    rest = copy(token)
    rest.children = []
    for number, held in _lines(token.children or [], line):
        shown = [
            child for child in held if child.type not in _BREAKS and (child.type != "text" or child.content.strip())
        ]
        if not any(child.type == "image" for child in shown):
            rest.children += held
            if any(child.type == "text" and _UNREAD in child.content for child in shown):
                faults.append((number, f"a picture must read {_FORM}"))
        elif len(shown) > 1:
            faults.append((number, "a picture stands on a line of its own"))
        else:
            figure = Figure(str(shown[0].attrs.get("src", "")), _alt(shown[0]), step, number)
            figures.append(figure)
            faults += [(number, message) for message in _faults(figure, titled="title" in shown[0].attrs)]
    return figures, rest, faults


def _lines(children: Sequence[Token], number: int) -> Iterator[tuple[int, list[Token]]]:
    """Yield the number and the parts of each line, the break that ends it among them."""
    line: list[Token] = []
    begins = number
    for child in children:
        line.append(child)
        number += sum(part.type in _BREAKS for part in (child, *(child.children or ())))
        if child.type in _BREAKS:
            yield begins, line
            line, begins = [], number
    yield begins, line


def _alt(image: Token) -> str:
    told = (child.content if child.type not in _BREAKS else " " for child in image.children or [])
    return " ".join("".join(told).split())


def _faults(figure: Figure, *, titled: bool) -> Iterator[str]:
    if not figure.alt:
        yield "a picture needs words for whoever does not see it: ![what it shows](name.svg)"
    yield from forbidden_characters(figure.alt)
    if titled:
        yield "a picture has no title beside the words in its brackets"
    if _REMOTE.match(figure.name):
        yield f"a picture from elsewhere is not fetched: it must read {_FORM}"
    elif not {"/", "\\"}.isdisjoint(unquote(figure.name)):
        yield f"'{figure.name}' leaves the folder of the note: it must read {_FORM}"
    elif not _NAME.fullmatch(figure.name):
        yield f"'{figure.name}' is no name of a picture: small letters, digits, hyphens, then .svg, .png, .jpg or .jpeg"
