"""A scored release as widgets: the gate and the kinds of misses, the misses of a kind, one miss with its card."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.evaluation.bars import Judged
from assistant.evaluation.missing import Miss
from assistant.tui.common.card import card_paragraphs
from assistant.tui.common.entry import Entry
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.text import literal
from assistant.tui.desk.at_release import AtRelease
from assistant.tui.desk.widgets import offer_lines

__all__ = ["RELEASE_TEXTS", "ReleaseEntry"]

RELEASE_TEXTS = (
    "+ is a bar that is reached, ! one that is not. Under the bars stand the misses, by reason, manner and area.",
    "Pick a kind to list its misses, and a miss to see the card that the rep sees, under the reason.",
    "Type the number of a line, or tap it; type next for the next ten lines. Nothing is changed here.",
)
"""What help says."""


class ReleaseEntry(Entry):
    """The figures, the misses of a kind, or one miss."""

    def __init__(self, at: AtRelease) -> None:
        super().__init__()
        self._at = at

    def compose(self) -> ComposeResult:
        """Lay out the page and the numbered lines."""
        at = self._at
        if at.kind is None:
            yield from self._figures()
        else:
            yield Static(literal(f"{at.kind.head.partition(';')[0]}: {at.kind.name}"), classes="title")
            yield Static(literal(f"Misses: {at.shown_of}"), classes="label")
            if at.miss:
                yield from self._miss(at.miss)
            yield from offer_lines(at)

    def _figures(self) -> Iterator[Widget]:
        study = self._at.study
        short = sum(not row.passed for row in study.gate)
        if not study.gate:
            told = "No bars were given, so that nothing is passed and nothing falls short."
        elif short:
            told = f"The release falls short: {short} of {len(study.gate)} bars are not reached."
        else:
            told = f"The gate is passed: all {len(study.gate)} bars are reached."
        yield Static(literal(told), classes="title")
        asked = len(study.report.outcomes)
        pack = f"Pack {study.report.pack}, split {study.report.split}: {asked} questions, {len(study.misses)} misses."
        yield Static(literal(pack), classes="read-as")
        if study.gate:
            yield Static(Content("Bars, those not reached first; k/n with the exact 95 % interval"), classes="label")
        for row in sorted(study.gate, key=lambda row: row.passed):
            yield self._bar(row)
        lines = offer_lines(self._at)
        for head, kinds in groupby(self._at.kinds, key=lambda kind: kind.head):
            yield Static(literal(head), classes="label")
            for _ in kinds:
                yield next(lines)

    def _bar(self, row: Judged) -> Widget:
        value = "not measured" if row.value is None else f"{row.value:.3f}"
        told = f"{row.bar.figure}: {value}, {row.bar.end.replace('_', ' ')} {row.bar.value:g}"
        share = self._at.study.report.shares.get(row.bar.figure)
        if share and share.n:
            low, high = share.interval()
            told += f"; {share.k}/{share.n} [{low:.3f}, {high:.3f}]"
        sign, classes = ("+ ", "bar") if row.passed else ("! ", "bar -short")
        return Hanging(sign, literal(told), classes=classes)

    def _miss(self, miss: Miss) -> Iterator[Widget]:
        q = miss.question
        yield Hanging("Asked: ", literal(q.question), classes="needs")
        yield Hanging("Label: ", literal(f"{q.id}, {q.manner} {q.kind}".rstrip()), classes="needs")
        yield Hanging("Wanted: ", literal(self._at.wanted(miss, titles=True)), classes="needs")
        came = f"{self._at.came(miss, titles=True)}, confidence {miss.confidence:.2f}"
        yield Hanging("Came: ", literal(came), classes="needs")
        yield Static(Content("Why"), classes="label")
        for cause in miss.causes:
            yield Hanging("! ", literal(cause.text), classes="item")
        yield Static(Content("What the rep sees"), classes="label")
        if self._at.answer:
            yield from (paragraph.widget() for paragraph in card_paragraphs(self._at.answer))
