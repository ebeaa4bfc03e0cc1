"""The written forms of a report: Markdown, one self-contained page, JSON, and a text to paste into a message."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

from assistant.analysis.tokens import printable
from assistant.visiting.report import DESK_ASKS, Report, VisitReport, shown_time
from assistant.visiting.report_blocks import Block, Heading, Items, Line, Table, report_blocks, totals_line
from assistant.webpage import safe, webpage

__all__ = ["handoff_text", "report_html", "report_json", "report_markdown"]

_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#|~&!@]|:(?=//)|^[-+=]|^\d+(?=[.)])|(?<=www)\.)", re.IGNORECASE)
_LEFT_TO_THE_REPORT = frozenset({"shop", "checks made", "remarks", "pictures", "parts used"})
"""What a message leaves to the report."""
_STYLE = """
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, sans-serif; color: #1b1b1b; background: #fff; max-width: 62em; margin: 0 auto;
  padding: 1em; overflow-wrap: anywhere; }
h1 { font-size: 1.4em; margin: 0 0 .4em; }
h2 { font-size: 1.15em; margin: 1.1em 0 .3em; border-bottom: 1px solid #767676; }
h3 { font-size: 1em; margin: .9em 0 .2em; }
p { margin: .3em 0; }
table { border-collapse: collapse; width: 100%; margin: .5em 0; }
caption { text-align: left; font-weight: 600; padding: .2em 0; }
th, td { border: 1px solid #767676; padding: .2em .4em; text-align: left; vertical-align: top; }
thead th { background: #ececec; overflow-wrap: normal; }
ul { margin: .2em 0 .5em; padding-left: 1.3em; }
@media (max-width: 34em) {
  table, caption, tbody, tr, th, td { display: block; }
  thead { position: absolute; clip-path: inset(50%); height: 1px; width: 1px; overflow: hidden; }
  tr { margin: 0 0 .5em; border-top: 2px solid #1b1b1b; }
  td::before { content: attr(data-label) ": "; font-weight: 600; }
}
@media print {
  @page { size: A4; margin: 10mm; }
  body { font-size: 7.5pt; line-height: 1.15; max-width: none; padding: 0; }
  h1 { font-size: 11pt; } h2 { font-size: 9pt; margin: .4em 0 .1em; } h3 { font-size: 8pt; margin: .3em 0 .1em; }
  h2, h3, p { break-after: avoid; }
  p { margin: .1em 0; } ul { margin: 0 0 .1em; columns: 2; column-gap: 1.5em; }
  table { margin: .1em 0; } tr { break-inside: avoid; }
  caption { padding: .1em 0; } th, td { padding: .05em .4em; }
}
"""


def report_markdown(report: Report) -> str:
    """Return the report as CommonMark with tables; nothing that was typed is read as markup."""
    return "\n".join(line for block in report_blocks(report) for line in _markdown(block)).strip() + "\n"


def _markdown(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield from (f"{'#' * block.level} {_marked(block.text)}", "")
    elif isinstance(block, Line):
        yield from (_marked(block.text), "")
    elif isinstance(block, Items):
        yield from (_marked(block.label), "")
        yield from (f"- {_marked(item)}" for item in block.items)
        yield ""
    else:
        yield from (_marked(block.caption), "")
        yield f"| {' | '.join(map(_marked, block.head))} |"
        yield f"|{' --- |' * len(block.head)}"
        yield from (f"| {' | '.join(map(_marked, row))} |" for row in block.rows)
        yield ""


def _marked(text: str) -> str:
    """Escape every character that CommonMark, with tables and bare links, could take for markup where it stands."""
    return _MARKDOWN.sub(_escaped, printable(text))


def _escaped(found: re.Match[str]) -> str:
    return f"{found[0]}\\" if found[0].isdigit() else f"\\{found[0]}"


def report_html(report: Report) -> str:
    """Return the report as one page that needs no other file, runs nothing and prints on A4."""
    return webpage(report.title, _STYLE, "\n".join(_html(block) for block in report_blocks(report)))


def _html(block: Block) -> str:
    if isinstance(block, Heading):
        return f"<h{block.level}>{safe(block.text)}</h{block.level}>"
    if isinstance(block, Line):
        return f"<p>{safe(block.text)}</p>"
    if isinstance(block, Items):
        items = "".join(f"<li>{safe(item)}</li>" for item in block.items)
        return f"<p><strong>{safe(block.label)}</strong></p><ul>{items}</ul>"
    head = "".join(f'<th scope="col">{safe(name)}</th>' for name in block.head)
    rows = "".join(_html_row(block, row) for row in block.rows)
    caption = f"<caption>{safe(block.caption)}</caption>"
    return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _html_row(table: Table, row: tuple[str, ...]) -> str:
    cells = "".join(
        f'<td data-label="{safe(name)}">{safe(value)}</td>' for name, value in zip(table.head[1:], row[1:], strict=True)
    )
    return f'<tr><th scope="row">{safe(row[0])}</th>{cells}</tr>'


def report_json(report: Report) -> str:
    """Return the report as JSON: the fields of `Report` and of what it holds, by name."""
    return json.dumps(_data(report), ensure_ascii=True, indent=1) + "\n"


def _data(value: object) -> object:
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return {name: _data(part) for name, part in value._asdict().items()}
    if isinstance(value, tuple):
        return [_data(part) for part in value]
    return value


def handoff_text(report: Report) -> str:
    """Return plain text to paste into a message: each station, all that went to the desk, what is wanted and open."""
    lines = [line for visit in report.visits for line in _handoff(visit)]
    return "\n".join(printable(line) for line in lines) + "\n" if lines else "No visit in this time.\n"


def _handoff(visit: VisitReport) -> Iterator[str]:
    out = shown_time(visit.time_out) if visit.time_out else "still open"
    yield f"Shop {visit.store}, visit {visit.id}, in {shown_time(visit.time_in)}, out {out}"
    yield totals_line(visit.totals)
    for station in visit.stations:
        ends = [f"{work.note}: {work.outcome or 'not finished'}" for work in station.works]
        yield f"{station.station}: {station.state}" + (f" ({'; '.join(ends)})" if ends else "")
    touched = {station.station for station in visit.stations}
    for point in visit.open_points:
        if point.kind == "withdrawn" and point.station not in touched:
            yield f"{point.station}: withdrawn from service since {shown_time(point.since)}: {point.text}"
    for station in (*visit.stations, *([visit.loose] if visit.loose else [])):
        for escalation in station.escalations:
            told = zip(DESK_ASKS, escalation, strict=True)
            yield "DESK " + "; ".join(f"{name}: {value}" for name, value in told if name not in _LEFT_TO_THE_REPORT)
    if visit.totals.wanted:
        yield "Wanted: " + ", ".join(f"{count} {part}" for part, count in visit.totals.wanted)
