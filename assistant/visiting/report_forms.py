"""The written forms of a report: Markdown, one self-contained page and JSON.

Each comes as the shop's copy, or, where ``full`` is True, with every step, check and question.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

from assistant.analysis.tokens import printable
from assistant.visiting.photos import can_make_small, small_picture
from assistant.visiting.report_blocks import (
    Block,
    Facts,
    Heading,
    Items,
    Line,
    Pictures,
    Sign,
    Table,
    picture_words,
    report_blocks,
)
from assistant.visiting.report_model import Picture, Report, copy_for_shop
from assistant.visiting.report_style import STYLE
from assistant.webpage import safe, webpage

__all__ = ["report_html", "report_json", "report_markdown"]

_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#|~&!@]|:(?=//)|^[-+=]|^\d+(?=[.)])|(?<=www)\.)", re.IGNORECASE)
_SIGN = "For the store"
_SIGN_LINE = "_" * 20
_NEEDS_PILLOW = "Small pictures need Pillow: install the program with its extra named pictures."


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
        yield _marked(f"{_SIGN}, name: {block.name or _SIGN_LINE} date: {_SIGN_LINE} signature: {_SIGN_LINE}")
    elif isinstance(block, Table):
        yield from (_marked(block.caption), "")
        yield f"| {' | '.join(map(_marked, block.head))} |"
        yield f"|{' --- |' * len(block.head)}"
        yield from (f"| {' | '.join(map(_marked, row))} |" for row in block.rows)
    else:
        items = block if isinstance(block, Items) else Items("Pictures", tuple(map(_named, block.pictures)))
        yield from (_marked(items.label), "")
        yield from (f"- {_marked(item)}" for item in items.items)
    yield ""


def _named(picture: Picture) -> str:
    words = picture_words(picture)
    return f"{words} ({picture.name})" if picture.shows else words


def _marked(text: str) -> str:
    """Escape every character that CommonMark, with tables and bare links, could take for markup where it stands."""
    return _MARKDOWN.sub(_escaped, printable(text))


def _escaped(found: re.Match[str]) -> str:
    return f"{found[0]}\\" if found[0].isdigit() else f"\\{found[0]}"


def report_html(report: Report, full: bool = False) -> str:
    """Return the report as one page that needs no other file, runs nothing and prints on A4."""
    blocks = list(report_blocks(report, full=full))
    body = "\n".join(_html(block, report.folder) for block in blocks)
    return webpage(report.title, STYLE, body, pictures=any(isinstance(block, Pictures) for block in blocks))


def _html(block: Block, folder: Path | None) -> str:
    if isinstance(block, Heading):
        return f"<h{block.level}>{safe(block.text)}</h{block.level}>"
    if isinstance(block, Facts):
        facts = " ".join(f"<span><b>{safe(name)}:</b> {safe(value)}</span>" for name, value in block.facts)
        return f'<p class="facts">{facts}</p>'
    if isinstance(block, Line):
        return f"<p>{safe(block.text)}</p>"
    if isinstance(block, Items):
        items = "".join(f"<li>{safe(item)}</li>" for item in block.items)
        return f'<p class="label">{safe(block.label)}</p><ul>{items}</ul>'
    if isinstance(block, Pictures):
        return _html_pictures(block, folder)
    if isinstance(block, Sign):
        name = safe(block.name)
        return (
            f'<p class="label">{_SIGN}</p><div class="sign"><span>Name: {name}</span>'
            '<span class="date">Date:</span><span>Signature:</span></div>'
        )
    head = "".join(f'<th scope="col">{safe(name)}</th>' for name in block.head)
    rows = "".join(_html_row(block, row, place < block.marked) for place, row in enumerate(block.rows))
    caption = f"<caption>{safe(block.caption)}</caption>"
    return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _html_row(table: Table, row: tuple[str, ...], marked: bool) -> str:
    cells = "".join(
        f'<td data-before="{join}">{safe(value)}</td>' for join, value in zip(table.joins, row[1:], strict=True)
    )
    return f'<tr{" class=off" if marked else ""}><th scope="row">{safe(row[0])}</th>{cells}</tr>'


def _html_pictures(block: Pictures, folder: Path | None) -> str:
    shown, named = [], []
    for picture in block.pictures:
        small = small_picture(folder / picture.copy) if folder and picture.copy else ""
        words = safe(picture_words(picture))
        if small:
            shown.append(f'<li><img src="{small}" alt="{words}"><span>{words}</span></li>')
        else:
            named.append(f"<li>{safe(_named(picture))}</li>")
    parts = ['<p class="label">Pictures</p>']
    parts += [f'<ul class="pictures">{"".join(shown)}</ul>'] if shown else []
    parts += [f"<ul>{''.join(named)}</ul>"] if named else []
    parts += [] if can_make_small() else [f"<p>{_NEEDS_PILLOW}</p>"]
    return "".join(parts)


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
