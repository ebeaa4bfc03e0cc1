"""How long steps tell to wait."""

from __future__ import annotations

import pytest

from assistant.visiting.waits import waiting_seconds


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("Wait ten minutes until the smell has gone.", 600),
        ("Watch the display for half a minute. Pass: right input.", 30),
        ("Watch the charging sign for a minute, hands off the lead.", 60),
        ("Feel the case after ten minutes of charging.", 600),
        ("Disconnect the pad for 10 seconds.", 10),
        ("Wait at least 2 hours.", 7200),
        ("Wait for about half an hour.", 1800),
        ("Switch off for one minute and wait for two hours.", 60),
        ("If there was no fire, stand watch for thirty minutes. Heat can return.", 1800),
    ],
)
def test_a_wait_is_found(text: str, seconds: int) -> None:
    assert waiting_seconds(text) == seconds


@pytest.mark.parametrize(
    "text",
    [
        "Set the on time to 15 minutes before the store opens.",
        "The charging sign appears within a minute.",
        "Look for a second label inside the cabinet door.",
        "Ask a second person to hold the display with both hands.",
        "The disc stops within seconds.",
        "Look at both sticks of the pad.",
        "",
    ],
)
def test_what_is_no_wait(text: str) -> None:
    assert waiting_seconds(text) is None
