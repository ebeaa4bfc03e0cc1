"""An app over answers that are written down here, so that no ranking decides what a test of the screen sees."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

import pytest

from assistant.answering.assistant import Assistant
from assistant.answering.compose import SMALL_TALK, named_contacts
from assistant.answering.converse import Conversation
from assistant.cli.output import answer_text
from assistant.errors import PackError, UsageError
from assistant.model import About, Answer, Note, Option, ShownStep
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from assistant.tui.ask.app import StationApp
from assistant.tui.common.app import OneScreenApp
from assistant.tui.common.settings import Settings
from tests.making import TRADE

Call = tuple[str, str, Conversation | None]
EMERGENCY = "Life in danger? Call the local emergency number first, then the store's first aider."


def answer_from(note: Note, question: str, *, about: About = "procedure", others: tuple[Option, ...] = ()) -> Answer:
    """Return the answer that shows ``note``, its first step marked."""
    steps = tuple(ShownStep(s.n, s.text, s.n == 1, tuple(b.text for b in s.branches)) for s in note.steps)
    return Answer(
        question=question,
        read_as=question.lower().rstrip("?"),
        decision="answer",
        about=about,
        text=f"About {note.minutes} minutes." if about == "time" else "",
        note=note,
        safety=note.safety,
        steps=steps,
        options=others,
        confidence=0.9,
        why=(),
        pack="mini",
        action=TRADE.actions[note.action],
        contacts=named_contacts(note, TRADE),
    )


class ScriptedAsks:
    """Answers known questions; keeps what it was asked in ``calls``."""

    def __init__(self, notes: dict[str, Note]) -> None:
        self.notes = notes
        self.calls: list[Call] = []
        near = tuple(self.option(i) for i in ("pad-cable-damage", "disc-clean", "screen-no-signal"))
        cap = answer_from(notes["pad-stick-cap"], "controller stick cap broken?", others=near)
        unsure = cap._replace(
            decision="choose", note=None, safety=(), steps=(), text="2 notes may fit. Which one is it?"
        )
        unsure = unsure._replace(options=(self.option("disc-clean"), self.option("screen-no-signal")))
        uncovered = unsure._replace(decision="none", text="No note covers this. The nearest notes, which do not match:")
        self.answers = {
            "controller stick cap broken?": cap,
            "fingerprints on the game disc": answer_from(notes["disc-clean"], "fingerprints on the game disc"),
            "the game is odd": unsure,
            "when do i get paid": uncovered,
            "the pad is puffed up": answer_from(notes["safety-swollen-cell"], "the pad is puffed up")._replace(
                safety_first=True, emergency=EMERGENCY
            ),
            "something here hurt me": unsure._replace(emergency=EMERGENCY),
            "hello": uncovered._replace(options=(), text="No note covers this."),
        }

    def option(self, note_id: str) -> Option:
        """Return the note as an option."""
        return Option(note_id, self.notes[note_id].title)

    def ask(
        self, question: str, conversation: Conversation | None = None, *, id: str = ""
    ) -> tuple[Answer, Conversation]:
        """Answer a known question; ``how long`` and ``thanks`` go on with the note in hand, if there is one."""
        self.calls.append(("ask", question, conversation))
        if question == "damaged":
            raise PackError("the pack is damaged; compile it again")
        before = conversation or Conversation()
        if question == "how long" and before.note:
            answer = answer_from(self.notes[before.note], question, about="time")
        elif question == "thanks":
            note = self.notes[before.note] if before.note else None
            told = answer_from(note or self.notes["disc-clean"], question, about="small_talk")
            answer = told._replace(note=note, text=SMALL_TALK)
        else:
            known = self.answers.get(question, self.answers["hello"])
            answer = known._replace(question=question, read_as=question.lower())
        return answer, before.after(answer, 0)

    def show(
        self, note_id: str, *, question: str = "", others: Sequence[str] = (), id: str = ""
    ) -> tuple[Answer, Conversation]:
        """Show a note."""
        self.calls.append(("show", note_id, None))
        if note_id not in self.notes:
            raise UsageError(f"no note '{note_id}' in this pack")
        options = tuple(self.option(other) for other in others if other != note_id)
        answer = answer_from(self.notes[note_id], question, others=options)
        if note_id.startswith("safety-"):
            answer = answer._replace(emergency=EMERGENCY)
        return answer, Conversation().after(answer, 0)


@pytest.fixture(scope="session")
def mini_notes(mini_corpus_path: Path) -> dict[str, Note]:
    """Return the six short notes by id."""
    return {note.id: note for note in read_corpus(mini_corpus_path).notes}


@pytest.fixture
def asks(mini_notes: dict[str, Note]) -> ScriptedAsks:
    return ScriptedAsks(dict(mini_notes))


@pytest.fixture
def calls(asks: ScriptedAsks) -> list[Call]:
    return asks.calls


@pytest.fixture
def answers(asks: ScriptedAsks) -> dict[str, Answer]:
    """Answers by question; a test may add its own."""
    return asks.answers


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The program's own folder."""
    return tmp_path / "home"


@pytest.fixture
def app(asks: ScriptedAsks, home: Path) -> StationApp:
    """The app over the scripted answers."""
    return StationApp(asks, partial(answer_text, width=80), asks.notes.get, settings=Settings(home))


@pytest.fixture
def real_app(mini_pack_path: Path) -> Iterator[StationApp]:
    """The app over the compiled pack of the six notes."""
    with Pack(mini_pack_path) as pack:
        yield StationApp(Assistant(pack), partial(answer_text, width=80), pack.note)


@pytest.fixture(autouse=True)
def no_bounce(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take every Enter: what two of them so soon mean is tested where it is named."""
    monkeypatch.setattr(OneScreenApp, "BOUNCE", 0.0)
