"""The minutes of a note's longest way, causes that nothing treats, links with the title of their note."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from assistant.checking.mend import mend_all
from assistant.checking.registry import all_rules
from assistant.checking.rule import Book, Rule
from assistant.checking.rules.link_title import RULE as LINK_TITLE
from assistant.checking.rules.minutes import RULE as MINUTES
from assistant.checking.rules.untreated_cause import RULE as CAUSE
from assistant.checking.trade_words import WORDS
from assistant.model import Corpus, Item, Note, Trade
from tests.making import write_corpus
from tests.unit.checking.seeds import SHIPPED, book_of
from tests.unit.checking.test_graph import made

PART = Item("cabinet fan", "cabinet fans", "ordered")


def messages(rule: Rule, *notes: Note) -> list[str]:
    texts = {WORDS: tuple((SHIPPED / WORDS).read_text("utf-8").split("\n"))}
    book = Book(Corpus(notes, trade=Trade(parts=(PART,))), texts, date(2026, 11, 27))
    return [finding.message for finding in rule.find(book)]


ISOLATE = made("safety-isolate", "Pull out every plug.", minutes=6, action="inform")


@pytest.mark.parametrize(
    ("steps", "result", "needed"),
    [
        (("Look.", "Look again.", "Write."), "It plays.", 1.5),
        (("Look.", "Wait for five minutes.", "Write."), "It plays.", 6.5),
        ((("Look.", [("If lit", "done"), ("If not", "2")]), "Wait for five minutes."), "It plays.", 6),
        ((("Look.", [("If lit", "do safety-isolate, 2"), ("If not", "2")]), "Write."), "It plays.", 7),
        ((("Look.", [("If lit", "do safety-spill, 2"), ("If not", "2")]), "Write."), "It plays.", 1),
        ((("Look.", [("If lit", "do pad-long, 2"), ("If not", "2")]), "Write."), "It plays.", 31),
        (("Look.", ("Write.", [("If lit", "do safety-isolate, 1"), ("If not", "done")])), "It plays.", 7),
        (("Look.", "Write."), "It plays for ten minutes.", 11),
        (("Look.", "Play for ten minutes."), "It plays for ten minutes.", 11),
    ],
)
def test_minutes_cover_the_longest_way(steps: tuple[object, ...], result: str, needed: float) -> None:
    others = (
        ISOLATE,
        made("safety-spill", "Look.", "Look.", "Look.", "Look.", minutes=25, action="withdraw"),
        made("pad-long", "Look.", "Look.", "Look.", "Look.", minutes=30),
    )

    def told(minutes: int) -> list[str]:
        return messages(MINUTES, made("pad-note", *steps, minutes=minutes, result=result), *others)  # type: ignore[arg-type]

    (message,) = told(max(1, int(needed - 0.5))) if needed > 1 else ("takes 1",)
    assert message.endswith(f"takes {needed:g}")
    assert not any("longest way" in one for one in told(int(needed + 0.5)))


@pytest.mark.parametrize(
    ("cause", "found"),
    [
        ("The cabinet fan is blocked.", True),
        ("Warm air from the cabinet fan.", False),
        ("A mirror in the sight of the sensors.", True),
        ("The lamp has a flat battery.", True),
        ("The battery was charged last week.", False),
        ("Years of thumbs.", False),
    ],
)
def test_a_part_at_fault_is_named_where_something_is_done(cause: str, found: bool) -> None:
    note = made("pad-note", "Look.", cause=(cause,))
    assert bool(messages(CAUSE, note)) == found
    treated = made("pad-note", "Exchange the cabinet fan, the battery and the mirror.", cause=(cause,))
    assert messages(CAUSE, treated) == []
    linked = made("pad-note", "Look.", cause=(cause,), links=("pad-other",))
    other = made("pad-other", "Look.", title="Cabinet fan, battery or mirror")
    assert messages(CAUSE, linked, other) == []
    assert messages(CAUSE, note._replace(action="inform")) == []


def test_links_get_the_titles_of_their_notes(tmp_path: Path) -> None:
    root = write_corpus(tmp_path / "notes")
    path = root / "pad/pad-demo.md"
    right = path.read_text("utf-8")
    path.write_text(right.replace("[Another pad]", "[pad-other]"), "utf-8")
    assert right.count("[Another pad]") == len(list(LINK_TITLE.find(book_of(root)))) == 2
    assert mend_all(root, lambda: book_of(root), [LINK_TITLE]) == 2
    assert path.read_text("utf-8") == right


def test_a_link_over_two_lines_is_told_and_left(tmp_path: Path) -> None:
    root = write_corpus(tmp_path / "notes")
    path = root / "pad/pad-demo.md"
    path.write_text(path.read_text("utf-8").replace("Look at [Another pad]", "Look at [Another\nold pad]"), "utf-8")
    (finding,) = LINK_TITLE.find(book_of(root))
    assert finding.edit is None
    assert finding.message == '"Another old pad" leads to a note with the title "Another pad"'


def test_rules_of_the_graph_say_that_they_find_wording() -> None:
    told = {rule.code: rule.summary for rule in all_rules()}
    assert all("Finds wording." in told[code] for code in ("C111", "C206", "C207", "C208", "C209", "C210", "C211"))
