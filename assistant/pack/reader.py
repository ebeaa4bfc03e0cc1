"""Look things up in a pack; the standard library alone."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from assistant.analysis.spelling import deletions, repairs, slips_allowed, splits
from assistant.model import Note, Trade
from assistant.pack.checked import json_of, object_of, pairs_of, rows_of, text_of, whole_of
from assistant.pack.codec import decision_from_json, note_from_json, trade_from_json
from assistant.pack.file import PackFile
from assistant.pack.format import (
    NOTES_MODEL,
    TURN_CLASSES,
    feature_table,
    unpack_count,
    unpack_feature,
    unpack_postings,
)
from assistant.ranking.linear import FeatureRow
from assistant.ranking.score import FULL, NONE, TermRow

__all__ = ["Pack"]

_NEEDED = (
    "corpus",
    "compiled_by",
    "notes",
    "fields",
    "analysis",
    "decision",
    "harm",
    "emergency",
    "trade",
    "titles",
    "owner",
    "bias",
)


_MOST_REMEMBERED = 4096
_MOST_FEATURES = 100_000
"""Features that are kept in memory once read, those that the pack lacks among them."""


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
        self._file = PackFile(path)
        self.manifest = self._file.manifest
        missing = [key for key in _NEEDED if key not in self.manifest]
        if missing:
            self.close()
            raise self._file.damaged(ValueError(f"the manifest lacks {', '.join(missing)}"))

    @contextmanager
    def _reading(self, what: str) -> Iterator[None]:
        """Turn what goes wrong with a value into the error that says so."""
        try:
            yield
        except ValueError as error:
            raise self._file.damaged(ValueError(f"{what}: {error}")) from error

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    @property
    def digest(self) -> str:
        """Digest of the notes that this pack was compiled from, shortened for people."""
        return self.manifest["corpus"][:12]

    @cached_property
    def decision(self) -> dict[str, Any]:
        """Weights and thresholds of the decision, frozen when compiled."""
        with self._reading("decision"):
            return decision_from_json(self.manifest["decision"])

    @cached_property
    def analysis(self) -> dict[str, Any]:
        """Settings with which questions are read: switches, and weights in percent."""
        with self._reading("analysis"):
            settings = object_of(json_of(self.manifest["analysis"]))
            for value in settings.values():
                if type(value) is not bool:
                    whole_of(value, 0, FULL)
            return settings

    def _numbers(self, key: str) -> list[int]:
        """Return the note numbers that stand under ``key`` of the manifest."""
        with self._reading(key):
            numbers = json_of(self.manifest[key])
            if not isinstance(numbers, list) or any(type(number) is not int for number in numbers):
                raise ValueError("holds no numbers of notes")
            _check_range(numbers, 0, len(self.note_ids))
            return list(numbers)

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
        with self._reading("trade"):
            return trade_from_json(self.manifest["trade"])

    def bias(self, model: str) -> dict[int, int]:
        """Return the bias of every class of a linear model, in thousandths."""
        if model not in self._biases:
            with self._reading("bias"):
                pairs = pairs_of(object_of(json_of(self.manifest["bias"]), (model,))[model])
                least, end = (NONE, len(self.note_ids)) if model == NOTES_MODEL else (0, len(TURN_CLASSES))
                _check_range([number for number, _ in pairs], least, end)
            self._biases[model] = {pair[0]: pair[1] for pair in pairs}
        return self._biases[model]

    @cached_property
    def fields(self) -> tuple[str, ...]:
        """Names of the field numbers of the weights."""
        return tuple(self.manifest["fields"].split(" "))

    @cached_property
    def note_ids(self) -> list[str]:
        """Ids by note number, sorted."""
        return list(self.titles)

    @property
    def harm_ids(self) -> frozenset[str]:
        """Ids of the notes that deal with harm to somebody."""
        return frozenset(self.note_ids[number] for number in self.harm)

    @cached_property
    def titles(self) -> dict[str, str]:
        """Title by id, in the order of the note numbers."""
        with self._reading("titles"):
            titles = {key: text_of(title) for key, title in object_of(json_of(self.manifest["titles"])).items()}
            if list(titles) != sorted(titles):
                raise ValueError("the notes are not in order")
            return titles

    def note(self, note_id: str) -> Note | None:
        """Return the note of that id, or None."""
        if note_id not in self.titles:
            return None
        raw = self._file.entries("note", (note_id,)).get(note_id)
        if raw is None:
            raise self._file.damaged(ValueError(f"there is no note {note_id}"))
        with self._reading(f"note {note_id}"):
            note = note_from_json(raw)
            if note.id != note_id or note.action not in self.trade.actions:
                raise ValueError("its id or its action is not of this pack")
        return note

    def step_weights(self, note_id: str) -> dict[str, list[list[int]]]:
        """Return term -> [step, weight] pairs of a note's steps."""
        raw = self._file.entries("step", (note_id,)).get(note_id, b"{}")
        with self._reading(f"steps of {note_id}"):
            return {term: pairs_of(pairs) for term, pairs in object_of(json_of(raw)).items()}

    def term_rows(self, terms: Iterable[str]) -> dict[str, TermRow]:
        """Return the stored weights of the terms that the pack knows."""
        with self._reading("term"):
            rows = {term: TermRow(unpack_postings(raw)) for term, raw in self._file.entries("term", (*terms,)).items()}
            for row in rows.values():
                _check_range([chunk for chunk, _, _ in row.chunks], 0, len(self.chunk_note))
                _check_range([field for _, _, field in row.chunks], 0, len(self.fields))
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

    def _read_features(self, model: str, wanted: Collection[str]) -> dict[str, FeatureRow]:
        with self._reading("feature"):
            found = self._file.entries(feature_table(model), wanted)
            rows = {feature: FeatureRow(*unpack_feature(raw)) for feature, raw in found.items()}
            if not {number for row in rows.values() for number, _ in row.weights} <= self.bias(model).keys():
                raise ValueError("a weight belongs to no class of this pack")
            return rows

    def alarms(self, words: Iterable[str]) -> list[tuple[str, int, int]]:
        """Return (phrase, note number, 1 where it lifts) of the alarm phrases that begin with one of ``words``.

        Phrases of notes that go first come first.
        """
        found: list[tuple[int, str, int, int]] = []
        with self._reading("alarm"):
            for raw in self._file.entries("alarm", dict.fromkeys(words)).values():
                for rank, phrase, note, lifts in rows_of(json_of(raw), 4):
                    number = whole_of(note, 0, len(self.note_ids) - 1)
                    found.append((whole_of(rank, 0), text_of(phrase), number, whole_of(lifts, 0, 1)))
        return [(phrase, note, lifts) for _, phrase, note, lifts in sorted(found)]

    def look_up(self, forms: Sequence[str], phrases: Sequence[str]) -> None:
        """Read at once what `known` says of ``forms`` and `meanings` of ``phrases``."""
        if len(self._known) > _MOST_REMEMBERED:
            self._known.clear()
            self._meanings.clear()
        held = self._file.entries("form", dict.fromkeys(forms))
        self._known.update((form, form in held) for form in forms)
        meant = self._file.entries("meaning", dict.fromkeys(phrases))
        with self._reading("meaning"):
            for phrase in phrases:
                pairs = rows_of(json_of(meant.get(phrase, b"[]")), 2)
                self._meanings[phrase] = [(text_of(word), whole_of(percent, 0, FULL)) for word, percent in pairs]

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
        found = self._file.entries("slip", deletions(form, limit))
        with self._reading("slip"):
            candidates = sorted({known for raw in found.values() for known in raw.decode().split(" ")})
        return repairs(form, self._counts(candidates).items())

    def parts(self, form: str) -> tuple[str, ...]:
        """Return the two corpus words of which an unknown compound is made, or nothing."""
        cut = splits(form)
        held = self._counts({part for pair in cut for part in pair})
        return next((pair for pair in cut if pair[0] in held and pair[1] in held), ())

    def _counts(self, forms: Collection[str]) -> dict[str, int]:
        """Return how often each form stands in the corpus, of those that do."""
        with self._reading("form"):
            counts = {form: unpack_count(raw) for form, raw in self._file.entries("form", forms).items()}
        return {form: count for form, count in counts.items() if count > 0}


def _check_range(numbers: Collection[int], least: int, end: int) -> None:
    if numbers and not (least <= min(numbers) and max(numbers) < end):
        raise ValueError("a weight belongs to nothing in this pack")
