"""Settings that a pack is compiled with, chosen on the tune split of the labelled questions and kept in a file."""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib import resources
from typing import Any

from assistant.analysis.analyzer import AnalysisSettings
from assistant.ranking.bm25f import Bm25fSettings

__all__ = ["CompileSettings", "StepSettings", "default_settings", "settings_from_json"]


@dataclass(frozen=True, slots=True)
class StepSettings:
    """Smoothing of the weights of steps, and how much it counts how often questions name a step."""

    alpha: float
    prior: float


@dataclass(frozen=True, slots=True)
class CompileSettings:
    """All that turns notes into weights.

    ``chunk_points`` and ``learned_points`` scale the two parts of a score into points. ``alpha`` smooths the learned
    weights, which ``pairs`` extends to pairs of neighbouring terms; ``cue_alpha`` smooths those of turns of phrase.
    ``decision`` is frozen into the pack as it stands.
    """

    analysis: AnalysisSettings
    bm25f: Bm25fSettings
    chunk_points: float
    learned_points: float
    alpha: float
    pairs: bool
    cue_alpha: float
    steps: StepSettings
    decision: dict[str, Any]


def default_settings() -> CompileSettings:
    """Return the settings that ship with the program (``settings.json`` beside this module)."""
    return settings_from_json(resources.files("assistant.pack").joinpath("settings.json").read_text("utf-8"))


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
        chunk_points=data["points"]["chunk"],
        learned_points=data["points"]["learned"],
        alpha=data["alpha"],
        pairs=data["pairs"],
        cue_alpha=data["cue_alpha"],
        steps=StepSettings(**data["steps"]),
        decision=data["decision"],
    )
