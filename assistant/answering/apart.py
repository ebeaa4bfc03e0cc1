"""What tells the notes of a choice apart: the station, the part, or what is seen."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.model import Note, Option

__all__ = ["tell_apart", "which_one"]

_STATION_WORDS = {
    "all": "any station",
    "disc": "console",
    "pad": "pad",
    "hand": "handheld",
    "screen": "display",
    "vr": "headset",
}
_PART_WORDS = {
    "cab": "cabinet",
    "console": "console",
    "disc": "disc or drive",
    "hand": "handheld",
    "net": "network",
    "pad": "pad",
    "parts": "spare parts",
    "power": "power",
    "safety": "safety",
    "screen": "picture",
    "sound": "sound",
    "visit": "visit",
    "vr": "headset",
}


def tell_apart(notes: Sequence[Note]) -> tuple[Option, ...]:
    """Return the options of a choice, each with the word that only some of them share.

    The part where the parts differ, else the station where the stations differ, else nothing: then the titles tell.
    """
    parts = [_PART_WORDS.get(note.id.split("-")[0], "") for note in notes]
    stations = [", ".join(_STATION_WORDS[station] for station in note.station) for note in notes]
    words = next((found for found in (parts, stations) if len(set(found)) > 1), [""] * len(notes))
    return tuple(Option(note.id, note.title, word) for note, word in zip(notes, words, strict=True))


def which_one(options: Sequence[Option]) -> str:
    """Return the question that a choice asks."""
    words = list(dict.fromkeys(option.apart for option in options if option.apart))
    if len(words) > 1:
        return f"{len(options)} notes may fit. Which is it: {', '.join(words[:-1])} or {words[-1]}?"
    return f"{len(options)} notes may fit. Which one says what you see?"
