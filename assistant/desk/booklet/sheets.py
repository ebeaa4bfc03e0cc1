"""Which notes a booklet holds, in what order, and what stands on each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from assistant.answering.compose import named_contacts
from assistant.errors import UsageError
from assistant.languages import said, to_say
from assistant.model import Contact, Corpus, Note, SafetyMessage, Trade
from assistant.notes.signing import State, state_of
from assistant.webpage.templates import data_uri

__all__ = [
    "Choice",
    "Entry",
    "Other",
    "Sheet",
    "ShownFigure",
    "ShownStep",
    "by_area",
    "chosen_notes",
    "index_of",
    "sheets_of",
]

_ANY = "all"
_FOOT = to_say("{id}, revision {revision}, reviewed {day}")
_FEET: dict[State, str] = {
    "signed": to_say("{id}, revision {revision}, reviewed {day}, safety signed"),
    "stale": to_say("{id}, revision {revision}, reviewed {day}, safety stale"),
    "unsigned": to_say("{id}, revision {revision}, reviewed {day}, safety unsigned"),
}


class Choice(NamedTuple):
    """A choice under a step; it may lead to a ``note``, whose ``sheet`` is None where the booklet does not hold it."""

    text: str
    note: str | None
    sheet: Sheet | None


class Other(NamedTuple):
    """Another note that a note names; its ``sheet`` is None where the booklet does not hold it."""

    title: str
    sheet: Sheet | None


class ShownFigure(NamedTuple):
    """A picture as the page has it written in itself, and the words for whoever does not see it."""

    address: str
    alt: str


class ShownStep(NamedTuple):
    """A step with the safety messages that stand before it, and the pictures under it."""

    n: int
    text: str
    messages: tuple[SafetyMessage, ...]
    figures: tuple[ShownFigure, ...]
    choices: tuple[Choice, ...]


class Sheet(NamedTuple):
    """One note of a booklet; ``number`` counts from 1, ``begins`` tells whether it begins a page."""

    number: int
    note: Note
    begins: bool
    action: str
    stations: str
    contacts: tuple[Contact, ...]
    steps: tuple[ShownStep, ...] = ()
    before: tuple[ShownFigure, ...] = ()
    on_failure: tuple[Other, ...] = ()
    near: tuple[Other, ...] = ()

    @property
    def anchor(self) -> str:
        """What links within the booklet lead to."""
        return f"n{self.number}"

    @property
    def foot(self) -> str:
        """Which note this is, as it stood when it was printed."""
        note = self.note
        told = _FEET[state_of(note)] if note.safety else _FOOT
        return said(told, id=note.id, revision=note.revision, day=note.reviewed)


class Entry(NamedTuple):
    """A line of the index."""

    text: str
    sheets: tuple[Sheet, ...]


def chosen_notes(
    corpus: Corpus, ids: Sequence[str] = (), areas: Collection[str] = (), stations: Collection[str] = ()
) -> list[Note]:
    """Return the notes with these ids, of these areas and for these kinds of station, in the order of the areas.

    Where a list is empty it asks for nothing; a note for any station is for each kind.

    Raises
    ------
    UsageError
        If a note, an area or a kind of station is not known, or no note is left.
    """
    trade = corpus.trade
    known = {note.id for note in corpus.notes}
    asked = (("note", ids, known), ("area", areas, trade.areas), ("station", stations, trade.stations))
    for what, named, held in asked:
        if unknown := sorted(set(named) - set(held)):
            raise UsageError(f"no {what} {', '.join(unknown)}")
    order = {area: place for place, area in enumerate(trade.areas)}
    found = [
        note
        for note in corpus.notes
        if (not ids or note.id in ids)
        and (not areas or _area(note) in areas)
        and (not stations or not {_ANY, *stations}.isdisjoint(note.station))
    ]
    if not found:
        raise UsageError("no note is all of that")
    return sorted(found, key=lambda note: (order[_area(note)], note.id))


def sheets_of(notes: Sequence[Note], corpus: Corpus, per_page: int = 1) -> list[Sheet]:
    """Return the sheets of a booklet of notes of a corpus; every ``per_page``-th note begins a page."""
    trade = corpus.trade
    bare = {
        note.id: Sheet(
            number,
            note,
            (number - 1) % per_page == 0,
            trade.actions[note.action],
            ", ".join(trade.stations[kind] for kind in note.station),
            named_contacts(note, trade),
        )
        for number, note in enumerate(notes, start=1)
    }
    titles = {note.id: note.title for note in corpus.notes}

    def others(ids: Iterable[str]) -> tuple[Other, ...]:
        return tuple(Other(titles[other], bare.get(other)) for other in ids if other in titles)

    return [
        sheet._replace(
            steps=tuple(_steps(sheet.note, bare, corpus.figures)),
            before=_figures(sheet.note, 0, corpus.figures),
            on_failure=others(sheet.note.on_failure),
            near=others(other for other in sheet.note.see_also if other not in sheet.note.on_failure),
        )
        for sheet in bare.values()
    ]


def by_area(sheets: Iterable[Sheet], trade: Trade) -> list[tuple[str, list[Sheet]]]:
    """Return the sheets of each area under the word that a rep reads."""
    return [(trade.areas[area], list(held)) for area, held in groupby(sheets, key=lambda sheet: _area(sheet.note))]


def index_of(sheets: Iterable[Sheet], field: str, most: int) -> tuple[list[Entry], int]:
    """Return an index of the phrases' ``things`` or ``troubles``, and how many it leaves out.

    Parameters
    ----------
    most
        What stands in more notes than that leads to none, and is left out.
    """
    held: dict[str, dict[int, Sheet]] = defaultdict(dict)
    shown: dict[str, str] = {}
    for sheet in sheets:
        for text in getattr(sheet.note.phrases, field):
            held[text.casefold()][sheet.number] = sheet
            shown.setdefault(text.casefold(), text)
    entries = [Entry(shown[key], tuple(found.values())) for key, found in sorted(held.items()) if len(found) <= most]
    return entries, len(held) - len(entries)


def _steps(note: Note, bare: Mapping[str, Sheet], drawn: Mapping[str, bytes]) -> Iterator[ShownStep]:
    for step in note.steps:
        messages = tuple(message for message in note.safety if message.before_step == step.n)
        choices = tuple(Choice(branch.text, branch.note, bare.get(branch.note or "")) for branch in step.branches)
        yield ShownStep(step.n, step.text, messages, _figures(note, step.n, drawn), choices)


def _figures(note: Note, step: int, drawn: Mapping[str, bytes]) -> tuple[ShownFigure, ...]:
    return tuple(
        ShownFigure(data_uri(figure.name, drawn[figure.digest]), figure.alt)
        for figure in note.figures
        if figure.step == step
    )


def _area(note: Note) -> str:
    return note.id.partition("-")[0]
