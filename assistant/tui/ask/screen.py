"""The screen that a rep asks on: the record over the question line."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.containers import ScrollableContainer
from textual.css.query import QueryType
from textual.widget import Widget

from assistant.answering.converse import Conversation
from assistant.errors import AssistantError, ExitCode
from assistant.journal.store import now
from assistant.languages import said, to_say
from assistant.tui.ask.entries import AnswerSheet, HelpSheet, Sheet, Welcome
from assistant.tui.ask.paper import Paper
from assistant.tui.ask.saved import folder_typed, saved
from assistant.tui.ask.visiting import label_typed, visit_words
from assistant.tui.common.actions import Action, chosen
from assistant.tui.common.asking import line_number
from assistant.tui.common.contracts import Asks, NoteById, ToText
from assistant.tui.common.lined import LinedScreen
from assistant.tui.common.more import MoreLine
from assistant.tui.common.paragraph import Press
from assistant.tui.common.text import printable, sentence
from assistant.visiting.recorder import Recorder
from assistant.visiting.words import outcome_word

if TYPE_CHECKING:
    from assistant.tui.visit.working import Left

__all__ = ["StationScreen"]

NO_ANSWER = to_say("No answer yet. Ask first.")
NO_JOURNAL = to_say("There is no journal to record in; the message at the start says why.")
_SAVE_IN = to_say("save in")
_NOTE_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)+")


class StationScreen(LinedScreen[None]):
    """Asks and shows.

    Parameters
    ----------
    asks
        Answers the questions.
    to_text
        Returns an answer as the plain text that is saved.
    note_by_id
        Returns a note of the pack.
    recorder
        Records visits, work and questions; None where there is no journal.
    clock
        Tells the time.
    examples
        Questions to begin with, as `Welcome` takes them.
    """

    ACTIONS: ClassVar[tuple[Action, ...]] = chosen(
        "help", "visit", "work", "other", "wrong", "save", "copy", "colours", "leave"
    )
    TEXTS: ClassVar[tuple[str, ...]] = (
        to_say(
            "Type what is wrong and press Enter. After an answer, a short question asks about the same note: how long?"
        ),
        to_say("Pick a numbered line: tap it, type its number and Enter, or go to it with Tab and press Enter."),
        to_say("Where a card says to see another note, tap that line, or type the note's name and press Enter."),
        to_say(
            "With a visit open, a line that begins with an asset label goes to the visit: A-0101 fault stick drifts."
        ),
        to_say("> marks a step that holds what you asked about."),
        to_say("To copy a part, drag over it and press Ctrl+C. To save elsewhere from now on, type: save in FOLDER"),
    )

    def __init__(
        self,
        asks: Asks,
        to_text: ToText,
        note_by_id: NoteById,
        recorder: Recorder | None = None,
        *,
        clock: Callable[[], datetime] = now,
        examples: Sequence[str] = (),
    ) -> None:
        super().__init__()
        self._asks = asks
        self._to_text = to_text
        self._note_by_id = note_by_id
        self._recorder = recorder
        self._clock = clock
        self._examples = examples
        self._at_station = ""
        self._conversation = Conversation()
        self._tried: set[str] = set()
        self._unkept: AnswerSheet | None = None

    def make_record(self) -> ScrollableContainer:
        """Return the paper."""
        return Paper()

    @property
    def paper(self) -> Paper:
        """The questions and cards."""
        return self.query_one(Paper)

    def focus_previous(self, selector: str | type[QueryType] = "*") -> Widget | None:
        """Go back; onto the paper at its last line."""
        reached = super().focus_previous(selector)
        if isinstance(reached, Paper):
            reached.reach_last()
        return reached

    def on_mount(self) -> None:
        """Show the welcome."""
        self.notice("")
        self._put(Welcome(self._examples))

    async def enter_empty(self) -> None:
        """Ask for a question."""
        self.notice(said("Type what is wrong, then press Enter."))

    async def enter_text(self, text: str) -> None:
        """Take a number of a line, a folder, a note's name, a station of the open visit, or a question."""
        self.notice("")
        try:
            self._take_text(text)
        except AssistantError as error:
            self.line.remember(text)
            self.notice(str(error))

    def _take_text(self, text: str) -> None:
        sheet = self._numbered()
        choices = sheet.choices() if sheet else []
        number = line_number(text, len(choices))
        folder = re.fullmatch(f"(?:{_SAVE_IN}|{said(_SAVE_IN)}) (.+)", text, re.IGNORECASE)
        named = text.lower() if _NOTE_ID.fullmatch(text.lower()) else ""
        if number:
            self.line.value = ""
            self._take(choices[number - 1], sheet)
        elif folder:
            self.line.value = ""
            self._save_in(folder[1])
        elif named and self._note_by_id(named):
            self.line.remember(text)
            self._show_named(named)
        elif self._recorder and label_typed(self._recorder, text):
            self.line.remember(text)
            self._go_to_visit(text)
        else:
            self._ask(text)

    def _numbered(self) -> Sheet | None:
        """Return what the numbered lines stand on: the newest card that is not small talk."""
        entry = self.paper.newest
        answers = [e for e in self.paper.sheets if isinstance(e, AnswerSheet) and e.answer.about != "small_talk"]
        if isinstance(entry, AnswerSheet) and entry not in answers:
            entry = answers[-1] if answers else None
        return entry

    @on(Paper.Pressed)
    def _tapped_paper(self, event: Paper.Pressed) -> None:
        """Take a line of the paper that was tapped or pressed."""
        self.line.focus(scroll_visible=False)
        self.notice("")
        press = event.press
        try:
            if press.kind == "again":
                self.line.value = press.value
                self.line.cursor_position = len(press.value)
            else:
                self._take(press, event.sheet)
        except AssistantError as error:
            self.notice(str(error))

    def _take(self, press: Press, sheet: Sheet | None) -> None:
        if press.kind == "ask":
            self._ask(press.value)
        elif isinstance(sheet, AnswerSheet):
            self._show(press.value, sheet)

    def _ask(self, question: str) -> None:
        before = self._conversation.note
        answer, self._conversation = self._asks.ask(question, self._conversation)
        self.line.remember(question)
        newest = self.paper.newest_answer
        goes_on = newest is not None and answer.note is not None and answer.note.id == before
        if not goes_on:
            self._tried = {answer.note.id} if answer.note else set()
        topic = newest.topic if newest and goes_on else question
        self._put_kept(AnswerSheet(answer, question, topic=topic))

    def _show(self, note_id: str, entry: AnswerSheet) -> None:
        """Show a note that was picked from an entry; the others stay at hand."""
        self._keep()
        others = [option.id for option in entry.pool]
        answer, self._conversation = self._asks.show(note_id, question=entry.topic, others=others)
        self._tried.add(note_id)
        self._put(AnswerSheet(answer, entry.topic, entry.kept))

    def _show_named(self, note_id: str) -> None:
        """Show a note whose name was typed: for the question of the newest card where that names it."""
        entry = self.paper.newest_answer
        if entry and note_id in entry.named:
            self._show(note_id, entry)
            return
        answer, self._conversation = self._asks.show(note_id, question=note_id)
        self._tried = {note_id}
        self._put_kept(AnswerSheet(answer, note_id))

    def _put_kept(self, entry: AnswerSheet) -> None:
        """Show an answer, then keep the question."""
        self._keep()
        self._put(entry)
        self._unkept = entry
        self.call_after_refresh(self._keep)

    def _keep(self) -> None:
        """Keep the newest question for the authors, once; where it cannot be kept, say so, on stderr at the end."""
        entry, self._unkept = self._unkept, None
        if entry is None or self._recorder is None:
            return
        try:
            entry.kept = self._recorder.question(entry.answer)
        except AssistantError as error:
            told = said("The question was not kept: {why}", why=error)
            if self.is_running:
                self.notice(told)
            else:
                self.app.exit(self.app.return_value, self.app.return_code or 0, printable(sentence(told)))

    def _put(self, entry: Sheet) -> None:
        self.line.focus(scroll_visible=False)
        self.paper.add(entry)
        self.query_one(MoreLine).keep_up()
        self._show_around()

    def _show_around(self) -> None:
        """Show the visit in the head, and at the foot what can be done with the newest entry."""
        self.head(visit_words(self._recorder) if self._recorder else "")
        entry = self.paper.newest
        ids = ["visit", "help"]
        if not isinstance(entry, AnswerSheet):
            ids.append("leave")
        elif entry.answer.note and entry.answer.about != "small_talk":
            ids = ["work", *(["other"] if self._following(entry) else []), *ids]
        elif entry.answer.about != "small_talk":
            ids.insert(0, "wrong")
        self.foot(*ids)

    def _following(self, entry: AnswerSheet) -> str:
        """Return the id of the next nearest note that was not shown yet for this question; empty where none is."""
        return next((option.id for option in entry.pool if option.id not in self._tried), "")

    async def action_other(self) -> None:
        """Show the next nearest note."""
        entry = self.paper.newest_answer
        following = self._following(entry) if entry else ""
        if entry is None:
            self.notice(said(NO_ANSWER))
        elif not following:
            self.notice(said("No other note is near. Ask in other words."))
        else:
            try:
                self._show(following, entry)
            except AssistantError as error:
                self.notice(str(error))

    def action_wrong(self) -> None:
        """Record that the newest answer did not help."""
        self._keep()
        entry = self.paper.newest_answer
        if entry is None:
            self.notice(said(NO_ANSWER))
        elif entry.kept is None or self._recorder is None:
            self.notice(said(NO_JOURNAL))
        else:
            try:
                self._recorder.judge(entry.kept, "not_helpful")
            except AssistantError as error:
                self.notice(str(error))
            else:
                self.notice(said("Noted: the authors will see that this did not help. Ask in other words."))

    def action_work(self) -> None:
        """Work through the note of the newest answer; one that stands open on the station is taken up again."""
        self._keep()
        entry = self.paper.newest_answer
        note = entry.answer.note if entry else None
        if entry is None or note is None:
            self.notice(said("No note is shown. Ask first, or pick one."))
        elif self._recorder is None:
            self.notice(said(NO_JOURNAL))
        else:
            from assistant.tui.visit.work_screen import WorkScreen

            try:
                work = self._recorder.take_up(note, station=self._at_station, condition=printable(entry.topic))
                screen = WorkScreen(self._recorder, work, note, self._asks, self._note_by_id)
            except AssistantError as error:
                self.notice(str(error))
            else:
                self.app.push_screen(screen, self._after_work)

    def _after_work(self, left: Left | None) -> None:
        self._show_around()
        if left is None:
            return
        if left.outcome:
            self.notice(
                said("{title}: {outcome}. Recorded.", title=left.work.title, outcome=outcome_word(left.outcome))
            )
        else:
            told = to_say("{title} is not finished. Type work again, or take it up in the visit.")
            self.notice(said(told, title=left.work.title))

    def action_visit(self) -> None:
        """Open the visit."""
        self._go_to_visit("")

    def _go_to_visit(self, typed: str) -> None:
        self._keep()
        if self._recorder is None:
            self.notice(said(NO_JOURNAL))
            return
        from assistant.tui.visit.screen import VisitScreen

        try:
            screen = VisitScreen(self._recorder, self._asks, self._note_by_id, typed=typed)
        except AssistantError as error:
            self.notice(str(error))
        else:
            self.app.push_screen(screen, self._after_visit)

    def _after_visit(self, station: str | None) -> None:
        self._at_station = station or ""
        self._show_around()
        if station:
            self.notice(said("Ask about {station}.", station=station))

    def action_save(self) -> None:
        """Save the newest answer."""
        entry = self.paper.newest_answer
        if entry is None:
            self.notice(said(NO_ANSWER))
            return
        note = entry.answer.note
        names = (note.id if note else "question", self._at_station)
        self.notice(saved(self.settings.folder, names, self._clock(), self._text(entry)))

    def _save_in(self, folder: str) -> None:
        """Save in another folder from now on, and the newest answer at once."""
        self.settings.save_in(folder_typed(folder))
        if self.paper.newest_answer:
            self.action_save()
        else:
            self.notice(said("What you save goes to {folder} from now on.", folder=self.settings.folder))

    def action_copy(self) -> None:
        """Copy the newest answer."""
        entry = self.paper.newest_answer
        if entry is None:
            self.notice(said(NO_ANSWER))
        else:
            self.copied(self._text(entry))

    def _text(self, entry: AnswerSheet) -> str:
        asked = said("Asked: ")
        return f"{asked}{printable(entry.question)}\n{self._to_text(entry.answer)}"

    async def action_help(self) -> None:
        """Open help, or close it."""
        if not self.paper.close_help():
            self._put(HelpSheet(self.TEXTS, self.ACTIONS))

    async def action_escape(self) -> None:
        """Close help, or else empty the question line."""
        self.notice("")
        self.line.focus(scroll_visible=False)
        if self.paper.close_help():
            return
        if not self.line.value:
            self.notice(said("To close the program, type leave"))
        self.line.value = ""

    def on_unmount(self) -> None:
        """Keep what was asked last."""
        self._keep()

    def action_leave(self) -> None:
        """Close the program."""
        self.app.exit(int(ExitCode.DONE))
