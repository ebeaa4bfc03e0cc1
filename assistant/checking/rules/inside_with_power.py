"""C208: hands go inside or behind a station only when its power is off."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.power import steps_under
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, clip

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    """Yield the steps at lids and leads that some way reaches with the power on."""
    for power, note, step in steps_under(book, "on"):
        opens = power.opens(step.text)
        if (opens or power.reaches_inside(step.text)) and not power.turns_off(step.text):
            what = "opens a device" if opens else "reaches behind or inside, or handles a lead there,"
            yield at_step(note, step, f"{what} while a way leads here with the power on: {clip(step.text)}")


RULE = Rule(
    code="C208",
    name="no-power-inside",
    severity="error",
    summary="The lid of a drive is lifted, and a lead behind a device handled, only without power. Finds wording.",
    reason="A drive can turn or shine its laser under the lid, and a damaged lead or plug can be live.",
    source="29 CFR 1910.147(a)(2)(iii)(A) (US), an unplugged plug in one's own control (restated, from memory)",
    good="2. Unplug the station at the outlet.\n3. Lift the lid of the drive.\n4. Plug the station in.",
    bad="2. Lift the lid of the drive.",
    find=_find,
    across=True,
    needs="power",
)
