"""Safe mends: once, whole, and only where the line still is as it was."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.checking.check import check
from assistant.checking.mend import mend, mend_all
from assistant.checking.registry import all_rules
from assistant.checking.rule import Edit
from assistant.errors import NotesError
from tests.unit.checking.seeds import NAME, book_of, note_text, write_frame

RULES = all_rules()
PATH = f"pad/{NAME}.md"
MESSY = note_text(NAME).replace("Nobody sees it.", "Nobody\tsees it, it\u2019s hidden.  \r")
TIDY = note_text(NAME).replace("Nobody sees it.", "Nobody    sees it, it's hidden.")


@pytest.fixture
def messy(tmp_path: Path) -> Path:
    root = write_frame(tmp_path / "notes")
    (root / PATH).write_bytes(MESSY.encode())
    return root


def mended(root: Path) -> int:
    return mend_all(root, lambda: book_of(root), RULES)


def test_four_faults_of_one_line_are_mended_and_the_second_time_changes_nothing(messy: Path) -> None:
    assert {one.rule.code for one in check(book_of(messy), RULES)} >= {"C803", "C804", "C805", "C806"}
    assert mended(messy) == 4
    assert (messy / PATH).read_text("utf-8") == TIDY
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in messy.rglob("*") if path.is_file()}
    assert mended(messy) == 0
    assert before == {p: (p.read_bytes(), p.stat().st_mtime_ns) for p in messy.rglob("*") if p.is_file()}


def test_a_question_that_stands_twice_is_taken_out(messy: Path) -> None:
    questions = messy / f"pad/{NAME}.questions.txt"
    questions.write_text("lamp is off\nis it dead\nlamp is off\nlamp is off\nis it broken\n", "utf-8")
    assert mended(messy) == 6
    assert questions.read_text("utf-8") == "lamp is off\nis it dead\nis it broken\n"


def test_files_that_are_not_wanted_stay_as_they_are(messy: Path) -> None:
    assert mend_all(messy, lambda: book_of(messy), RULES, lambda path: path != PATH) == 0
    assert (messy / PATH).read_bytes() == MESSY.encode()


def test_a_line_that_has_changed_is_not_touched(messy: Path) -> None:
    edits = [one.finding.edit for one in check(book_of(messy), RULES) if one.finding.edit]
    changed = MESSY.replace("hidden.", "in there.")
    (messy / PATH).write_bytes(changed.encode())
    assert edits
    assert mend(messy, edits) == 0
    assert (messy / PATH).read_bytes() == changed.encode()


def test_lines_that_moved_are_not_touched(messy: Path) -> None:
    edits = [one.finding.edit for one in check(book_of(messy), RULES) if one.finding.edit]
    (messy / PATH).write_bytes(b"\n" + MESSY.encode())
    assert mend(messy, edits) == 0


@given(
    st.lists(st.text("ab ", max_size=4), min_size=1, max_size=6),
    st.lists(
        st.tuples(st.integers(1, 7), st.text("ab ", max_size=4), st.none() | st.text("ab", max_size=3)), max_size=6
    ),
)
def test_only_lines_as_the_edit_says_change(
    tmp_path_factory: pytest.TempPathFactory, lines: list[str], wanted: list[tuple[int, str, str | None]]
) -> None:
    root = tmp_path_factory.mktemp("lines")
    (root / "a.md").write_text("\n".join(lines), "utf-8")
    edits = [Edit("a.md", line, before, after) for line, before, after in wanted]
    count = mend(root, edits)
    first: dict[int, Edit] = {}
    for one in edits:
        first.setdefault(one.line, one)
    expected: list[str] = []
    done = 0
    for number, line in enumerate(lines, start=1):
        edit = first.get(number)
        if edit is None or edit.before != line:
            expected.append(line)
            continue
        done += 1
        if edit.after is not None:
            expected.append(edit.after)
    assert (root / "a.md").read_text("utf-8") == "\n".join(expected)
    assert count == done


def test_a_mark_of_byte_order_stays(messy: Path) -> None:
    (messy / PATH).write_bytes(b"\xef\xbb\xbf" + MESSY.encode())
    mended(messy)
    assert (messy / PATH).read_bytes() == b"\xef\xbb\xbf" + TIDY.encode()


def test_links_and_files_that_are_no_text_are_left_alone(tmp_path: Path) -> None:
    outside = tmp_path / "outside.md"
    outside.write_text("a \n", "utf-8")
    root = tmp_path / "notes"
    root.mkdir()
    (root / "link.md").symlink_to(outside)
    (root / "raw.md").write_bytes(b"a \n\xff")
    (root / "folder.md").mkdir()
    edits = [Edit(name, 1, "a ", "a") for name in ("link.md", "raw.md", "folder.md", "gone.md")]
    assert mend(root, edits) == 0
    assert outside.read_text("utf-8") == "a \n"
    assert (root / "link.md").is_symlink()


def test_a_file_that_cannot_be_written_stays_whole(messy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    edits = [one.finding.edit for one in check(book_of(messy), RULES) if one.finding.edit]
    with pytest.raises(NotesError, match="cannot be written"):
        mend(messy, edits)
    assert (messy / PATH).read_bytes() == MESSY.encode()


@pytest.mark.parametrize(
    "line",
    ["\u2013 a dash at the beginning", "\u00a0a hard space at the beginning", "   \u2014 a dash after blanks"],
)
def test_a_mark_that_would_become_a_list_is_told_and_not_mended(messy: Path, line: str) -> None:
    text = note_text(NAME).replace("Nobody sees it.", f"Nobody sees it.\n{line}")
    (messy / PATH).write_text(text, "utf-8")
    found = [one.finding for one in check(book_of(messy), RULES) if one.rule.code == "C803"]
    assert len(found) == 1
    assert found[0].edit is None


def test_curly_quotation_marks_in_yaml_are_told_and_not_mended(messy: Path) -> None:
    text = (
        note_text(NAME)
        .replace("title: Pad", 'title: "\u201cPad\u201d')
        .replace("stays dark\nstation", 'dark"\nstation')
    )
    (messy / PATH).write_text(text, "utf-8")
    (messy / "vocabulary.yaml").write_text('"pad": {"\u201cjoypad\u201d": 1.0}\n', "utf-8")
    found = [one.finding for one in check(book_of(messy), RULES) if one.rule.code == "C803"]
    assert [(finding.path, finding.edit) for finding in found] == [(PATH, None), ("vocabulary.yaml", None)]
    assert mended(messy) == 0


def test_no_part_of_a_file_stays_behind(messy: Path) -> None:
    mended(messy)
    assert [name for _, _, names in os.walk(messy) for name in names if name.endswith(".part")] == []
