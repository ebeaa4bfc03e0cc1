"""How the page of a report looks: on a phone, on a desk, on A4."""

from __future__ import annotations

__all__ = ["STYLE"]

STYLE = """
body { font: 15px/1.35 system-ui, sans-serif; max-width: 58em; padding: .8em; overflow-wrap: anywhere; }
h1 { font-size: 1.35em; margin: 0 0 .3em; }
h2 { font-size: 1.15em; margin: 1.1em 0 .3em; border-bottom: 1px solid #767676; }
h3 { font-size: 1em; margin: .8em 0 .2em; }
p { margin: .3em 0; }
.facts b { font-weight: 600; }
.facts span { margin-right: 1em; }
table { border-collapse: collapse; width: 100%; margin: .6em 0; }
caption, .label { text-align: left; font-weight: 600; padding: .2em 0; margin: .6em 0 0; }
th, td { border-bottom: 1px solid #767676; padding: .25em .5em .25em 0; text-align: left; vertical-align: top; }
thead th { border-bottom: 2px solid #1b1b1b; overflow-wrap: normal; font-weight: 400; }
tbody th { min-width: 5em; }
td:last-child { min-width: 8.5em; }
.off th, .off td { font-weight: 700; background: #f3f3f3; }
.off th { border-left: 7px solid #1b1b1b; padding-left: .4em; }
ul { margin: .1em 0 .5em; padding-left: 1.2em; }
.pictures { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .5em; }
.pictures li { max-width: 11em; }
.pictures img { display: block; max-width: 100%; max-height: 8em; border: 1px solid #767676; }
.sign { display: flex; gap: 1em; margin-top: 1em; break-inside: avoid; }
.sign span { flex: 2; border-bottom: 1px solid #1b1b1b; min-height: 3.2em; }
.sign .date { flex: 1; }
@media (max-width: 34em) {
  table, caption, tbody, tr { display: block; }
  thead { position: absolute; clip-path: inset(50%); height: 1px; width: 1px; overflow: hidden; }
  th, td { display: inline; border: 0; padding: 0; }
  tr { border-bottom: 1px solid #767676; padding: .25em 0; }
  td::before { content: attr(data-before); font-weight: 400; }
  td:empty { display: none; }
  .off { border-left: 7px solid #1b1b1b; padding-left: .4em; background: #f3f3f3; }
  .off th { border: 0; padding: 0; }
  .sign { flex-direction: column; gap: .4em; }
}
@media print {
  @page { size: A4; margin: 11mm; }
  body { font-size: 9.5pt; line-height: 1.25; max-width: none; padding: 0; }
  h1 { font-size: 14pt; } h2 { font-size: 11pt; } h3 { font-size: 10pt; }
  h2, h3, .label { break-after: avoid; }
  tr, .pictures li { break-inside: avoid; }
  .pictures img { max-height: 26mm; }
  .sign span { min-height: 14mm; }
}
"""
