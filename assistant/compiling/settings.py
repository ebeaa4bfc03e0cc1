"""Settings that a pack is compiled with, chosen on the tune split of the labelled questions and kept in a file."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path
from types import MappingProxyType
from typing import Any

from assistant.analysis.analyzer import AnalysisSettings
from assistant.errors import Fault, NotesError
from assistant.languages import DEFAULT
from assistant.notes.text import regular
from assistant.pack.checked import json_of
from assistant.pack.codec import decision_from_json
from assistant.ranking.bm25f import Bm25fSettings

__all__ = [
    "OWN_SETTINGS",
    "CompileSettings",
    "LinearSettings",
    "StepSettings",
    "corpus_settings",
    "default_settings",
    "read_settings",
    "settings_from_json",
    "shipped_settings",
]

OWN_SETTINGS = "settings.json"
"""The file in a folder of notes that is taken in place of the settings that ship."""
_LARGEST_OF_ANY = 1000
_LARGEST = MappingProxyType(
    {f"analysis: {name}": 100 for name in ("vocabulary_weight", "repair_weight", "second_repair_weight")}
)
_ABOVE_NONE = ("chunk_points", "linear: inverse_penalty", "linear: tolerance", "steps: alpha")
"""What is divided by, or learned until."""


@dataclass(frozen=True, slots=True)
class LinearSettings:
    """How the linear models are learned.

    ``inverse_penalty`` is the C of the support vector machine and ``tolerance`` when it is taken as learned. Weights
    below ``least_weight`` thousandths are dropped, and words (with pairs) and runs of letters that fewer than
    ``word_texts`` and ``gram_texts`` lines have. ``pairs`` of a thing and a trouble are drawn for each note.
    ``language`` is that of the lines, which the notes tell.
    """

    inverse_penalty: float
    tolerance: float
    least_weight: int
    word_texts: int
    gram_texts: int
    pairs: int
    language: str = DEFAULT


@dataclass(frozen=True, slots=True)
class StepSettings:
    """Smoothing of the weights of steps, and how much it counts how often questions name a step."""

    alpha: float
    prior: float


@dataclass(frozen=True, slots=True)
class CompileSettings:
    """All that turns notes into weights; ``decision`` is frozen into the pack as it stands.

    ``chunk_points`` scales BM25F into whole numbers.
    """

    analysis: AnalysisSettings
    bm25f: Bm25fSettings
    chunk_points: float
    linear: LinearSettings
    steps: StepSettings
    decision: dict[str, Any]

    def told_in(self, language: str) -> CompileSettings:
        """Return the same settings for lines of a language."""
        return replace(self, linear=replace(self.linear, language=language))


def default_settings() -> CompileSettings:
    """Return the settings that ship with the program (``settings.json`` beside this module)."""
    return settings_from_json(shipped_settings())


def shipped_settings() -> str:
    """Return the text of the settings that ship with the program."""
    return resources.files("assistant.compiling").joinpath("settings.json").read_text("utf-8")


def corpus_settings(root: Path | None) -> CompileSettings:
    """Return the settings that a folder of notes holds for itself, or those that ship where it holds none.

    Raises
    ------
    NotesError
        If its file cannot be read, or is of another form.
    """
    own = None if root is None else root / OWN_SETTINGS
    return default_settings() if own is None or not os.path.lexists(own) else read_settings(own)


def read_settings(path: Path) -> CompileSettings:
    """Return the settings in a file, whose decision holds all that answering asks of it.

    Raises
    ------
    NotesError
        If the file cannot be read, or is of another form.
    """
    try:
        settings = settings_from_json(regular(path).read_text("utf-8"))
        decision_from_json(json.dumps(settings.decision))
        if type(settings.decision.get("labelled")) is not int:
            raise ValueError("'labelled' of the decision is no whole number")
    except OSError as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read: {error.strerror}")]) from error
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        told = f"no settings as 'score tune' writes them: {error}"
        raise NotesError([Fault(str(path), 1, told)]) from error
    return settings


def settings_from_json(text: str) -> CompileSettings:
    """Return the settings in ``text``.

    Raises
    ------
    ValueError, KeyError, TypeError
        If it is not of the form of ``settings.json``.
    """
    data: dict[str, Any] = json_of(text)
    shipped: dict[str, Any] = json_of(shipped_settings())
    learned = ("analysis", "bm25f", "chunk_points", "linear", "steps")
    for name in learned:
        _check_alike(name, data[name], shipped[name])
    return CompileSettings(
        analysis=AnalysisSettings(**data["analysis"]),
        bm25f=Bm25fSettings(data["bm25f"]["k1"], data["bm25f"]["weight"], data["bm25f"]["b"]),
        chunk_points=data["chunk_points"],
        linear=LinearSettings(**data["linear"]),
        steps=StepSettings(**data["steps"]),
        decision=data["decision"],
    )


def _check_alike(name: str, value: object, shipped: object) -> None:
    """Raise `ValueError` where a value is not of the form of the one that ships, or a number out of all bounds."""
    if isinstance(shipped, dict):
        if not isinstance(value, dict) or value.keys() != shipped.keys():
            raise ValueError(f"'{name}' must have {', '.join(shipped)}")
        for key, each in shipped.items():
            _check_alike(f"{name}: {key}", value[key], each)
    elif isinstance(shipped, bool):
        if not isinstance(value, bool):
            raise ValueError(f"'{name}' must be true or false")
    else:
        most = _LARGEST.get(name, _LARGEST_OF_ANY)
        kinds = (int,) if isinstance(shipped, int) and name.startswith(("analysis", "linear")) else (int, float)
        if type(value) not in kinds or not 0 <= value <= most or (name in _ABOVE_NONE and not value):  # type: ignore[operator]
            raise ValueError(f"'{name}' must be a number from 0 to {most}, a whole one where the shipped one is whole")
