"""C209: the same act is done with the same power in every note."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.power import is_exempt, power_of
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, has

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    """Yield the steps that do under power what another note does without; `Power` says what words it knows."""
    power = power_of(book)
    notes = [note for note in book.corpus.notes if not is_exempt(note)]
    for act, pattern in power.words.same.items():
        done = [
            (note, step, power.reached(note).get(step.n, frozenset()) if not power.turns_off(step.text) else {"off"})
            for note in notes
            for step in note.steps
            if has(step.text, pattern)
        ]
        dead = sorted({note.id for note, _, states in done if states and "on" not in states})
        for note, step, states in done:
            if dead and "on" in states:
                yield at_step(note, step, f"{act} under power; without power in {', '.join(dead[:3])}")


RULE = Rule(
    code="C209",
    name="same-act-same-power",
    severity="warning",
    summary="What one note does to a station without power, no other note does under power. Finds wording.",
    reason="A rep who has seen it done both ways takes the quicker one.",
    source="common practice",
    good="2. Blow the vents out with the air puffer.",
    bad="2. Blow the vents out with the air puffer.\n3. Unplug the station at the outlet.\n"
    "4. Blow the grilles out with the air puffer.\n5. Plug the station in.",
    find=_find,
    across=True,
    needs="power",
)
