"""What tells the notes of a choice apart: the station, the part, or what is seen."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.languages import said
from assistant.model import Note, Option, Trade

__all__ = ["tell_apart", "which_one"]


def tell_apart(notes: Sequence[Note], trade: Trade) -> tuple[Option, ...]:
    """Return the options of a choice, each with the word of the trade that only some of them share.

    The area where the areas differ, else the station where the stations differ, else nothing: then the titles tell.
    """
    areas = [trade.areas.get(note.id.split("-")[0], "") for note in notes]
    stations = [", ".join(trade.stations.get(station, station) for station in note.station) for note in notes]
    words = next((found for found in (areas, stations) if len(set(found)) > 1), [""] * len(notes))
    return tuple(Option(note.id, note.title, word) for note, word in zip(notes, words, strict=True))


def which_one(options: Sequence[Option]) -> str:
    """Return the question that a choice asks."""
    words = list(dict.fromkeys(option.apart for option in options if option.apart))
    if len(words) > 1:
        first = ", ".join(words[:-1])
        return said("{n} notes may fit. Which is it: {words} or {last}?", n=len(options), words=first, last=words[-1])
    if len(options) == 1:
        return said("One note may fit. Does it say what you see?")
    return said("{n} notes may fit. Which one says what you see?", n=len(options))
