"""The facade: a question and a conversation in, an answer and the conversation after it out."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from assistant.analysis.tokens import clean
from assistant.answering.apart import tell_apart, which_one
from assistant.answering.compose import direct_answer, matching_steps
from assistant.answering.converse import Conversation, Turn, goes_on, picked_option, read_turn
from assistant.answering.decide import MOST_OPTIONS, Verdict, decide
from assistant.answering.retrieve import Retrieval, Retriever
from assistant.errors import UsageError
from assistant.model import About, Answer, Note, Option
from assistant.pack.reader import Pack

__all__ = ["ASKED_AT_ONCE", "MAX_QUESTION", "Assistant"]

MAX_QUESTION = 4000
"""Characters of a question that are read; the rest is left out."""
ASKED_AT_ONCE = frozenset({"parts", "tools", "time", "cautions", "why", "first_step", "done_check"})
"""What a question that begins a talk may ask for beyond the procedure."""


class Assistant:
    """Answers questions from one pack.

    Parameters
    ----------
    pack
        An open pack; the caller closes it.
    retrieve
        Reads and ranks a question; a `Retriever` of the pack where it is left out.
    """

    def __init__(self, pack: Pack, retrieve: Callable[[str], Retrieval] | None = None) -> None:
        self._pack = pack
        self._retriever = Retriever(pack)
        self._retrieve = retrieve or self._retriever

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
        retrieval = self._retrieve(asked)
        verdict = decide(retrieval, self._pack.decision, self._pack.urgent)
        picked = picked_option(asked, before)
        if picked:
            note = self._note(picked)
            others = before.others(picked)
            answer = self._from_note(note, "procedure", retrieval, verdict, asked, id, 0, others=others)
            return answer, before.after(answer, 0)
        if before.note and self._goes_on(turn, retrieval, verdict, before.note):
            note = self._note(before.note)
            others = tuple(option for option in before.options if option != note.id)
            answer = self._from_note(note, turn.about, retrieval, verdict, asked, id, before.step, others=others)
            return answer, before.after(answer, _step_named(turn.about, before.step))
        return self._new_topic(turn, retrieval, verdict, asked, id, before)

    def show(
        self, note_id: str, *, question: str = "", others: Sequence[str] = (), id: str = ""
    ) -> tuple[Answer, Conversation]:
        """Show one note by its id.

        Parameters
        ----------
        question
            What the note was picked for.
        others
            Ids of the notes that stay at hand as options.

        Raises
        ------
        UsageError
            If the pack holds no such note.
        """
        asked = clean(question[:MAX_QUESTION])
        retrieval = self._retrieve(asked)
        verdict = Verdict("answer", (), 1.0)
        note = self._note(note_id)
        others = tuple(other for other in others if other != note.id)
        answer = self._from_note(note, "procedure", retrieval, verdict, asked, id, 0, others=others)
        return answer, Conversation().after(answer, 0)

    def _note(self, note_id: str) -> Note:
        note = self._pack.note(note_id)
        if note is None:
            raise UsageError(f"no note '{clean(note_id)[:60]}' in this pack")
        return note

    def _goes_on(self, turn: Turn, retrieval: Retrieval, verdict: Verdict, before: str) -> bool:
        settings = self._pack.decision
        if verdict.safety_first and verdict.danger >= settings["turn_danger_at"]:
            return False
        return goes_on(turn, retrieval, self._pack.note_ids.index(before), settings)

    def _new_topic(
        self, turn: Turn, retrieval: Retrieval, verdict: Verdict, asked: str, id: str, before: Conversation
    ) -> tuple[Answer, Conversation]:
        if verdict.decision == "answer":
            note = self._note(self._pack.note_ids[verdict.notes[0]])
            settings = self._pack.decision
            sure = turn.margin >= int(settings["turn_first"]) and turn.about in ASKED_AT_ONCE
            about: About = turn.about if sure and not verdict.safety_first else "procedure"
            others = tuple(self._pack.note_ids[n] for n in verdict.notes[1:MOST_OPTIONS])
            answer = self._from_note(note, about, retrieval, verdict, asked, id, 0, others=others)
            return answer, before.after(answer, _step_named(about, 0))
        ids = [self._pack.note_ids[n] for n in verdict.notes]
        choose = verdict.decision == "choose"
        options = tell_apart([self._note(note_id) for note_id in ids]) if choose else self._options(ids)
        answer = Answer(
            question=asked,
            read_as=retrieval.query.read_as,
            decision=verdict.decision,
            about="procedure",
            text=which_one(options) if choose else _no_note(options),
            note=None,
            safety=(),
            steps=(),
            options=options,
            confidence=verdict.confidence,
            why=self._retriever.explain(retrieval, verdict.notes[0]).reasons if verdict.notes else (),
            pack=self._pack.digest,
            id=id,
        )
        return answer, before.after(answer, before.step)

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
        others: Sequence[str],
    ) -> Answer:
        number = self._pack.note_ids.index(note.id)
        return Answer(
            question=asked,
            read_as=retrieval.query.read_as,
            decision="answer",
            about=about,
            text=direct_answer(note, about, step),
            note=note,
            safety=note.safety,
            steps=matching_steps(note, retrieval.terms, self._pack.step_weights(note.id)),
            options=self._options(others),
            confidence=verdict.confidence,
            why=self._retriever.explain(retrieval, number).reasons,
            pack=self._pack.digest,
            id=id,
            safety_first=verdict.safety_first and verdict.notes[:1] == (number,),
        )

    def _options(self, ids: Sequence[str]) -> tuple[Option, ...]:
        return tuple(Option(note_id, self._pack.titles[note_id]) for note_id in ids)


def _step_named(about: About, step: int) -> int:
    if about == "next_step":
        return step + 1
    return 1 if about == "first_step" else step


def _no_note(options: tuple[Option, ...]) -> str:
    return "No note covers this." + (" The nearest notes, which do not match:" if options else "")
