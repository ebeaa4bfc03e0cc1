"""Parts of the page of figures: its style, sections that fold, tables, plots."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.evaluation.statistics import Share
from assistant.webpage import safe

__all__ = ["COLUMNS", "STYLE", "figure", "fold", "paragraph", "share_cells", "shares_table", "table"]

STYLE = """
body { font: 1rem/1.5 sans-serif; overflow-wrap: anywhere; }
main { max-width: 66rem; margin: 0 auto; padding: .75rem; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: .2em 0; }
h2 { font-size: 1.25rem; margin: 1.8em 0 .4em; padding-bottom: .15em; border-bottom: 2px solid #0072b2; }
h3 { font-size: 1.05rem; margin: 1.2em 0 .3em; }
p { margin: .4em 0; max-width: 46rem; }
figure { margin: .8em 0; }
figcaption { font-weight: 700; }
svg { display: block; width: 100%; max-width: 34rem; height: auto; stroke-linejoin: round; stroke-linecap: butt; }
.pair { display: grid; gap: 0 1.5rem; grid-template-columns: repeat(auto-fit, minmax(min(100%, 26rem), 1fr)); }
.pair > * { min-width: 0; }
.wide { overflow-x: auto; max-width: 100%; margin: .6em 0; }
.wide:focus-visible { outline: 3px solid #0072b2; }
table { border-collapse: collapse; font-size: .875em; font-variant-numeric: tabular-nums; overflow-wrap: normal; }
caption { text-align: left; font-weight: 700; padding: .2em 0; }
th, td { border-bottom: 1px solid #b5b5b5; padding: .2em .6em .2em 0; text-align: left; vertical-align: top; }
td { white-space: nowrap; }
th[scope="row"] { font-weight: 400; min-width: 5rem; }
thead th { border-bottom: 2px solid #555; vertical-align: bottom; }
.number { text-align: right; }
details { border-bottom: 1px solid #b5b5b5; }
summary { cursor: pointer; padding: .3em 0; }
summary:focus-visible { outline: 3px solid #0072b2; }
summary h2, summary h3 { display: inline; margin: 0; padding: 0; border: 0; }
.sign { border-bottom: 1px solid #555; min-width: 14rem; display: inline-block; }
.misses { padding-left: 1.1em; }
.misses li { margin: 0 0 .6em; }
@media print {
  details::details-content { content-visibility: visible; height: auto; }
  @page { size: A4; margin: 12mm; }
  body { font-size: 9pt; }
  main { max-width: none; padding: 0; }
  .pair { grid-template-columns: 1fr 1fr; }
  .wide { overflow: visible; }
  figure, tr, .misses li { break-inside: avoid; }
  h2, h3, caption { break-after: avoid; }
}
"""
COLUMNS = ("right", "of", "share", "from", "to")
"""Of a table of shares, after what is shared."""


def fold(title: str, told: str, body: Iterable[str], *, opened: bool = False, level: int = 2) -> str:
    """Return a section that folds without a script; its head says what it comes to.

    Parameters
    ----------
    opened
        Whether it stands open at first: where something failed.
    level
        Of its heading, 1 to 6.
    """
    head = f"<h{level}>{safe(title)}</h{level}>"
    note = f" <span>{safe(told)}</span>" if told else ""
    inside = "\n".join(body)
    return f"<details{' open' if opened else ''}><summary>{head}{note}</summary>\n{inside}\n</details>"


def figure(caption: str, svg: str) -> str:
    """Return a plot with its caption."""
    return f"<figure><figcaption>{safe(caption)}</figcaption>{svg}</figure>"


def shares_table(caption: str, what: str, shares: Iterable[tuple[str, Share]]) -> str:
    """Return a table of shares with their exact intervals."""
    return table(caption, (what, *COLUMNS), [(name, *share_cells(share)) for name, share in shares])


def share_cells(share: Share) -> tuple[str, ...]:
    """Return the cells under `COLUMNS`."""
    low, high = share.interval()
    return str(share.k), str(share.n), f"{share.value:.3f}", f"{low:.3f}", f"{high:.3f}"


def table(caption: str, head: Sequence[str], rows: Iterable[tuple[object, ...]], *, numbers: bool = True) -> str:
    """Return a table in a box that scrolls by itself where the page is too narrow; the first cell names its row."""
    kind = ' class="number"' if numbers else ""
    names = "".join(f'<th scope="col"{kind if place else ""}>{safe(name)}</th>' for place, name in enumerate(head))
    body = "".join(
        f'<tr><th scope="row">{safe(str(row[0]))}</th>'
        + "".join(f"<td{kind}>{safe(str(cell))}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    return (
        f'<div class="wide" role="region" aria-label="{safe(caption)}" tabindex="0"><table><caption>{safe(caption)}'
        f"</caption><thead><tr>{names}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def paragraph(text: str) -> str:
    """Return a paragraph."""
    return f"<p>{safe(text)}</p>"
