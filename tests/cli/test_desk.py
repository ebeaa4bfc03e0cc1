"""The desk on the command line: groups of what was not found, taken into the notes, impact of a change."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from assistant.cli import desk
from assistant.desk.impact import Change, Impact
from assistant.evaluation.outdated import OldLine
from assistant.evaluation.renewal_lines import KEPT, not_kept
from assistant.evaluation.statistics import Share
from assistant.journal.records import Question, Visit
from assistant.journal.store import Journal
from assistant.model import Phrases
from assistant.notes.corpus import read_corpus
from tests.cli.conftest import Run

LONG = "the lamp on the card reader blinks red"
LAMP = ("card reader lamp blinks red", "the card reader blinks red", LONG)
HOSTILE = "card reader \x1b[31m\u202e blinks [b]red"


@pytest.fixture
def places(mini_corpus_path: Path, mini_pack_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of notes that may be changed, its pack, and the journal of two shops."""
    root = Path(shutil.copytree(mini_corpus_path, tmp_path / "notes"))
    monkeypatch.setenv("ASSISTANT_PACK", str(mini_pack_path))
    with Journal(tmp_path / "one.db") as journal:
        for store, texts in (("S-1", LAMP[:2]), ("S-2", (LAMP[2], HOSTILE, "wages"))):
            visit = journal.add(Visit(store))
            for text in texts:
                journal.add(Question(text, "none", "procedure", "", visit=visit.id))
    return root


def phrases_of(root: Path, note: str) -> Phrases:
    return next(one for one in read_corpus(root).notes if one.id == note).phrases


def groups(run: Run) -> list[dict[str, object]]:
    found = run("desk", "unanswered", "--journal", "one.db", "--format", "json")
    assert found.code == 0, found.err
    rows: list[dict[str, object]] = json.loads(found.out)
    return rows


def test_groups_biggest_first_and_nothing_hostile_on_the_terminal(run: Run, places: Path) -> None:
    first = groups(run)[0]
    assert first["askings"] == 4
    assert first["stores"] == ["S-1", "S-2"]
    told = run("desk", "unanswered", "--journal", "one.db", "--all")
    assert told.code == 0
    assert "4 x, 2 shops" in told.out
    assert "\x1b" not in told.out
    assert "\u202e" not in told.out
    assert "nearest, does not match" in told.out


def test_a_group_becomes_phrases_and_examples_a_word_or_a_note(run: Run, places: Path) -> None:
    key = str(groups(run)[0]["key"])
    take = ("desk", "take", key, "--journal", "one.db", "--corpus", str(places), "--pack", "taken.pack")
    before = phrases_of(places, "pad-stick-cap")
    added = run(*take, "--example-of", "pad-stick-cap")
    assert added.code == 0, added.err
    assert added.out == "pad-stick-cap: 3 new plain lines, 1 new example questions, of 4 questions.\n"
    after = phrases_of(places, "pad-stick-cap")
    short = {*LAMP[:2], "card reader [31m blinks [b]red"}
    assert after == before._replace(plain=after.plain)
    assert after.plain[: len(before.plain)] == before.plain
    assert set(after.plain[len(before.plain) :]) == short
    asked = (places / "pad/pad-stick-cap.questions.txt").read_text("utf-8").splitlines()
    assert asked[-1] == LONG
    assert not short & set(asked)
    again = run(*take, "--example-of", "pad-stick-cap")
    assert again.out == "pad-stick-cap: 0 new plain lines, 0 new example questions, of 4 questions.\n"
    word = run(*take, "--word", "card reader=pad", "--weight", "0.5")
    assert word.code == 0, word.err
    assert '"card reader": 0.5' in (places / "vocabulary.yaml").read_text("utf-8")
    into = ("--new-note", "card-reader-red", "--title", "Card reader is red", "--station", "pad")
    note = run(*take, *into, "--things", "card reader, reader", "--troubles", "is red")
    assert note.code == 0, note.err
    assert "written, with 3 new plain lines, 1 new example questions." in note.out
    assert "title: Card reader is red" in (places / "card/card-reader-red.md").read_text("utf-8")
    new = phrases_of(places, "card-reader-red")
    assert (new.things, new.troubles) == (("card reader", "reader"), ("is red",))
    assert new.plain[0] == "card reader is red"
    assert set(new.plain[1:]) == short
    assert (places / "card/card-reader-red.questions.txt").read_text("utf-8").endswith(f"\n{LONG}\n")


@pytest.mark.parametrize(
    "wrong",
    [
        ("--example-of", "no-such"),
        ("--word", "reader"),
        ("--word", "reader=pad", "--weight", "2"),
        ("--new-note", "Reader"),
        ("--new-note", "card-reader", "--minutes", "soon"),
    ],
)
def test_what_will_not_do_is_refused_and_nothing_is_written(run: Run, places: Path, wrong: tuple[str, ...]) -> None:
    key = str(groups(run)[0]["key"])
    before = {path: path.read_bytes() for path in places.rglob("*") if path.is_file()}
    refused = run("desk", "take", key, "--journal", "one.db", "--corpus", str(places), "--pack", "taken.pack", *wrong)
    assert refused.code == 2
    assert {path: path.read_bytes() for path in places.rglob("*") if path.is_file()} == before


def test_an_unknown_group_and_no_notes_are_refused(run: Run, places: Path) -> None:
    take = ("desk", "take", "\x1b[31m", "--journal", "one.db", "--example-of", "pad-stick-cap")
    unknown = run(*take, "--corpus", str(places), "--pack", "taken.pack")
    assert unknown.code == 2
    assert "\x1b" not in unknown.err
    assert run(*take).code == 2


def test_no_journal_and_a_damaged_one_are_told(run: Run, places: Path, tmp_path: Path) -> None:
    missing = run("desk", "unanswered", "--journal", "none.db")
    assert missing.code == 3
    assert "none.db:1" in missing.err
    (tmp_path / "broken.db").write_bytes(b"no database at all, but some bytes" * 50)
    damaged = run("desk", "unanswered", "--journal", "broken.db")
    assert damaged.code == 3
    assert "broken.db" in damaged.err


def test_questions_that_stay_refused_are_counted_and_not_listed(capsys: pytest.CaptureFixture[str]) -> None:
    """That another note is now the nearest of those that do not fit changes nothing for a rep."""
    told = [
        Change("changed", "thx bye", (), ("none", "a", False), ("none", "b", False)),
        Change("changed", "lamp", (), ("choose", "a", False), ("answer", "a", False)),
        Change("loss", "dark", ("a",), ("answer", "a", False), ("none", "a", False)),
    ]
    desk._print_impact(Impact(tuple(told), (Share(2, 3), Share(1, 3)), 1.0, 0, ("", 0)))
    out = capsys.readouterr().out
    assert "thx bye" not in out
    assert "1 question refused before and after" in out
    assert all(text in out for text in ("changed: lamp", "loss: dark", "1 loss", "2 changed"))


def test_impact_between_two_packs_names_what_changes(run: Run, places: Path, tmp_path: Path) -> None:
    folder = tmp_path / "eval"
    folder.mkdir()
    question = {"id": "q1", "question": "the kickplate is dented", "manner": "plain", "notes": ["disc-clean"]}
    (folder / "questions.jsonl").write_text(json.dumps({**question, "split": "tune", "writer": "A"}) + "\n", "utf-8")
    (folder / "dialogues.jsonl").write_text("", "utf-8")
    asked = places / "disc/disc-clean.questions.txt"
    asked.write_text(asked.read_text("utf-8") + "the kickplate has a dent\nkickplate dented\n", "utf-8")
    for name, root in (("old.pack", Path(__file__).parents[1] / "data/mini"), ("new.pack", places)):
        assert run("corpus", "compile", "--corpus", str(root), "--pack", name).code == 0
    told = run(
        "desk", "impact", "old.pack", "new.pack", "--eval", str(folder), "--journal", "one.db", "--corpus", str(places)
    )
    assert told.code == 0, told.err
    assert "gain: the kickplate is dented" in told.out
    assert "1 gain, 0 loss" in told.out
    back = run(
        "desk", "impact", "new.pack", "old.pack", "--eval", str(folder), "--format", "json", "--corpus", str(places)
    )
    assert back.code == 1
    assert [change["kind"] for change in json.loads(back.out)["changes"]] == ["loss"]
    assert run("desk", "impact", "no.pack", "--eval", str(folder), "--corpus", str(places)).code == 2


def test_parts_joins_ignores_and_takes_back(run: Run, places: Path, tmp_path: Path) -> None:
    base = ("--journal", "one.db", "--home", str(tmp_path / "home"))

    def shown(*more: str) -> list[dict[str, object]]:
        found = run("desk", "unanswered", *base, "--format", "json", *more)
        assert found.code == 0, found.err
        rows: list[dict[str, object]] = json.loads(found.out)
        return rows

    first, second = shown()
    wordings = [text for text, _ in first["wordings"]]  # type: ignore[attr-defined]
    other = next(number for number, text in enumerate(wordings, start=1) if text != first["text"])
    told = run("desk", "group", str(first["key"]), "--apart", str(other), *base)
    assert told.code == 0, told.err
    assert "to take it back: assistant desk group --undo" in told.out
    assert [row["askings"] for row in shown()] == [3, 1, 1]
    assert run("desk", "group", str(second["key"]), "--ignore", *base).code == 0
    assert [row["askings"] for row in shown()] == [3, 1]
    assert sorted(str(row["ignored"]) for row in shown("--ignored")) == ["False", "False", "True"]
    assert ", ignored" in run("desk", "unanswered", *base, "--ignored").out
    assert run("desk", "group", str(first["key"]), "--join", str(second["key"]), *base).code == 0
    assert max(int(str(row["askings"])) for row in shown()) == 4
    for left in ("together", "ignored", "apart"):
        assert run("desk", "group", "--undo", *base).out.startswith(f"taken back: {left}: ")
    assert shown() == [first, second]
    assert run("desk", "group", "--undo", *base).code == 2
    for wrong in (("--apart", "9"), ("--join", str(first["key"])), ("--join", "00000000")):
        assert run("desk", "group", str(first["key"]), *wrong, *base).code == 2
    assert shown() == [first, second]


def test_some_wordings_become_uncovered_and_are_taken_over_by_a_note(run: Run, places: Path) -> None:
    row = groups(run)[0]
    key, wordings = str(row["key"]), [str(text) for text, _ in row["wordings"]]  # type: ignore[attr-defined]
    take = ("desk", "take", key, "--journal", "one.db", "--corpus", str(places), "--pack", "taken.pack")
    before = (places / "uncovered.txt").read_text("utf-8")
    told = run(*take, "--uncovered", "--only", "2,1")
    assert told.code == 0, told.err
    assert told.out.startswith("uncovered.txt: 2 new lines, of 2 questions:\n    ")
    new = (places / "uncovered.txt").read_text("utf-8").removeprefix(before).splitlines()
    assert len(new) == 2
    assert len(wordings) == 4
    note = run(*take, "--new-note", "card-reader-red", "--title", "Card reader is red", "--only", "1")
    assert note.code == 0, note.err
    assert "near lines that no note covers them:" in note.out
    assert all(f". {line}\n" in note.out for line in new)
    assert (places / "uncovered.txt").read_text("utf-8").splitlines()[-2:] == new
    for wrong in ("99", "x"):
        assert run(*take, "--example-of", "card-reader-red", "--take-over", wrong).code == 2
    assert run(*take, "--uncovered", "--take-over", "all").code == 2
    over = run(*take, "--example-of", "card-reader-red", "--only", "1", "--take-over", "1,2")
    assert over.code == 0, over.err
    assert "taken over from uncovered.txt: " in over.out
    assert (places / "uncovered.txt").read_text("utf-8") == before


def test_one_shop_is_one_shop_and_wordings_have_numbers(run: Run, places: Path) -> None:
    told = run("desk", "unanswered", "--journal", "one.db", "--all")
    assert "1 x, 1 shop, " in told.out
    assert "\n   4. 1 x " in told.out


def test_grouping_is_scored_against_needs(run: Run, places: Path, tmp_path: Path) -> None:
    labels = [{"need": need, "question": text} for need, text in (("a", LAMP[0]), ("a", LAMP[1]), ("b", "stool foot"))]
    (tmp_path / "groups.jsonl").write_text("".join(f"{json.dumps(row)}\n" for row in labels), "utf-8")
    found = run("score", "groups", "--eval", str(tmp_path), "--format", "json")
    assert found.code == 0, found.err
    assert json.loads(found.out)["rand"] == 1
    assert "3 questions of 2 needs in 2 groups" in run("score", "groups", "--eval", str(tmp_path)).out
    assert run("score", "groups", "--eval", "none").code == 3


def test_a_line_of_uncovered_questions_is_kept_without_a_screen(run: Run, places: Path, tmp_path: Path) -> None:
    """As the mark 'uncovered' on the screen does: the line stays, and is not asked about again for that note."""
    before = (places / "uncovered.txt").read_bytes()
    line = next(row for row in before.decode().splitlines() if row and not row.startswith("#"))
    folder = tmp_path / "labels"
    folder.mkdir()
    kept = ("score", "relabel", "--eval", str(folder), "--corpus", str(places), "--keep")
    for wrong in ("disc-clean", "disc-clean=no such line", f"no-note={line}", line):
        refused = run(*kept, wrong)
        assert (refused.code, list(folder.iterdir())) == (2, [])
        assert "--keep reads NOTE=LINE" in refused.err
    told = run(*kept, f"disc-clean={line}")
    assert (told.code, told.out) == (0, f"uncovered.txt: kept, though disc-clean comes near it: {line}\n")
    assert (places / "uncovered.txt").read_bytes() == before
    lines = [OldLine(line, note, "why") for note in ("disc-clean", "pad-stick-cap")]
    assert [one.note for one in not_kept(lines, folder / KEPT)] == ["pad-stick-cap"]
