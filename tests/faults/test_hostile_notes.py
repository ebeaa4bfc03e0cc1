"""Notes from others: what they may not carry in, cost, or break."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.desk.skeleton import draft_of, example_line, new_note
from assistant.desk.taking import add_questions
from assistant.errors import NotesError
from assistant.notes.corpus import read_corpus
from tests.cli.conftest import Run
from tests.making import NOTE_PATH, NOTE_TEXT, TRADE
from tests.unit.desk.test_taking import DAY, GIVEN, LONG, note_of

ELSEWHERE = "root:x:0:0"
OUTWARD = "is a link that leads out of the folder of notes"
BIG = 500_000
BIG_NOTES: dict[str, str] = {
    "list in list": f"---\n{'- ' * (BIG // 2)}\n---\n",
    "many fields": "---\n" + "".join(f"k{n}: v\n" for n in range(BIG // 10)) + "---\n",
    "anchors": "---\n" + "".join(f"k{n}: &a{n} v\n" for n in range(BIG // 16)) + "---\n",
    "long list": f"---\ntools: [{'a, ' * (BIG // 3)}a]\n---\n",
    "brackets": NOTE_TEXT + "[" * BIG,
    "pictures": NOTE_TEXT + "![" * (BIG // 2),
    "links": NOTE_TEXT + "[a](" * (BIG // 4),
    "stars": NOTE_TEXT + "a**b" * (BIG // 4),
    "items": NOTE_TEXT + "1. a\n" * (BIG // 5),
}
MARKED = {
    "[ [99] stick drifts": "99] stick drifts",
    "[ [1] stick drifts": "1] stick drifts",
    "# # x": "x",
    " #[# [ # ": "",
    "\u00a0#\u2003[1, 2] a\tb\nc": "1, 2] a b c",
    "#\u200d#\ufe0f[\u202e[1] a": "1] a",
    "my \u2764\ufe0f a": "my \u2764 a",
    "a \ufe0f\ufe0f b": "a b",
    "a\ud800b\ue000c\x00d\x1b[0m": "abcd[0m",
}


@pytest.mark.parametrize(
    "name",
    ["pad/pad-demo.md", "pad/pad-demo.questions.txt", "pad/pad-demo.phrases.yaml", "uncovered.txt", "alarm.yaml"],
)
@pytest.mark.parametrize("way", ["absolute", "upward", "through a link inside"])
def test_a_link_out_of_the_folder_is_refused_and_nothing_of_it_kept(
    run: Run, two_notes: Path, tmp_path: Path, name: str, way: str
) -> None:
    secret = tmp_path / "secret"
    secret.write_text(f"{ELSEWHERE}\n", "utf-8")
    path = two_notes / name
    path.unlink(missing_ok=True)
    target = secret if way == "absolute" else Path("../" * (name.count("/") + 1) + "secret")
    if way == "through a link inside":
        (two_notes / "step").symlink_to(secret)
        target = two_notes / "step"
    path.symlink_to(target)
    pack = tmp_path / "m.pack"
    ran = run("corpus", "compile", "--corpus", str(two_notes), "--pack", str(pack))
    assert (ran.code, ran.out) == (3, "")
    assert f"{name}:1: {OUTWARD}" in ran.err.splitlines()
    assert ELSEWHERE not in ran.err
    assert not pack.exists()


def test_a_link_within_the_folder_is_read_and_so_is_a_folder_that_is_a_link(two_notes: Path, tmp_path: Path) -> None:
    (two_notes / "pad/pad-other.questions.txt").symlink_to("pad-demo.questions.txt")
    (tmp_path / "here").symlink_to(two_notes)
    read = read_corpus(tmp_path / "here")
    assert [len(note.examples) for note in read.notes] == [2, 2]


@pytest.mark.parametrize("name", BIG_NOTES)
def test_a_note_of_half_a_megabyte_is_refused_before_it_is_parsed(
    two_notes: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    parsed: list[str] = []
    (two_notes / "pad/pad-demo.md").write_text(BIG_NOTES[name], "utf-8")
    monkeypatch.setattr("assistant.notes.corpus._parsed_note", lambda text, *_: parsed.append(text))
    (two_notes / "pad/pad-other.md").unlink()
    with pytest.raises(NotesError, match=r"pad/pad-demo\.md:1: file has \d+ bytes, 65536 at most"):
        read_corpus(two_notes)
    assert parsed == []


@pytest.mark.parametrize(
    "title", ["!!int ''", "!!float ''", "!!bool x", "!!timestamp x", "! x", "&a x", "*a", "0b_", "lamp #3", "'x'"]
)
def test_a_title_that_yaml_takes_for_something_else_is_one_line(run: Run, two_notes: Path, title: str) -> None:
    given = ["--id", "card-reader-dead", "--title", title, "--station", "pad", "--action", "replace", "--minutes", "7"]
    before = sorted(two_notes.rglob("*"))
    ran = run("corpus", "new", "--corpus", str(two_notes), *given)
    assert (ran.code, ran.out) == (2, "")
    assert len(ran.err.splitlines()) == 1
    assert sorted(two_notes.rglob("*")) == before


@pytest.mark.parametrize("text", MARKED)
def test_marks_and_refused_characters_are_gone_until_nothing_changes(text: str) -> None:
    line = example_line(text)
    assert line == MARKED[text]
    assert example_line(line) == line


def test_whatever_is_taken_the_notes_read(two_notes: Path) -> None:
    long = [f"{text} {LONG}" for text in MARKED]
    taken = add_questions(two_notes, two_notes / NOTE_PATH, [*MARKED, *long])
    note = note_of(two_notes, "pad-demo")
    assert taken.plain == len(note.phrases.plain)
    assert taken.examples == len(note.examples) - 2
    assert all(example.steps == () for example in note.examples[2:])


def _notes_broken_meanwhile(root: Path) -> object:
    return (root / "uncovered.txt").write_bytes(b"a\x07\n")


def _questions_full(root: Path) -> object:
    return (root / "pad/pad-demo.questions.txt").write_bytes(b"lamp is dark\r\n#" + b"x" * (64 * 1024 - 20))


@pytest.mark.parametrize("breaking", [_notes_broken_meanwhile, _questions_full])
def test_what_the_corpus_no_longer_reads_with_is_put_back(two_notes: Path, breaking: Callable[[Path], object]) -> None:
    breaking(two_notes)
    before = {path: path.read_bytes() for path in two_notes.rglob("*") if path.is_file()}
    with pytest.raises(NotesError):
        add_questions(two_notes, two_notes / NOTE_PATH, ["lamp out", LONG])
    assert {path: path.read_bytes() for path in two_notes.rglob("*") if path.is_file()} == before


def test_a_new_note_whose_files_do_not_read_is_not_there(two_notes: Path) -> None:
    before = sorted(path for path in two_notes.rglob("*") if path.is_file())
    with pytest.raises(NotesError, match=r"card-reader-dead\.questions\.txt:1: file has"):
        new_note(two_notes, draft_of(GIVEN, TRADE), DAY, ["x" * 64 * 1024])
    assert sorted(path for path in two_notes.rglob("*") if path.is_file()) == before


def test_nothing_is_taken_beside_a_link_that_leads_out(two_notes: Path, tmp_path: Path) -> None:
    (tmp_path / "secret").write_text(ELSEWHERE, "utf-8")
    path = two_notes / "pad/pad-demo.questions.txt"
    path.unlink()
    path.symlink_to(tmp_path / "secret")
    with pytest.raises(NotesError, match=OUTWARD):
        add_questions(two_notes, two_notes / NOTE_PATH, [LONG])
    assert path.is_symlink()
    assert (tmp_path / "secret").read_text("utf-8") == ELSEWHERE
