"""Questions asked in several processes get what they get in one, in their order."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from assistant.answering.retrieve import Retriever
from assistant.answering.spread import ask_all, first_notes
from assistant.errors import AssistantError, PackError
from assistant.pack.reader import Pack

QUESTIONS = ["display shows no signal", "game disc smeared", "stick drifts", "?"] * 12


def begin_reading(pack: Pack) -> Callable[[str], tuple[str, list[int]]]:
    retrieve = Retriever(pack)
    return lambda question: (question, list(retrieve(question).scores.order))


def begin_refusing(pack: Pack) -> Callable[[str], str]:
    def refuse(question: str) -> str:
        raise PackError(f"{pack.path}:1: will not answer {question}")

    return refuse


def begin_breaking(_: Pack) -> Callable[[str], str]:
    raise SystemExit(7)


@pytest.mark.parametrize("processes", [2, 3])
def test_the_same_in_the_same_order(mini_pack: Pack, processes: int) -> None:
    alone = ask_all(mini_pack, begin_reading, QUESTIONS, processes=1)
    assert [question for question, _ in alone] == QUESTIONS
    assert ask_all(mini_pack, begin_reading, QUESTIONS, processes=processes) == alone


@pytest.mark.parametrize("processes", [1, 2])
def test_progress_is_told_for_each(mini_pack: Pack, processes: int) -> None:
    told: list[tuple[str, int, int]] = []
    ask_all(mini_pack, begin_reading, QUESTIONS, lambda *one: told.append(one), "asking", processes=processes)
    assert told == [("asking", done, len(QUESTIONS)) for done in range(len(QUESTIONS) + 1)]


@pytest.mark.parametrize("processes", [1, 2])
def test_what_asking_refuses_is_told_here(mini_pack: Pack, processes: int) -> None:
    with pytest.raises(PackError, match="will not answer display"):
        ask_all(mini_pack, begin_refusing, QUESTIONS[:1], processes=processes)


def test_a_process_that_ends_before_its_time_is_told(mini_pack: Pack) -> None:
    with pytest.raises(AssistantError, match="ended before its time"):
        ask_all(mini_pack, begin_breaking, QUESTIONS, processes=2)


def test_fewer_questions_than_processes(mini_pack: Pack) -> None:
    assert ask_all(mini_pack, begin_reading, [], processes=2) == []
    assert ask_all(mini_pack, begin_reading, QUESTIONS[:1], processes=2) == [begin_reading(mini_pack)(QUESTIONS[0])]


def test_first_notes_are_those_of_the_ranking(mini_pack: Pack) -> None:
    retrieve = Retriever(mini_pack)
    found = first_notes(mini_pack, QUESTIONS)
    assert list(found) == QUESTIONS[:4]
    for question, note in found.items():
        order = retrieve(question).scores.order
        assert note == (mini_pack.note_ids[order[0]] if order else None)
