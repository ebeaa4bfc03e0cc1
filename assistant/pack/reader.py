"""Open a pack read-only and look things up in it; the standard library alone."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Sequence
from functools import cached_property, partial
from pathlib import Path
from types import TracebackType
from typing import Any, NoReturn, Self

from assistant.analysis.spelling import deletions, repairs, slips_allowed, splits
from assistant.errors import PackError
from assistant.model import Note, Trade
from assistant.pack.codec import note_from_json, trade_from_json
from assistant.pack.format import APPLICATION_ID, FORMAT, NOTES_MODEL, TURN_CLASSES, unpack_postings, unpack_weights
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
    "trade",
    "owner",
    "bias",
)


_MOST_REMEMBERED = 4096
_MOST_FEATURES = 100_000
"""Features that are kept in memory once read, those that the pack lacks among them."""


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
        self._near: dict[str, list[str]] = {}
        self._features: dict[str, dict[str, FeatureRow | None]] = {}
        self._known: dict[str, bool] = {}
        self._meanings: dict[str, list[tuple[str, int]]] = {}
        self._biases: dict[str, dict[int, int]] = {}
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
            numbers = json.loads(self.manifest[key])
        except (ValueError, RecursionError) as error:
            raise self._damaged(error) from error
        if not isinstance(numbers, list) or any(type(number) is not int for number in numbers):
            raise self._damaged(ValueError(f"'{key}' holds no numbers of notes"))
        self._check_range(numbers, 0, len(self.note_ids))
        return numbers

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
    def trade(self) -> Trade:
        """What there is in the trade, without what the check of the notes alone reads."""
        try:
            return trade_from_json(self.manifest["trade"])
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
            raise self._damaged(ValueError("no trade in the manifest")) from error

    def bias(self, model: str) -> dict[int, int]:
        """Return the bias of every class of a linear model, in thousandths."""
        if model not in self._biases:
            pairs = self._json(self.manifest["bias"])[model]
            if not isinstance(pairs, list) or not all(map(_is_pair, pairs)):
                raise self._damaged(ValueError("a class has no bias"))
            least, end = (NONE, len(self.note_ids)) if model == NOTES_MODEL else (0, len(TURN_CLASSES))
            self._check_range([number for number, _ in pairs], least, end)
            self._biases[model] = dict(pairs)
        return self._biases[model]

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
                row = TermRow(unpack_postings(chunks))
            except (ValueError, TypeError) as error:
                raise self._damaged(error) from error
            self._check_range([chunk for chunk, _, _ in row.chunks], 0, len(self.chunk_note))
            self._check_range([field for _, _, field in row.chunks], 0, len(self.fields))
            rows[term] = row
        return rows

    def feature_rows(self, model: str, features: Iterable[str]) -> dict[str, FeatureRow]:
        """Return idf and weights of the features that a linear model knows."""
        wanted = tuple(features)
        read = self._features.setdefault(model, {})
        missing = tuple(feature for feature in wanted if feature not in read)
        if missing:
            if len(read) > _MOST_FEATURES:
                read.clear()
                missing = wanted
            found = self._read_features(model, missing)
            read.update((feature, found.get(feature)) for feature in missing)
        return {feature: row for feature in wanted if (row := read[feature]) is not None}

    def _read_features(self, model: str, wanted: tuple[str, ...]) -> dict[str, FeatureRow]:
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
        if not {number for row in rows.values() for number, _ in row.weights} <= self.bias(model).keys():
            raise self._damaged(ValueError("a weight belongs to no class of this pack"))
        return rows

    def alarms(self, words: Iterable[str]) -> list[tuple[str, int, int]]:
        """Return (phrase, note number, 1 where it lifts) of the alarm phrases that begin with one of ``words``.

        Phrases of notes that go first come first.
        """
        wanted = tuple(dict.fromkeys(words))
        marks = ",".join("?" * len(wanted))
        found = self._rows(f"SELECT phrase, note, lifts FROM alarm WHERE first IN ({marks}) ORDER BY rank", wanted)
        if any(
            type(phrase) is not str or type(note) is not int or lifts not in (0, 1) for phrase, note, lifts in found
        ):
            raise self._damaged(ValueError("an alarm is no phrase with a note"))
        self._check_range([note for _, note, _ in found], 0, len(self.note_ids))
        return found

    def _check_range(self, numbers: Collection[int], least: int, end: int) -> None:
        if numbers and not (least <= min(numbers) and max(numbers) < end):
            raise self._damaged(ValueError("a weight belongs to nothing in this pack"))

    def look_up(self, forms: Sequence[str], phrases: Sequence[str]) -> None:
        """Read at once what `known` says of ``forms`` and `meanings` of ``phrases``."""
        if len(self._known) > _MOST_REMEMBERED:
            self._known.clear()
            self._meanings.clear()
        marks = ",".join("?" * len(forms))
        held = {form for (form,) in self._rows(f"SELECT form FROM form WHERE form IN ({marks})", forms)}
        self._known.update((form, form in held) for form in forms)
        marks = ",".join("?" * len(phrases))
        meant = dict(self._rows(f"SELECT form, words FROM meaning WHERE form IN ({marks})", phrases))
        try:
            for phrase in phrases:
                pairs = json.loads(meant[phrase]) if phrase in meant else []
                self._meanings[phrase] = [(word, percent) for word, percent in pairs]
        except (ValueError, TypeError) as error:
            raise self._damaged(error) from error

    def known(self, form: str) -> bool:
        """Tell whether this word form is to be taken as it stands."""
        if form not in self._known:
            self.look_up((form,), ())
        return self._known[form]

    def meanings(self, phrase: str) -> list[tuple[str, int]]:
        """Return (corpus word, percent) of a form of the vocabulary."""
        if phrase not in self._meanings:
            self.look_up((), (phrase,))
        return self._meanings[phrase]

    def near(self, form: str) -> list[str]:
        """Return the corpus words that a misspelt ``form`` may stand for, likeliest first."""
        if form not in self._near:
            if len(self._near) >= _MOST_REMEMBERED:
                self._near.clear()
            self._near[form] = self._repairs(form)
        return self._near[form]

    def _repairs(self, form: str) -> list[str]:
        limit = slips_allowed(form)
        if not limit:
            return []
        keys = sorted(deletions(form, limit))
        marks = ",".join("?" * len(keys))
        found = self._rows(f"SELECT forms FROM slip WHERE key IN ({marks})", keys)
        try:
            candidates = sorted({known for (forms,) in found for known in forms.split(" ")})
        except AttributeError as error:
            raise self._damaged(error) from error
        return repairs(form, self._counts(candidates).items())

    def parts(self, form: str) -> tuple[str, ...]:
        """Return the two corpus words of which an unknown compound is made, or nothing."""
        cut = splits(form)
        held = self._counts({part for pair in cut for part in pair})
        return next((pair for pair in cut if pair[0] in held and pair[1] in held), ())

    def _counts(self, forms: Collection[str]) -> dict[str, int]:
        """Return how often each form stands in the corpus, of those that do."""
        marks = ",".join("?" * len(forms))
        counts = dict(self._rows(f"SELECT form, count FROM form WHERE count > 0 AND form IN ({marks})", forms))
        if any(type(count) is not int for count in counts.values()):
            raise self._damaged(ValueError("a count is no whole number"))
        return counts


def _in_uri(path: str) -> str:
    """Escape what has a meaning in a URI; urllib would take longer to load than a question to answer."""
    return path.replace("%", "%25").replace("?", "%3f").replace("#", "%23")
