"""Settings that a pack is compiled with, chosen on the tune split of the labelled questions and kept in a file."""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib import resources
from typing import Any

from assistant.analysis.analyzer import AnalysisSettings
from assistant.ranking.bm25f import Bm25fSettings

__all__ = ["CompileSettings", "LinearSettings", "StepSettings", "default_settings", "settings_from_json"]


@dataclass(frozen=True, slots=True)
class LinearSettings:
    """How the linear models are learned.

    ``inverse_penalty`` is the C of the support vector machine and ``tolerance`` when it is taken as learned. Weights
    below ``least_weight`` thousandths are dropped, and words (with pairs) and runs of letters that fewer than
    ``word_texts`` and ``gram_texts`` lines have. ``pairs`` of a thing and a trouble are drawn for each note.
    """

    inverse_penalty: float
    tolerance: float
    least_weight: int
    word_texts: int
    gram_texts: int
    pairs: int


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


def default_settings() -> CompileSettings:
    """Return the settings that ship with the program (``settings.json`` beside this module)."""
    return settings_from_json(resources.files("assistant.compiling").joinpath("settings.json").read_text("utf-8"))


def settings_from_json(text: str) -> CompileSettings:
    """Return the settings in ``text``.

    Raises
    ------
    ValueError, KeyError, TypeError
        If it is not of the form of ``settings.json``.
    """
    data: dict[str, Any] = json.loads(text)
    return CompileSettings(
        analysis=AnalysisSettings(**data["analysis"]),
        bm25f=Bm25fSettings(data["bm25f"]["k1"], data["bm25f"]["weight"], data["bm25f"]["b"]),
        chunk_points=data["chunk_points"],
        linear=LinearSettings(**data["linear"]),
        steps=StepSettings(**data["steps"]),
        decision=data["decision"],
    )
