"""The facade: a question and a conversation in, an answer and the conversation after it out."""

from __future__ import annotations

from assistant.analysis.tokens import clean
from assistant.answering.compose import direct_answer, matching_steps
from assistant.answering.converse import Conversation, Turn, picked_option, read_turn
from assistant.answering.decide import MOST_OPTIONS, Verdict, decide
from assistant.answering.retrieve import Retrieval, Retriever
from assistant.errors import UsageError
from assistant.model import About, Answer, Note, Option
from assistant.pack.reader import Pack

__all__ = ["MAX_QUESTION", "Assistant"]

MAX_QUESTION = 4000
"""Characters of a question that are read; the rest is left out."""


class Assistant:
    """Answers questions from one pack.

    Parameters
    ----------
    pack
        An open pack; the caller closes it.
    """

    def __init__(self, pack: Pack) -> None:
        self._pack = pack
        self._retriever = Retriever(pack)

    def ask(
        self, question: str, conversation: Conversation | None = None, *, id: str = ""
    ) -> tuple[Answer, Conversation]:
        """Answer one turn.

        Parameters
        ----------
        question
            Anything; control characters are left out.
        conversation
            What the turn before returned, or None for a new talk.

        Returns
        -------
        tuple
            The answer, and the conversation to hand in with the next turn.
        """
        before = conversation or Conversation()
        asked = clean(question[:MAX_QUESTION])
        turn = read_turn(asked, self._pack)
        retrieval = self._retriever(asked)
        verdict = decide(retrieval, self._pack.decision, self._pack.urgent)
        picked = picked_option(asked, before)
        if picked:
            note = self._note(picked)
            answer = self._from_note(note, "procedure", retrieval, verdict, asked, id, 0, picked=before.options)
            return answer, Conversation(note.id, 0, before.options)
        if before.note and self._goes_on(turn, retrieval, verdict, before):
            note = self._note(before.note)
            answer = self._from_note(note, turn.about, retrieval, verdict, asked, id, before.step, picked=before.options)
            return answer, Conversation(note.id, _step_named(turn.about, before.step), before.options)
        return self._new_topic(turn, retrieval, verdict, asked, id, before)

    def show(self, note_id: str, *, question: str = "", id: str = "") -> tuple[Answer, Conversation]:
        """Show one note by its id.

        Raises
        ------
        UsageError
            If the pack holds no such note.
        """
        asked = clean(question)
        retrieval = self._retriever(asked)
        verdict = Verdict("answer", (), 1.0)
        note = self._note(note_id)
        return self._from_note(note, "procedure", retrieval, verdict, asked, id, 0, picked=()), Conversation(note.id)

    def _note(self, note_id: str) -> Note:
        note = self._pack.note(note_id)
        if note is None:
            raise UsageError(f"no note '{clean(note_id)[:60]}' in this pack")
        return note

    def _goes_on(self, turn: Turn, retrieval: Retrieval, verdict: Verdict, before: Conversation) -> bool:
        settings = self._pack.decision
        if verdict.safety_first:
            return False
        first = self._pack.note_ids[verdict.notes[0]] if verdict.notes else before.note
        bar = settings["turn_same"] if first == before.note else settings[f"turn_{verdict.decision}"]
        return turn.margin >= int(bar)

    def _new_topic(
        self, turn: Turn, retrieval: Retrieval, verdict: Verdict, asked: str, id: str, before: Conversation
    ) -> tuple[Answer, Conversation]:
        if verdict.decision == "answer":
            note = self._note(self._pack.note_ids[verdict.notes[0]])
            settings = self._pack.decision
            sure = turn.margin >= int(settings["turn_first"])
            about: About = turn.about if sure and not verdict.safety_first else "procedure"
            answer = self._from_note(note, about, retrieval, verdict, asked, id, 0, picked=())
            return answer, Conversation(note.id, _step_named(about, 0), tuple(o.id for o in answer.options))
        options = self._options(verdict.notes)
        answer = Answer(
            question=asked,
            read_as=retrieval.query.read_as,
            decision=verdict.decision,
            about="procedure",
            text=_which(options) if verdict.decision == "choose" else _no_note(options),
            note=None,
            safety=(),
            steps=(),
            options=options,
            confidence=verdict.confidence,
            why=self._retriever.explain(retrieval, verdict.notes[0]).reasons if verdict.notes else (),
            pack=self._pack.digest,
            id=id,
        )
        offered = tuple(option.id for option in options) if verdict.decision == "choose" else ()
        return answer, Conversation(before.note, before.step, offered)

    def _from_note(
        self,
        note: Note,
        about: About,
        retrieval: Retrieval,
        verdict: Verdict,
        asked: str,
        id: str,
        step: int,
        *,
        picked: tuple[str, ...],
    ) -> Answer:
        number = self._pack.note_ids.index(note.id)
        others = [n for n in verdict.notes if n != number][: MOST_OPTIONS - 1]
        if picked:
            others = [self._pack.note_ids.index(o) for o in picked if o != note.id]
        return Answer(
            question=asked,
            read_as=retrieval.query.read_as,
            decision="answer",
            about=about,
            text=direct_answer(note, about, step),
            note=note,
            safety=note.safety,
            steps=matching_steps(note, retrieval.terms, retrieval.rows),
            options=self._options(others),
            confidence=verdict.confidence,
            why=self._retriever.explain(retrieval, number).reasons,
            pack=self._pack.digest,
            id=id,
            safety_first=verdict.safety_first,
        )

    def _options(self, notes: tuple[int, ...] | list[int]) -> tuple[Option, ...]:
        ids = [self._pack.note_ids[n] for n in notes]
        return tuple(Option(note_id, self._pack.titles[note_id]) for note_id in ids)


def _step_named(about: About, step: int) -> int:
    if about == "next_step":
        return step + 1
    return 1 if about == "first_step" else step


def _which(options: tuple[Option, ...]) -> str:
    return f"{len(options)} notes may fit. Which one is it?"


def _no_note(options: tuple[Option, ...]) -> str:
    return "No note covers this." + (" The nearest notes, which do not match:" if options else "")
