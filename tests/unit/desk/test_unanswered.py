"""What reps did not find: which questions count as missed, and how they are grouped."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from assistant.desk.missed import AGAIN_SECONDS, LEFT_SECONDS, missed_questions
from assistant.desk.unanswered import group_missed
from assistant.journal.export import Export
from assistant.journal.records import KINDS, Feedback, Question, Record, Visit, Work
from assistant.journal.store import stamp
from assistant.pack.reader import Pack

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def export(*records: Record, uid: str = "one") -> Export:
    return Export(uid, {kind: [record for record in records if type(record) is kind] for kind in KINDS})


def asked(id: int, text: str, decision: str = "none", *, after: float = 0, note: str = "", visit: int = 1) -> Question:
    about = "time" if text.startswith("how long") else "procedure"
    at = stamp(START + timedelta(seconds=after))
    return Question(text, decision, about, note, visit=visit, at=at, id=id)


def visit(id: int, store: str) -> Visit:
    return Visit(store, at=stamp(START), id=id)


def test_what_counts_as_missed() -> None:
    found = missed_questions(
        [
            export(
                visit(1, "S-1"),
                asked(1, "card reader will not take a card"),
                asked(2, "stick cap torn", "answer", note="pad-stick-cap", after=1000),
                asked(3, "lamp of the pad dark", "answer", note="pad-lamp", after=2000),
                Feedback(3, "not_helpful", at=stamp(START), id=1),
                Feedback(2, "helpful", at=stamp(START), id=2),
            )
        ]
    )
    assert [(entry.text, entry.misses, entry.store) for entry in found] == [
        ("card reader will not take a card", ("none",), "S-1"),
        ("lamp of the pad dark", ("not helpful",), "S-1"),
    ]


def test_asking_again_in_other_words_counts_and_going_on_does_not() -> None:
    first = asked(1, "pad lamp dark", "answer", note="a-b")
    again = asked(2, "lamp on the pad stays off", "answer", note="c-d", after=60)
    cases = {
        "again": again,
        "too late": again._replace(at=stamp(START + timedelta(seconds=AGAIN_SECONDS + 1))),
        "same words": again._replace(text="pad lamp dark"),
        "same note": again._replace(note="a-b"),
        "another matter": again._replace(text="disc is scratched"),
        "a turn": again._replace(about="time"),
        "another visit": again._replace(visit=None),
    }
    missed = {
        name: [entry.misses for entry in missed_questions([export(visit(1, "S-1"), first, following)])]
        for name, following in cases.items()
    }
    assert missed.pop("again") == [("asked again",)]
    assert all(misses == [] for misses in missed.values())


def test_an_answer_that_gave_way_at_once_to_another_matter_counts() -> None:
    first = asked(1, "pad lamp dark", "answer", note="a-b")
    other = asked(2, "disc is scratched", "answer", note="c-d", after=LEFT_SECONDS)
    late = stamp(START + timedelta(seconds=LEFT_SECONDS + 1))
    begun = Work("a-b", "Lamp", "adjust", 1, 5, visit=1, at=stamp(START + timedelta(seconds=3)), id=1)
    cases = {
        "left": (first, other),
        "read": (first, other._replace(at=late)),
        "worked at": (first, other, begun),
        "worked at before": (first, other, begun._replace(at=stamp(START - timedelta(days=1)))),
        "other work": (first, other, begun._replace(note="c-d")),
        "a choice": (first._replace(decision="choose"), other),
        "a turn": (first, other._replace(about="time")),
        "a turn before": (first._replace(about="time"), other),
        "other words": (first, other._replace(text="lamp on the pad stays off")),
        "no visit": (first._replace(visit=None), other._replace(visit=None)),
    }
    found = {name: missed_questions([export(visit(1, "S-1"), *records)]) for name, records in cases.items()}
    assert {name: [entry.misses for entry in missed] for name, missed in found.items() if missed} == {
        "left": [("left at once",)],
        "worked at before": [("left at once",)],
        "other work": [("left at once",)],
        "other words": [("asked again",)],
    }
    assert found["left"][0].note == "a-b"


def test_what_was_answered_wrongly_is_told_apart(mini_pack: Pack) -> None:
    texts = ["stick cap came off", "the stick cap came off"]
    answered = [asked(n, texts[n % 2], "answer", note="pad-lamp", after=1000 * n) for n in (1, 2, 3)]
    unhelpful = [Feedback(n, "not_helpful", at=stamp(START), id=n) for n in (1, 2, 3)]
    nothing = asked(4, texts[0], after=9000)
    (group,) = group_missed(missed_questions([export(visit(1, "S-1"), *answered, nothing, *unhelpful)]), mini_pack)
    assert group.misses == (("none", 1), ("not helpful", 3))
    assert group.given == (("pad-lamp", 3),)


def test_names_of_people_are_masked_before_anything_is_grouped(mini_pack: Pack) -> None:
    missed = missed_questions(
        [export(visit(1, "S-1"), asked(1, "ask for Tomasz, pad dead"), asked(2, "ask for Ina, pad dead", after=999))]
    )
    (group,) = group_missed(missed, mini_pack)
    assert group.wordings == (("ask for (somebody), pad dead", 2),)
    assert not any("Tomasz" in repr(entry) for entry in group.missed)


def test_groups_by_meaning_biggest_first(mini_pack: Pack) -> None:
    readers = [
        "the card reader will not take a card",
        "card reader on the station takes no cards",
        "card reader takes no cards",
        "the card reader will not take a card",
    ]
    stools = ["stool foot is loose", "loose foot on the stool"]
    one = [asked(number, text) for number, text in enumerate(readers[:3], start=1)]
    two = [asked(number, text, after=86_400) for number, text in enumerate([readers[3], *stools], start=1)]
    exports = [export(visit(1, "S-1"), *one), export(visit(1, "S-2"), *two, uid="two")]
    missed = missed_questions(exports)
    groups = group_missed(missed, mini_pack)
    assert [(group.askings, group.stores) for group in groups] == [(4, ("S-1", "S-2")), (2, ("S-2",))]
    assert {text for text, _ in groups[0].wordings} == set(readers)
    assert groups[0].wordings[0] == ("the card reader will not take a card", 2)
    assert groups[0].first_at < groups[0].last_at
    assert groups[0].misses == (("asked again", 2), ("none", 4))
    assert groups == group_missed(list(reversed(missed)), mini_pack)
    assert len({group.key for group in groups}) == len(groups)


def test_nothing_missed_and_odd_texts(mini_pack: Pack) -> None:
    assert group_missed([], mini_pack) == []
    missed = missed_questions([export(visit(1, "S-1"), asked(1, "?"), asked(2, "what is it"), asked(3, "\U0001f600"))])
    assert sum(group.askings for group in group_missed(missed, mini_pack)) == 3
