"""Open a pack read-only and look things up in it; the standard library alone."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from assistant.analysis.spelling import pieces, repairs, slips_allowed
from assistant.errors import PackError
from assistant.model import Note
from assistant.pack.codec import note_from_json
from assistant.pack.format import APPLICATION_ID, FORMAT, unpack_numbers
from assistant.ranking.score import TermRow

__all__ = ["Pack"]

_NEEDED = ("format", "corpus", "compiled_by", "decision", "analysis")


class Pack:
    """One open pack; also the `Lexicon` that reading a question asks.

    Parameters
    ----------
    path
        The file.

    Raises
    ------
    PackError
        If the file is missing, damaged, of another kind or of another format.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        if not path.is_file():
            raise PackError(f"{path}:1: no pack here; compile one with 'assistant corpus compile'")
        try:
            self._db = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
            if self._pragma("application_id") != APPLICATION_ID:
                raise PackError(f"{path}:1: not a pack of this program")
            self.manifest: dict[str, str] = dict(self._db.execute("SELECT key, value FROM manifest"))
        except sqlite3.Error as error:
            raise self._damaged(error) from error
        found = self.manifest.get("format")
        if found != str(FORMAT):
            raise PackError(
                f"{path}:1: pack format {found} is not the format {FORMAT} that this version reads; "
                "compile it again with 'assistant corpus compile'"
            )
        missing = [key for key in _NEEDED if key not in self.manifest]
        if missing:
            raise PackError(f"{path}:1: damaged pack: manifest lacks {', '.join(missing)}; compile it again")

    def _damaged(self, error: Exception) -> PackError:
        return PackError(f"{self.path}:1: damaged pack: {error}; compile it again with 'assistant corpus compile'")

    def _pragma(self, name: str) -> object:
        return self._db.execute(f"PRAGMA {name}").fetchone()[0]

    def _rows(self, sql: str, parameters: Iterable[Any] = ()) -> list[tuple[Any, ...]]:
        try:
            return self._db.execute(sql, tuple(parameters)).fetchall()
        except sqlite3.Error as error:
            raise self._damaged(error) from error

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    @property
    def digest(self) -> str:
        """Digest of the notes that this pack was compiled from, shortened for people."""
        return self.manifest["corpus"][:12]

    @cached_property
    def decision(self) -> dict[str, Any]:
        """Weights and thresholds of the decision, frozen when compiled."""
        return self._json(self.manifest["decision"])

    @cached_property
    def analysis(self) -> dict[str, Any]:
        """Settings with which questions are read."""
        return self._json(self.manifest["analysis"])

    def _json(self, text: str) -> dict[str, Any]:
        try:
            value = json.loads(text)
        except ValueError as error:
            raise self._damaged(error) from error
        if not isinstance(value, dict):
            raise self._damaged(ValueError("manifest holds no object"))
        return value

    @cached_property
    def urgent(self) -> list[int]:
        """Numbers of the notes that go first when somebody is in danger."""
        return [int(number) for number in json.loads(self.manifest["urgent"])]

    @cached_property
    def rarest(self) -> int:
        """The idf, in thousandths, of a term that one chunk alone holds."""
        return int(self.manifest["rarest"])

    @cached_property
    def fields(self) -> tuple[str, ...]:
        """Names of the field numbers of the weights."""
        return tuple(self.manifest["fields"].split(" "))

    @cached_property
    def note_ids(self) -> list[str]:
        """Ids by note number, sorted."""
        return [row[0] for row in self._rows("SELECT id FROM note ORDER BY number")]

    @cached_property
    def titles(self) -> dict[str, str]:
        """Title by id."""
        return dict(self._rows("SELECT id, title FROM note ORDER BY number"))

    @cached_property
    def chunk_note(self) -> list[int]:
        """Note number of each chunk."""
        return [row[0] for row in self._rows("SELECT note FROM chunk ORDER BY number")]

    @cached_property
    def example_note(self) -> list[int]:
        """Note number of each example question, -1 for those that no note covers."""
        return [row[0] for row in self._rows("SELECT note FROM example ORDER BY number")]

    def note(self, note_id: str) -> Note | None:
        """Return the note of that id, or None."""
        rows = self._rows("SELECT content FROM note WHERE id = ?", (note_id,))
        if not rows:
            return None
        try:
            return note_from_json(rows[0][0])
        except (ValueError, KeyError, TypeError) as error:
            raise self._damaged(error) from error

    def chunks(self) -> list[tuple[str, str]]:
        """Return (note id, text) of every chunk in order."""
        return self._rows(
            "SELECT note.id, chunk.content FROM chunk JOIN note ON note.number = chunk.note ORDER BY chunk.number"
        )

    def term_rows(self, terms: Iterable[str]) -> dict[str, TermRow]:
        """Return the stored weights of the terms that the pack knows."""
        wanted = tuple(terms)
        marks = ",".join("?" * len(wanted))
        rows = {}
        for term, mass, chunks, learned, examples in self._rows(
            f"SELECT term, mass, chunks, learned, examples FROM term WHERE term IN ({marks})", wanted
        ):
            try:
                c, n, e = unpack_numbers(chunks), unpack_numbers(learned), unpack_numbers(examples)
            except (ValueError, TypeError) as error:
                raise self._damaged(error) from error
            rows[term] = TermRow(
                mass,
                list(zip(c[::3], c[1::3], c[2::3], strict=True)),
                list(zip(n[::2], n[1::2], strict=True)),
                list(zip(e[::2], e[1::2], strict=True)),
            )
        return rows

    def cue_rows(self, cues: Iterable[str]) -> list[Sequence[int]]:
        """Return one weight a class of turns for each cue that the pack knows."""
        wanted = tuple(dict.fromkeys(cues))
        marks = ",".join("?" * len(wanted))
        rows = self._rows(f"SELECT weights FROM cue WHERE cue IN ({marks})", wanted)
        return [unpack_numbers(row[0]) for row in rows]

    def known(self, form: str) -> bool:
        """Tell whether this word form is to be taken as it stands."""
        return bool(self._rows("SELECT 1 FROM form WHERE form = ?", (form,)))

    def near(self, form: str) -> list[str]:
        """Return the corpus words that a misspelt ``form`` may stand for, likeliest first."""
        limit = slips_allowed(form)
        if not limit:
            return []
        tests: list[str] = []
        values: list[Any] = [len(form) - limit, len(form) + limit]
        for offset, piece in pieces(form):
            start = max(0, offset - limit)
            tests.append(f"instr(substr(form, {start + 1}, {offset - start + len(piece) + limit}), ?)")
            values.append(piece)
        sql = f"SELECT form, count FROM form WHERE count > 0 AND length(form) BETWEEN ? AND ? AND ({' OR '.join(tests)})"
        return repairs(form, self._rows(sql, values))

    def meanings(self, phrase: str) -> list[tuple[str, int]]:
        """Return (corpus word, percent) of a form of the vocabulary."""
        rows = self._rows("SELECT words FROM meaning WHERE form = ?", (phrase,))
        return [(word, percent) for word, percent in json.loads(rows[0][0])] if rows else []
