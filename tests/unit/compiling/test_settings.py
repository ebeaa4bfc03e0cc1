"""Settings that a pack is compiled with."""

from __future__ import annotations

import pytest

from assistant.compiling.settings import default_settings, settings_from_json
from assistant.pack.format import FIELDS


def test_settings_that_ship_can_be_read() -> None:
    settings = default_settings()
    assert set(settings.bm25f.weight) == set(settings.bm25f.b) == set(FIELDS)
    assert settings.linear.inverse_penalty > 0
    assert settings.linear.least_weight > 0
    assert {"bm25f_share", "bars", "harm", "turn", "labelled"} <= set(settings.decision)


def test_what_is_no_settings_is_refused() -> None:
    with pytest.raises((ValueError, KeyError, TypeError)):
        settings_from_json("{}")
    with pytest.raises(ValueError, match="Expecting"):
        settings_from_json("")
