"""Open a pack read-only and look things up in it; the standard library alone."""

from __future__ import annotations

import json
import math
import sqlite3
from collections.abc import Iterable, Sequence
from functools import cached_property, partial
from pathlib import Path
from types import TracebackType
from typing import Any, NoReturn, Self

from assistant.analysis.cues import CUE_CLASSES
from assistant.analysis.spelling import pieces, repairs, slips_allowed
from assistant.errors import PackError
from assistant.model import Note
from assistant.pack.codec import note_from_json
from assistant.pack.format import APPLICATION_ID, FORMAT, unpack_numbers
from assistant.ranking.score import NONE, TermRow, quotient

__all__ = ["Pack"]

_MOST_CUES = 1000
_NEEDED = ("format", "corpus", "compiled_by", "notes", "fields", "analysis", "decision", "urgent", "rarest")


def _is_pair(value: object) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(type(number) is int for number in value)


class _Named(dict[str, Any]):
    """An object of the manifest that tells what it lacks."""

    def __init__(self, pack: Pack, values: dict[str, Any]) -> None:
        super().__init__(values)
        self._pack = pack

    def __missing__(self, key: str) -> NoReturn:
        raise self._pack._damaged(ValueError(f"the manifest lacks '{key}'"))


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
            self._db = sqlite3.connect(f"file:{_in_uri(str(path.absolute()))}?mode=ro&immutable=1", uri=True)
        except sqlite3.Error as error:
            raise self._damaged(error) from error
        try:
            self.manifest = self._checked_manifest()
        except BaseException:
            self._db.close()
            raise

    def _checked_manifest(self) -> dict[str, str]:
        path = self.path
        try:
            if self._pragma("application_id") != APPLICATION_ID:
                raise PackError(f"{path}:1: not a pack of this program")
            manifest: dict[str, str] = dict(self._db.execute("SELECT key, value FROM manifest"))
        except sqlite3.Error as error:
            raise self._damaged(error) from error
        found = manifest.get("format")
        if found != str(FORMAT):
            raise PackError(
                f"{path}:1: pack format {found} is not the format {FORMAT} that this version reads; "
                "compile it again with 'assistant corpus compile'"
            )
        missing = [key for key in _NEEDED if key not in manifest]
        if missing:
            raise self._damaged(ValueError(f"the manifest lacks {', '.join(missing)}"))
        return manifest

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
            value = json.loads(text, object_hook=partial(_Named, self))
        except (ValueError, RecursionError) as error:
            raise self._damaged(error) from error
        if not isinstance(value, dict):
            raise self._damaged(ValueError("manifest holds no object"))
        return value

    @cached_property
    def urgent(self) -> list[int]:
        """Numbers of the notes that go first when somebody is in danger."""
        try:
            return [range(len(self.note_ids))[number] for number in json.loads(self.manifest["urgent"])]
        except (ValueError, TypeError, IndexError) as error:
            raise self._damaged(error) from error

    @cached_property
    def rarest(self) -> int:
        """The idf, in thousandths, of a term that one chunk alone holds."""
        try:
            return int(self.manifest["rarest"])
        except ValueError as error:
            raise self._damaged(error) from error

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
    def chunk_note(self) -> Sequence[int]:
        """Note number of each chunk."""
        return self._owners("chunk")

    @cached_property
    def example_note(self) -> Sequence[int]:
        """Note number of each example question, -1 for those that no note covers."""
        return self._owners("example")

    def _owners(self, kind: str) -> Sequence[int]:
        rows = self._rows("SELECT notes FROM owner WHERE kind = ?", (kind,))
        try:
            return unpack_numbers(rows[0][0])
        except (IndexError, ValueError, TypeError) as error:
            raise self._damaged(error) from error

    def note(self, note_id: str) -> Note | None:
        """Return the note of that id, or None."""
        rows = self._rows("SELECT content FROM note WHERE id = ?", (note_id,))
        if not rows:
            return None
        try:
            return note_from_json(rows[0][0])
        except (ValueError, KeyError, TypeError) as error:
            raise self._damaged(error) from error

    def step_weights(self, note_id: str) -> dict[str, list[list[int]]]:
        """Return term -> [step, weight] pairs of a note's steps."""
        rows = self._rows("SELECT weights FROM step JOIN note ON number = note WHERE id = ?", (note_id,))
        weights = self._json(rows[0][0]) if rows else {}
        for pairs in weights.values():
            if not isinstance(pairs, list) or any(not _is_pair(pair) for pair in pairs):
                raise self._damaged(ValueError("a step has no weights"))
        return weights

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
                row = TermRow(
                    mass,
                    list(zip(c[::3], c[1::3], c[2::3], strict=True)),
                    list(zip(n[::2], n[1::2], strict=True)),
                    list(zip(e[::2], e[1::2], strict=True)),
                )
            except (ValueError, TypeError) as error:
                raise self._damaged(error) from error
            self._check_range(c[::3], 0, len(self.chunk_note))
            self._check_range(c[2::3], 0, len(self.fields))
            self._check_range(n[::2], NONE, len(self.note_ids))
            self._check_range(e[::2], 0, len(self.example_note))
            rows[term] = row
        return rows

    def _check_range(self, numbers: Sequence[int], least: int, end: int) -> None:
        if numbers and not (least <= min(numbers) and max(numbers) < end):
            raise self._damaged(ValueError("a weight belongs to nothing in this pack"))

    def cue_rows(self, cues: Iterable[str]) -> dict[str, Sequence[int]]:
        """Return one weight a class of turns for each cue that the pack knows."""
        wanted = tuple(dict.fromkeys(cues))
        marks = ",".join("?" * len(wanted))
        rows = self._rows(f"SELECT cue, weights FROM cue WHERE cue IN ({marks})", wanted)
        try:
            weights: dict[str, Sequence[int]] = {cue: unpack_numbers(blob) for cue, blob in rows}
        except (ValueError, TypeError) as error:
            raise self._damaged(error) from error
        if any(len(row) != len(CUE_CLASSES) for row in weights.values()):
            raise self._damaged(ValueError("a cue has not one weight a class"))
        return weights

    def tells(self, kind: str, cues: Iterable[str]) -> int:
        """Return how far the cues tell of ``harm`` or of a ``turn``: thousandths of a logit, before its bias.

        The sum of their stored points over the length of the vector of their masses.
        """
        wanted = tuple(dict.fromkeys(cues))[:_MOST_CUES]
        marks = ",".join("?" * len(wanted))
        rows = self._whole(
            self._rows(f"SELECT points, mass FROM tell WHERE kind = ? AND cue IN ({marks})", (kind, *wanted))
        )
        length = math.isqrt(sum(mass * mass for _, mass in rows)) or 1
        return quotient(1000 * sum(points for points, _ in rows), length)

    def kin(self, note: int) -> list[tuple[int, int]]:
        """Return (note number, weight in thousandths) of the notes that the same questions fit, by number."""
        rows = self._whole(self._rows("SELECT other, weight FROM kin WHERE note = ? ORDER BY other", (note,)))
        self._check_range([other for other, _ in rows], 0, len(self.note_ids))
        return rows

    def _whole(self, rows: list[tuple[Any, ...]]) -> list[tuple[int, int]]:
        if any(type(value) is not int for row in rows for value in row):
            raise self._damaged(ValueError("a weight is no whole number"))
        return rows

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
        sql = (
            f"SELECT form, count FROM form WHERE count > 0 AND length(form) BETWEEN ? AND ? AND ({' OR '.join(tests)})"
        )
        return repairs(form, self._rows(sql, values))

    def meanings(self, phrase: str) -> list[tuple[str, int]]:
        """Return (corpus word, percent) of a form of the vocabulary."""
        rows = self._rows("SELECT words FROM meaning WHERE form = ?", (phrase,))
        try:
            return [(word, percent) for word, percent in json.loads(rows[0][0])] if rows else []
        except (ValueError, TypeError) as error:
            raise self._damaged(error) from error


def _in_uri(path: str) -> str:
    """Escape what has a meaning in a URI; urllib would take longer to load than a question to answer."""
    return path.replace("%", "%25").replace("?", "%3f").replace("#", "%23")
