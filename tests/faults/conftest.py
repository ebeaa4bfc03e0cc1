"""Faults are met through the command."""

from __future__ import annotations

from tests.cli.conftest import _own_places, run

__all__ = ["_own_places", "run"]
