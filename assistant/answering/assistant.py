"""The facade: a question and a conversation in, an answer and the conversation after it out."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from assistant.analysis.tokens import clean
from assistant.answering.apart import tell_apart, which_one
from assistant.answering.compose import SMALL_TALK, direct_answer, matching_steps, named_contacts, step_after, step_left
from assistant.answering.converse import Conversation, Turn, leaves, picked_option, read_turn
from assistant.answering.decide import MOST_OPTIONS, Verdict, decide
from assistant.answering.retrieve import Retrieval, Retriever
from assistant.errors import UsageError
from assistant.languages import said, speak
from assistant.model import About, Answer, Note, Option, Reason
from assistant.pack.reader import Pack

__all__ = ["ASKED_AT_ONCE", "MAX_QUESTION", "Assistant"]

MAX_QUESTION = 4000
"""Characters of a question that are read; the rest is left out."""
ASKED_AT_ONCE = frozenset({"parts", "tools", "time", "cautions", "why", "first_step", "done_check", "wait"})
"""What a question that begins a talk may ask for beyond the procedure."""


class Assistant:
    """Answers questions from one pack.

    Parameters
    ----------
    pack
        An open pack; the caller closes it.
    retrieve
        Reads and ranks a question; a `Retriever` of the pack where it is left out.
    reasons
        Tell why a note was found, which only programs read.
    """

    def __init__(self, pack: Pack, retrieve: Callable[[str], Retrieval] | None = None, *, reasons: bool = True) -> None:
        self._pack = pack
        self._reasons = reasons
        self._retriever = Retriever(pack, MOST_OPTIONS + 1)
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
        language = self._pack.language
        speak(language.code)
        before = conversation or Conversation()
        asked = _read(question)
        retrieval = self._retrieve(asked)
        verdict = decide(retrieval, self._pack.decision, self._pack.harm)
        picked = picked_option(asked, before, language)
        if picked:
            answer = self._from_note(
                self._note(picked), "procedure", retrieval, verdict, asked, id, 0, others=before.others(picked)
            )
            return answer, before.after(answer, 0)
        turn = read_turn(asked, self._pack)
        in_hand = self._pack.note_ids.index(before.note) if before.note else None
        settings = self._pack.decision["turn"]
        if verdict.safety_first and verdict.notes[0] != in_hand:
            return self._new_topic(turn, retrieval, verdict, asked, id, before)
        if turn.about == "back" and before.earlier and turn.margin >= settings["sure_at"]:
            note = self._note(self._meant(before.earlier, retrieval))
            answer = self._from_note(note, "back", retrieval, verdict, asked, id, 0)
            return answer, before.back_to(answer)
        if leaves(turn, retrieval, in_hand, settings):
            return self._new_topic(turn, retrieval, verdict, asked, id, before)
        if before.note:
            note = self._note(before.note)
            step = step_after(note, turn.about, before.step, asked, language)
            answer = self._from_note(note, turn.about, retrieval, verdict, asked, id, step)
            left = step_left(note, turn.about, step, asked, language)
            return answer, before if turn.about == "small_talk" else before.after(answer, left)
        if turn.about == "small_talk" and turn.margin >= settings["sure_at"]:
            answer = self._without_note(retrieval, verdict, asked, id, said(SMALL_TALK))._replace(
                decision="answer", about="small_talk"
            )
            return answer, before
        return self._new_topic(turn, retrieval, verdict, asked, id, before)

    def _meant(self, earlier: Sequence[str], retrieval: Retrieval) -> str:
        """Return the earlier note that a turn back names: the likeliest of all notes if it is one, else the last."""
        first = self._pack.note_ids[retrieval.scores.order[0]] if retrieval.scores.order else ""
        return first if first in earlier else earlier[-1]

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
        speak(self._pack.language.code)
        asked = _read(question)
        retrieval = self._retrieve(asked)
        verdict = Verdict("answer", (), 1.0)
        note = self._note(note_id)
        others = tuple(other for other in others if other != note.id)
        answer = self._from_note(note, "procedure", retrieval, verdict, asked, id, 0, others=others)
        return answer, Conversation().after(answer, 0)

    def _note(self, note_id: str) -> Note:
        note = self._pack.note(note_id)
        if note is None:
            raise UsageError(said("no note '{id}' in this pack", id=clean(note_id)[:60]))
        return note

    def _new_topic(
        self, turn: Turn, retrieval: Retrieval, verdict: Verdict, asked: str, id: str, before: Conversation
    ) -> tuple[Answer, Conversation]:
        if verdict.decision == "answer":
            note = self._note(self._pack.note_ids[verdict.notes[0]])
            sure = turn.about in ASKED_AT_ONCE and turn.margin >= self._pack.decision["turn"]["asked_at"]
            about: About = turn.about if sure and not verdict.safety_first else "procedure"
            step = step_after(note, about, 0, asked, self._pack.language)
            others = tuple(self._pack.note_ids[n] for n in verdict.notes[1:MOST_OPTIONS])
            answer = self._from_note(note, about, retrieval, verdict, asked, id, step, others=others)
            return answer, before.after(answer, step)
        ids = [self._pack.note_ids[n] for n in verdict.notes]
        if verdict.decision == "choose":
            options = tell_apart([self._note(note_id) for note_id in ids], self._pack.named)
            answer = self._without_note(retrieval, verdict, asked, id, which_one(options), options)
        else:
            options = self._options(ids)
            answer = self._without_note(retrieval, verdict, asked, id, _no_note(options), options)
        return answer, before.after(answer, before.step)

    def _without_note(
        self, retrieval: Retrieval, verdict: Verdict, asked: str, id: str, text: str, options: tuple[Option, ...] = ()
    ) -> Answer:
        return Answer(
            question=asked,
            read_as=retrieval.query.read_as,
            decision=verdict.decision,
            about="procedure",
            text=text,
            note=None,
            safety=(),
            steps=(),
            options=options,
            confidence=verdict.confidence,
            why=self._why(retrieval, verdict.notes[:1]),
            pack=self._pack.digest,
            id=id,
            emergency=self._pack.emergency if verdict.harm_near else "",
            language=self._pack.language.code,
        )

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
        others: Sequence[str] = (),
    ) -> Answer:
        number = self._pack.note_ids.index(note.id)
        trade = self._pack.named
        action = trade.actions.get(note.action, note.action)
        asked_for = (term for term, _ in retrieval.terms)
        return Answer(
            question=asked,
            read_as=retrieval.query.read_as,
            decision="answer",
            about=about,
            text=direct_answer(note, about, step, asked, action=action, language=self._pack.language),
            note=note,
            safety=note.safety,
            steps=matching_steps(note, retrieval.terms, self._pack.step_weights(note.id, ("", *asked_for))),
            options=self._options(others),
            confidence=verdict.confidence,
            why=self._why(retrieval, (number,)),
            pack=self._pack.digest,
            id=id,
            safety_first=verdict.safety_first and verdict.notes[:1] == (number,),
            emergency=self._pack.emergency if verdict.harm_near or number in self._pack.harm else "",
            action=action,
            contacts=named_contacts(note, trade),
            language=self._pack.language.code,
        )

    def _why(self, retrieval: Retrieval, first: Sequence[int]) -> tuple[Reason, ...]:
        return self._retriever.explain(retrieval, first[0]).reasons if first and self._reasons else ()

    def _options(self, ids: Sequence[str]) -> tuple[Option, ...]:
        return tuple(Option(note_id, self._pack.titles[note_id]) for note_id in ids)


def _read(question: str) -> str:
    """Return what is read of a question: cut again once its characters are put in order, since that can add some."""
    return clean(question[:MAX_QUESTION])[:MAX_QUESTION]


def _no_note(options: tuple[Option, ...]) -> str:
    if options:
        return said("No note covers this. The nearest notes, which do not match:")
    return said("No note covers this.")
