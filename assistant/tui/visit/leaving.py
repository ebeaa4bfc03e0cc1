"""The end of a visit: who takes it over, how the store signs, when the next one is, what can be saved or copied."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import NamedTuple, cast

from assistant.journal.records import Signed
from assistant.languages import said, to_say
from assistant.notes.writing import write_new
from assistant.tui.common.asking import Ask
from assistant.tui.common.saving import save_text
from assistant.tui.visit.forms import Answers, Field, form, name_typed
from assistant.visiting.days import read_day
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import visit_report
from assistant.visiting.report_blocks import Block, report_blocks
from assistant.visiting.report_message import handoff_text

__all__ = ["Closed", "closing_form"]

_ON_PAPER = (to_say("They sign a line on paper"), "paper")
_NOT = (to_say("They do not sign"), "")


class Closed(NamedTuple):
    """A visit that was closed: its shop, the message for the desk, the blocks of the report, and it as a page."""

    store: str
    message: str
    blocks: tuple[Block, ...]
    page: str

    def save(self, folder: Path, moment: datetime) -> Path:
        """Write the message, and the report beside it, into new files, and return the path of the message.

        Raises
        ------
        OSError
            If they cannot be written.
        """
        path = save_text(folder, ("visit", self.store), moment, self.message)
        write_new(path.with_suffix(".html"), self.page)
        return path


def closing_form(recorder: Recorder, take: Callable[[Closed], None]) -> Ask:
    """Ask who takes the visit over, how the store signs, and when the next visit is; then close it."""
    who = Field(said("Who of the store takes the visit over? May be empty"), read=name_typed)
    return form((who,), lambda answers: _ask_rest(recorder, take, answers[0]))


def _ask_rest(recorder: Recorder, take: Callable[[Closed], None], taken_by: str) -> Ask:
    def day(text: str) -> str:
        return read_day(text, recorder.today)

    typed = ((said("The name typed is enough: {taken_by}", taken_by=taken_by), "typed"),) if taken_by else ()
    fields = (
        Field(said("How does the store sign?"), lines=(_NOT, *typed, _ON_PAPER), typed=False),
        Field(said("When is the next visit, such as friday or in 2 weeks? May be empty"), read=day),
    )
    return form(fields, partial(_close, recorder, take, taken_by))


def _close(recorder: Recorder, take: Callable[[Closed], None], taken_by: str, answers: Answers) -> None:
    from assistant.visiting.report_page import report_html

    signed, next_visit = cast("Signed", answers[0]), answers[1]
    closing = recorder.close_visit(taken_by=taken_by, signed=signed, next_visit=next_visit)
    report = visit_report(recorder.journal, closing.visit)
    blocks = tuple(report_blocks(report))
    take(Closed(report.visits[0].store, handoff_text(report), blocks, report_html(report)))
