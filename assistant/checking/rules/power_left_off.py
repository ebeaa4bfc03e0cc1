"""C206: no way through a note leaves the station without power."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.power import power_of
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    """Yield the steps with which a note ends, or is left, without power; `Power` says what words it knows."""
    power = power_of(book)
    for note in book.corpus.notes:
        told: dict[int, str] = {}
        for way in power.left_off(note):
            title = power.graph.notes[way.to.note].title
            told.setdefault(way.start.step, "the work ends" if way.kind == "end" else f'the work leaves for "{title}"')
        for n, what in told.items():
            yield at_step(note, note.steps[n - 1], f"{what} with step {n} while the station is without power")


RULE = Rule(
    code="C206",
    name="power-comes-back",
    severity="warning",
    summary="No way through a note leaves the station without power, unless it is taken out of service. Finds wording.",
    reason="A station that stays unplugged is found dead by the next rep, and nobody knows why.",
    source="common practice",
    good="2. Unplug the station at the outlet.\n3. Dry the shelf.\n4. Plug the station in.",
    bad="2. Unplug the station at the outlet.\n3. Dry the shelf.\n"
    "   - If it is dry: the work is done.\n   - If not: go to step 2.",
    find=_find,
    across=True,
    needs="power",
)
