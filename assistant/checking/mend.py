"""Carrying out the safe mends that rules propose."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from assistant.checking.book import BOM
from assistant.checking.check import check
from assistant.checking.rule import Book, Edit, Rule
from assistant.notes.writing import write_whole

__all__ = ["mend", "mend_all"]

_MOST_ROUNDS = 20


def mend_all(
    root: Path, read: Callable[[], Book], rules: Sequence[Rule], wanted: Callable[[str], bool] = lambda _: True
) -> int:
    """Check and mend until nothing is left to mend; return the number of edits carried out.

    A line with several faults is mended once a round, and where a note could not be read all rules go over the folder
    again, as a mend may have made it readable. Files whose path ``wanted`` turns down are left alone.

    Raises
    ------
    NotesError
        If the folder cannot be read, or a file not written.
    """
    done = 0
    for _ in range(_MOST_ROUNDS):
        book = read()
        found = check(book, rules)
        edits = [e for f, _ in found if f.edit and wanted(f.edit.path) for e in (f.edit, *f.more)]
        mended = mend(root, edits)
        if not mended:
            break
        done += mended
        if not book.faults:
            rules = list(dict.fromkeys(one.rule for one in found if one.finding.edit))
    return done


def mend(root: Path, edits: Iterable[Edit]) -> int:
    """Carry out ``edits`` below ``root`` and return how many were.

    A line is touched only where it still is as the edit says, and once at most; a file is replaced whole or not at all.
    Links to other files and what is no text are left alone.

    Raises
    ------
    NotesError
        If a file cannot be written; what stood there stays.
    """
    by_path: dict[str, list[Edit]] = defaultdict(list)
    for edit in edits:
        by_path[edit.path].append(edit)
    return sum(_mend_file(root / path, by_path[path]) for path in sorted(by_path))


def _mend_file(path: Path, edits: list[Edit]) -> int:
    if path.is_symlink() or not path.is_file():
        return 0
    try:
        text = path.read_bytes().decode("utf-8")
    except (OSError, UnicodeDecodeError):
        return 0
    mark = BOM if text.startswith(BOM) else ""
    lines = text.removeprefix(BOM).split("\n")
    once = {edit.line: edit for edit in reversed(edits)}
    fitting = [e for n, e in sorted(once.items(), reverse=True) if n <= len(lines) and lines[n - 1] == e.before]
    for edit in fitting:
        lines[edit.line - 1 : edit.line] = [] if edit.after is None else [edit.after]
    if fitting:
        write_whole(path, mark + "\n".join(lines))
    return len(fitting)
