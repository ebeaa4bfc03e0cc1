"""The written forms of a report as text: Markdown and JSON.

Each comes as the shop's copy, or, where ``full`` is True, with every step, check and question.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

from assistant.analysis.tokens import printable
from assistant.languages import said, to_say
from assistant.visiting.report_blocks import Block, Facts, Heading, Items, Line, Sign, Table, report_blocks
from assistant.visiting.report_model import Picture, Report, copy_for_shop
from assistant.visiting.report_words import picture_words

__all__ = ["FOR_STORE", "named", "report_json", "report_markdown"]

_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#|~&!@]|:(?=//)|^[-+=]|^\d+(?=[.)])|(?<=www)\.)", re.IGNORECASE)
FOR_STORE = to_say("For the store")
"""Stands before the place where somebody signs."""
_SIGN_LINE = "_" * 20


def report_markdown(report: Report, full: bool = False) -> str:
    """Return the report as CommonMark with tables; nothing that was typed is read as markup."""
    return "\n".join(line for block in report_blocks(report, full=full) for line in _markdown(block)).strip() + "\n"


def _markdown(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield f"{'#' * block.level} {_marked(block.text)}"
    elif isinstance(block, Facts):
        yield _marked(" ".join(f"{name}: {value}." for name, value in block.facts))
    elif isinstance(block, Line):
        yield _marked(block.text)
    elif isinstance(block, Sign):
        name = block.name or _SIGN_LINE
        yield _marked(said("For the store, name: {name} date: {line} signature: {line}", name=name, line=_SIGN_LINE))
    elif isinstance(block, Table):
        yield from (_marked(block.caption), "")
        yield f"| {' | '.join(map(_marked, block.head))} |"
        yield f"|{' --- |' * len(block.head)}"
        yield from (f"| {' | '.join(map(_marked, row))} |" for row in block.rows)
    else:
        items = block if isinstance(block, Items) else Items(said("Pictures"), tuple(map(named, block.pictures)))
        yield from (_marked(items.label), "")
        yield from (f"- {_marked(item)}" for item in items.items)
    yield ""


def named(picture: Picture) -> str:
    """Return a picture in words, with the name of its file."""
    words = picture_words(picture)
    return f"{words} ({picture.name})" if picture.shows else words


def _marked(text: str) -> str:
    """Escape every character that CommonMark, with tables and bare links, could take for markup where it stands."""
    return _MARKDOWN.sub(_escaped, printable(text))


def _escaped(found: re.Match[str]) -> str:
    return f"{found[0]}\\" if found[0].isdigit() else f"\\{found[0]}"


def report_json(report: Report, full: bool = False) -> str:
    """Return the report as JSON: the fields of `Report` and of what it holds, by name."""
    fields = (report if full else copy_for_shop(report))._asdict()
    del fields["folder"]
    data = {name: _data(value) for name, value in fields.items()}
    return json.dumps(data, ensure_ascii=True, indent=1, allow_nan=False) + "\n"


def _data(value: object) -> object:
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return {name: _data(part) for name, part in value._asdict().items()}
    if isinstance(value, tuple):
        return [_data(part) for part in value]
    return value
