"""Open a pack read-only and look things up in it; the standard library alone."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Sequence
from functools import cached_property, partial
from pathlib import Path
from types import TracebackType
from typing import Any, NoReturn, Self

from assistant.analysis.spelling import pieces, repairs, slips_allowed
from assistant.errors import PackError
from assistant.model import Note
from assistant.pack.codec import note_from_json
from assistant.pack.format import APPLICATION_ID, FORMAT, NOTES_MODEL, TURN_CLASSES, unpack_numbers, unpack_weights
from assistant.ranking.linear import FeatureRow
from assistant.ranking.score import NONE, TermRow

__all__ = ["Pack"]

_NEEDED = (
    "format",
    "corpus",
    "compiled_by",
    "notes",
    "fields",
    "analysis",
    "decision",
    "harm",
    "emergency",
    "owner",
    "bias",
)


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

    def _numbers(self, key: str) -> list[int]:
        """Return the note numbers that stand under ``key`` of the manifest."""
        try:
            return [range(len(self.note_ids))[number] for number in json.loads(self.manifest[key])]
        except (ValueError, TypeError, IndexError, RecursionError) as error:
            raise self._damaged(error) from error

    @cached_property
    def harm(self) -> list[int]:
        """Numbers of the notes that deal with harm to somebody."""
        return self._numbers("harm")

    @cached_property
    def chunk_note(self) -> Sequence[int]:
        """Note number of each chunk."""
        return self._numbers("owner")

    @property
    def emergency(self) -> str:
        """The line on whom to call where harm comes near."""
        return self.manifest["emergency"]

    @cached_property
    def _bias(self) -> dict[str, Any]:
        return self._json(self.manifest["bias"])

    def bias(self, model: str) -> dict[int, int]:
        """Return the bias of every class of a linear model, in thousandths."""
        pairs = self._bias[model]
        if not isinstance(pairs, list) or not all(map(_is_pair, pairs)):
            raise self._damaged(ValueError("a class has no bias"))
        self._check_classes(model, [number for number, _ in pairs])
        return dict(pairs)

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

    def term_rows(self, terms: Iterable[str]) -> dict[str, TermRow]:
        """Return the stored weights of the terms that the pack knows."""
        wanted = tuple(terms)
        marks = ",".join("?" * len(wanted))
        rows = {}
        for term, chunks in self._rows(f"SELECT term, chunks FROM term WHERE term IN ({marks})", wanted):
            try:
                values = unpack_numbers(chunks)
                row = TermRow(list(zip(values[::3], values[1::3], values[2::3], strict=True)))
            except (ValueError, TypeError) as error:
                raise self._damaged(error) from error
            self._check_range(values[::3], 0, len(self.chunk_note))
            self._check_range(values[2::3], 0, len(self.fields))
            rows[term] = row
        return rows

    def feature_rows(self, model: str, features: Iterable[str]) -> dict[str, FeatureRow]:
        """Return idf and weights of the features that a linear model knows."""
        wanted = tuple(features)
        marks = ",".join("?" * len(wanted))
        sql = f"SELECT feature, idf, weights FROM feature WHERE model = ? AND feature IN ({marks})"
        try:
            rows = {
                feature: FeatureRow(idf, unpack_weights(weights))
                for feature, idf, weights in self._rows(sql, (model, *wanted))
            }
        except (ValueError, TypeError) as error:
            raise self._damaged(error) from error
        if any(type(row.idf) is not int for row in rows.values()):
            raise self._damaged(ValueError("an idf is no whole number"))
        self._check_classes(model, {number for row in rows.values() for number, _ in row.weights})
        return rows

    def _check_classes(self, model: str, numbers: Collection[int]) -> None:
        least, end = (NONE, len(self.note_ids)) if model == NOTES_MODEL else (0, len(TURN_CLASSES))
        self._check_range(numbers, least, end)

    def alarms(self, words: Iterable[str]) -> list[tuple[str, int, int]]:
        """Return (phrase, note number, 1 where it lifts) of the alarm phrases that begin with one of ``words``.

        Phrases of notes that go first come first.
        """
        wanted = tuple(dict.fromkeys(words))
        marks = ",".join("?" * len(wanted))
        found = self._rows(f"SELECT phrase, note, lifts FROM alarm WHERE first IN ({marks}) ORDER BY rank", wanted)
        if any(type(note) is not int or type(phrase) is not str for phrase, note, _ in found):
            raise self._damaged(ValueError("an alarm has no note"))
        self._check_range([note for _, note, _ in found], 0, len(self.note_ids))
        return found

    def _check_range(self, numbers: Collection[int], least: int, end: int) -> None:
        if numbers and not (least <= min(numbers) and max(numbers) < end):
            raise self._damaged(ValueError("a weight belongs to nothing in this pack"))

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
