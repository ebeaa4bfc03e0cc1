"""What is done to groups by hand: it is kept, changes the groups, and can be taken back."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from assistant.desk.by_hand import ByHand, Deed, apart, deed_of, picked_wordings, sorted_by_hand, together
from assistant.desk.missed import Missed
from assistant.desk.unanswered import Group, Now, group_of, named
from assistant.errors import NotesError, UsageError


def missed(text: str, store: str = "S-1", times: int = 1) -> list[Missed]:
    return [Missed(text, f"2026-03-0{n}T09:00:00.000Z", store, "one", ("none",)) for n in range(1, times + 1)]


def now(question: str) -> Now:
    return Now(f"note-{len(question)}", question, "none")


def group(*entries: list[Missed]) -> Group:
    middle = entries[0][0].text
    return group_of(middle, [one for some in entries for one in some], now(middle))


READER = group(missed("reader dead", times=3), missed("reader red", "S-2", 2), missed("parking ticket"))
STOOL = group(missed("stool foot loose", "S-3", 2))


def texts(groups: list[Group]) -> list[list[str]]:
    return [[text for text, _ in one.wordings] for one in groups]


def test_wordings_that_were_set_apart_are_a_group_of_their_own() -> None:
    found = sorted_by_hand([READER, STOOL], [apart(READER, "3")], now)
    assert texts(found) == [["reader dead", "reader red"], ["stool foot loose"], ["parking ticket"]]
    assert [one.askings for one in found] == [5, 2, 1]
    assert (found[0].key, found[0].note) == (READER.key, READER.note)
    assert (found[2].text, found[2].title) == ("parking ticket", "parking ticket")
    without_middle = sorted_by_hand([READER], [apart(READER, "1, 3")], now)
    assert texts(without_middle) == [["reader dead", "parking ticket"], ["reader red"]]
    assert without_middle[1].title == "reader red"


def test_two_groups_become_one_that_keeps_the_name_of_the_bigger() -> None:
    (joined,) = sorted_by_hand([READER, STOOL], [together(STOOL, READER)], now)
    assert joined.key == READER.key
    assert (joined.askings, joined.stores) == (8, ("S-1", "S-2", "S-3"))
    assert sorted_by_hand([READER], [together(STOOL, READER)], now) == [READER]


def test_a_group_stays_ignored_while_half_of_its_wordings_were() -> None:
    deed = deed_of("ignored", READER)
    grown = group(*([one] for one in READER.missed), missed("reader is off"), missed("reader stuck"))
    whole = group(*([one] for one in grown.missed), *(missed(f"reader number {n} wrong") for n in range(4)))
    assert [one.ignored for one in sorted_by_hand([grown], [deed], now)] == [True]
    assert [one.ignored for one in sorted_by_hand([whole], [deed], now)] == [False]
    assert [one.ignored for one in sorted_by_hand([STOOL], [deed], now)] == [False]
    assert not sorted_by_hand([READER], [deed, deed_of("taken up", READER)], now)[0].ignored


@pytest.mark.parametrize("numbers", ["", "0", "4", "1,x", "-1", "\u0661", "1" * 30, "1,2,3"])
def test_numbers_that_are_no_wordings_or_all_of_them_are_refused(numbers: str) -> None:
    with pytest.raises(UsageError):
        apart(READER, numbers)


def test_wordings_are_picked_in_the_order_of_the_group() -> None:
    assert picked_wordings(READER, "03 1,1") == ["reader dead", "parking ticket"]


def test_deeds_are_kept_in_a_readable_file_and_taken_back_one_by_one(tmp_path: Path) -> None:
    by_hand = ByHand(tmp_path / "home")
    assert by_hand.read() == []
    with pytest.raises(UsageError, match="nothing"):
        by_hand.undo()
    deeds = [Deed("apart", ("a \u2028 \u00e9\n\x1b", "\udcff")), together(READER, STOOL)]
    for deed in deeds:
        by_hand.add(deed)
    assert by_hand.read() == deeds
    assert stat.S_IMODE(by_hand.path.stat().st_mode) == 0o600, "it holds what reps asked"
    lines = by_hand.path.read_text("ascii").splitlines()
    assert len(lines) == 2
    assert lines[1] == '{"did": "together", "questions": ["reader dead", "stool foot loose"]}'
    assert by_hand.undo() == deeds[1]
    assert by_hand.read() == deeds[:1]


@pytest.mark.parametrize(
    "line",
    [
        "no",
        "[]",
        '{"did": "burnt", "questions": ["a"]}',
        '{"did": "apart"}',
        '{"did": "apart", "questions": []}',
        '{"did": "apart", "questions": [1]}',
        '{"did": [], "questions": ["a"]}',
        '{"did": "apart", "questions": "ab"}',
    ],
)
def test_a_line_that_is_no_deed_is_named_and_the_file_stays(tmp_path: Path, line: str) -> None:
    by_hand = ByHand(tmp_path)
    by_hand.add(deed_of("ignored", STOOL))
    with by_hand.path.open("a", encoding="utf-8") as file:
        file.write(f"{line}\n")
    before = by_hand.path.read_bytes()
    for act in (by_hand.read, by_hand.undo):
        with pytest.raises(NotesError, match=r"desk-groups\.jsonl:2: must read"):
            act()
    assert by_hand.path.read_bytes() == before


def test_a_group_is_found_by_the_name_that_one_of_its_questions_gives() -> None:
    alone = group(missed("reader red"))
    assert named([STOOL, READER], READER.key) == READER
    assert named([STOOL, READER], alone.key) == READER
    assert named([STOOL, READER], "00000000") is None
