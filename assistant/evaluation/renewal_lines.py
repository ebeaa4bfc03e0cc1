"""Lines of ``uncovered.txt`` that a new note covers: taken out, or kept and not asked about again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from assistant.analysis.tokens import json_line
from assistant.evaluation.jsonl import json_object
from assistant.evaluation.judgements import Judgement
from assistant.evaluation.outdated import OldLine
from assistant.evaluation.renewal import put_line_back, take_line_out
from assistant.notes.text import read_text
from assistant.notes.writing import write_whole

__all__ = ["KEPT", "LineRenewals", "line_name", "not_kept"]

KEPT = "uncovered_kept.jsonl"
"""Beside the labelled questions: {"line", "note"} of lines that were kept though a new note seems to cover them."""
_NAME = "uncovered.txt: "


def line_name(line: str) -> str:
    """Return how a line is named among what is looked at again."""
    return f"{_NAME}{line}"


def not_kept(lines: Iterable[OldLine], path: Path) -> list[OldLine]:
    """Return the lines that nobody has looked at for the sake of their note; ``path`` is that of `KEPT`."""
    kept = _kept(path)
    return [line for line in lines if (line.line, line.note) not in kept]


def _kept(path: Path) -> dict[tuple[str, str], None]:
    rows = read_text(path, path.name).split("\n") if path.exists() else []
    records = (record for row in rows if (record := json_object(row)))
    return {(str(record.get("line")), str(record.get("note"))): None for record in records}


class LineRenewals:
    """Takes judgements of lines: with a note the line goes, as uncovered it is kept, else it is as it was.

    Parameters
    ----------
    root
        The folder of notes.
    path
        Where kept lines are written down.
    lines
        The lines to look at.
    """

    def __init__(self, root: Path, path: Path, lines: Sequence[OldLine]) -> None:
        self.path = path
        self._root = root
        self._notes = {line_name(line.line): line for line in lines}
        self._out: dict[str, int] = {}

    def latest(self) -> dict[str, Judgement]:
        """Return nothing: what was looked at is not asked again."""
        return {}

    def add(self, judgement: Judgement) -> None:
        """Take the line out, keep it, or put it back; when this returns it is on the disk.

        Raises
        ------
        NotesError
            If the notes cannot be read afterwards; the file stays as it was.
        """
        line = self._notes[judgement.id]
        sure = judgement.mark != "unsure" and not judgement.is_open
        if sure and judgement.notes:
            if judgement.id not in self._out:
                self._out[judgement.id] = take_line_out(self._root, line.line)
        elif judgement.id in self._out:
            put_line_back(self._root, line.line, self._out.pop(judgement.id))
        self._keep(line, kept=sure and not judgement.notes)

    def _keep(self, line: OldLine, *, kept: bool) -> None:
        before = _kept(self.path)
        after = {key: None for key in before if key != (line.line, line.note)}
        if kept:
            after[line.line, line.note] = None
        if after != before:
            write_whole(self.path, "".join(json_line({"line": text, "note": note}) + "\n" for text, note in after))
