"""Files that nobody has vouched for."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.notes.text import forbidden_characters, most_bytes, read_text, wrong_bullet


def refusal(path: Path) -> str:
    with pytest.raises(NotesError) as raised:
        read_text(path, "n.md")
    return str(raised.value)


def test_plain_text_comes_with_unix_line_ends_and_without_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "n.md"
    path.write_bytes("\ufeffcaf\u00e9\r\n\tb\r\n".encode())
    assert read_text(path, "n.md") == "caf\u00e9\n\tb\n"


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"a\nb\0c\n", "n.md:2: not a text file: holds a NUL byte"),
        (b"a\nb\n\xff\xfe", "n.md:3: not valid UTF-8"),
        (b"a\n\xc3", "n.md:2: not valid UTF-8"),
        (b"a\n\n\x1b[31mred", "n.md:3: holds a control character (U+001B)"),
        (b"a\x07", "n.md:1: holds a control character (U+0007)"),
        (b"a\rb", "n.md:1: holds a control character (U+000D)"),
        ("a\u202eb".encode(), "n.md:1: holds a control character (U+202E)"),
        ("a\x9bb".encode(), "n.md:1: holds a control character (U+009B)"),
        ("a\u2764\ufe0f".encode(), "n.md:1: holds an emoji variation selector (U+FE0F)"),
        ("a\u200db".encode(), "n.md:1: holds a zero-width joiner (U+200D)"),
    ],
)
def test_what_is_refused(tmp_path: Path, raw: bytes, message: str) -> None:
    path = tmp_path / "n.md"
    path.write_bytes(raw)
    assert refusal(path) == message


def test_all_bad_lines_are_named(tmp_path: Path) -> None:
    path = tmp_path / "n.md"
    path.write_bytes(b"\x07\nfine\n\x1b\x07\n")
    assert [line.split(" ")[0] for line in refusal(path).split("\n")] == ["n.md:1:", "n.md:3:", "n.md:3:"]


def test_size_is_limited(tmp_path: Path) -> None:
    for name, most in (("n.md", 65536), ("n.questions.txt", 65536), ("n.phrases.yaml", 65536), ("n.txt", 524288)):
        path = tmp_path / name
        assert most_bytes(path) == most
        path.write_bytes(b"a" * most)
        assert len(read_text(path, "n.md")) == most
        path.write_bytes(b"a" * (most + 1))
        assert refusal(path) == f"n.md:1: file has {most + 1} bytes, {most} at most"


def test_missing_file_folder_loop_and_pipe_are_refused(tmp_path: Path) -> None:
    assert refusal(tmp_path / "none.md") == "n.md:1: cannot be read: No such file or directory"
    assert refusal(tmp_path) == "n.md:1: not a file that can be read"
    loop = tmp_path / "loop.md"
    loop.symlink_to(loop)
    assert refusal(loop) == "n.md:1: cannot be read: Too many levels of symbolic links"
    os.mkfifo(tmp_path / "pipe.md")
    assert refusal(tmp_path / "pipe.md") == "n.md:1: not a file that can be read"


def test_letters_with_accents_and_tabs_are_allowed() -> None:
    assert forbidden_characters("caf\u00e9\t\u00bd") == []


@pytest.mark.parametrize(
    ("line", "sign"),
    [
        *((f"   {sign} If it is lit", sign) for sign in "\u2022\u2013\u2014\u00b7\u25e6\u25aa\u2023\u25cf\u2043"),
        ("\u2022\tIf it is lit", "\u2022"),
        ("\u2022\u00a0If it is lit", "\u2022"),
        ("\u2013", "\u2013"),
        ("\u20133 is cold", ""),
        ("It is lit \u2013 or dark", ""),
        ("- It is lit \u2022 or dark", ""),
        ("   - If it is lit", ""),
        ("", ""),
    ],
)
def test_signs_that_begin_a_line_and_are_no_bullet(line: str, sign: str) -> None:
    assert wrong_bullet(line) == sign
