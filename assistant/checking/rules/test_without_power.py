"""C207: nothing is tried on a station without power."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.power import steps_under
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, clip

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    """Yield the tests that some way reaches with the power off."""
    for power, note, step in steps_under(book, "off"):
        if power.is_test(step.text) and not power.turns_on(step.text):
            yield at_step(note, step, f"a way leads here with the power off: {clip(step.text)}")


RULE = Rule(
    code="C207",
    name="test-with-power",
    severity="warning",
    summary="Before a step that plays the demo or presses the power button, the power is back. Finds wording.",
    reason="A test on a dead station fails, and a good part is exchanged.",
    source="common practice",
    good="2. Unplug the station at the outlet.\n3. Plug the station in.\n4. Press the power button once.",
    bad="2. Press the power button once.\n   - If the lamp is dark: go to step 3.\n   - If not: go to step 4.\n"
    "3. Unplug the station at the outlet.\n   - If it is dry: go to step 2.\n   - If not: go to step 4.\n"
    "4. Plug the station in.",
    find=_find,
    across=True,
    needs="power",
)
