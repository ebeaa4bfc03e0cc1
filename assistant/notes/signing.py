"""Who signed that a note is safe, and whether the note is still the text that was signed."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator

from assistant.languages import said
from assistant.model import Note
from assistant.values import Literal, NamedTuple

__all__ = ["SignOffs", "State", "has_hazard", "note_digest", "safety_line", "sign_offs", "signed", "state_of"]

State = Literal["signed", "stale", "unsigned"]
_REVIEW = "safety_review"
_NOT_SIGNED_FOR = (_REVIEW, "reviewed", "status")
_FIELD = r"([a-z_]+):"
_DIGITS = 12


class SignOffs(NamedTuple):
    """How many notes have a hazard, and how many of them are signed, signed in an older text, or not signed."""

    notes: int
    signed: int
    stale: int
    unsigned: int

    def __str__(self) -> str:
        from assistant.wording import counted

        return (
            f"{counted(self.notes, 'note')} with a hazard: {self.signed} signed, {self.stale} stale, "
            f"{self.unsigned} not signed by a safety officer"
        )


def has_hazard(note: Note) -> bool:
    """Tell whether a note warns of anything."""
    return bool(note.safety or note.hazards)


def state_of(note: Note) -> State:
    """Tell whether somebody signed a note in the text that it has now, in an older one, or nobody did."""
    review = note.safety_review
    if review is None or not review.by:
        return "unsigned"
    return "signed" if review.fits else "stale"


def sign_offs(notes: Iterable[Note]) -> SignOffs:
    """Count the notes with a hazard."""
    states = Counter(state_of(note) for note in notes if has_hazard(note))
    return SignOffs(states.total(), states["signed"], states["stale"], states["unsigned"])


def safety_line(note: Note) -> str:
    """Say who signed a note, in words for the rep; empty where the note has no hazard."""
    if not has_hazard(note):
        return ""
    review, state = note.safety_review, state_of(note)
    if review is None or state == "unsigned":
        return said("Safety: not signed by a safety officer")
    if state == "stale":
        return said(
            "Safety: not signed by a safety officer since it was changed; before that by {name}, {day}",
            name=review.by,
            day=review.on,
        )
    return said("Safety: signed by {name}, {day}", name=review.by, day=review.on)


def note_digest(text: str, figures: Iterable[str] = ()) -> str:
    """Return 12 hexadecimal digits of the SHA-256 of a note's file, and of the digests of its pictures.

    Left out are the field of the signature itself, the date of the last look, whether it is a draft, and blanks at the
    ends of lines.
    """
    import hashlib

    kept = "\n".join([*(line.rstrip() for line, field in _fielded(text) if field not in _NOT_SIGNED_FOR), *figures])
    return hashlib.sha256(kept.encode("utf-8")).hexdigest()[:_DIGITS]


def signed(text: str, by: str, on: str, revision: int, figures: Iterable[str] = ()) -> str:
    """Return the text of a note's file with the signature in its front matter; ``figures`` are those of the digest."""
    import json

    name = json.dumps(by, ensure_ascii=False)
    value = f'{{by: {name}, "on": {on}, revision: {revision}, digest: "{note_digest(text, figures)}"}}'
    kept = [line for line, field in _fielded(text) if field != _REVIEW]
    end = kept.index("---", 1)
    return "\n".join([*kept[:end], f"{_REVIEW}: {value}", *kept[end:]])


def _fielded(text: str) -> Iterator[tuple[str, str]]:
    """Yield every line with the field of the front matter that it belongs to, empty below the front matter."""
    field, inside = "", False
    for number, raw in enumerate(text.removeprefix("\ufeff").split("\n")):
        line = raw.removesuffix("\r")
        if line.strip() == "---" and (number == 0 or inside):
            field, inside = "", number == 0
            yield "---", field
            continue
        begins = re.match(_FIELD, line) if inside else None
        field = begins[1] if begins else field
        yield line, field
