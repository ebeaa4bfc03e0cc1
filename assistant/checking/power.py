"""Whether a station has power at each step of a note, as far as the words of its steps tell."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Literal

from assistant.checking.graph import Graph, Place, Way, build
from assistant.checking.rule import Book
from assistant.checking.said import has
from assistant.checking.trade_words import PowerWords, TradeWords, words_of
from assistant.model import ON_SAFETY, Note, Step

__all__ = ["Power", "State", "is_exempt", "power_of", "steps_under"]

State = Literal["on", "off", "kept"]
"""``kept`` is off, and the step says that it stays so."""
_WITHDRAW = "withdraw"
_DENIED = r"\b(?:not|no|none|nothing|neither|never|still|cannot)\b"
_SENT = r"\banother note sent you\b"
_MENTIONED = re.compile(r"^(?:if|when|where|unless)\b[^,:]*\b(?:un)?plug[^,:]*[,:]\s*", re.IGNORECASE)


def is_exempt(note: Note) -> bool:
    """Tell whether a note may leave a station without power: one on safety, or one that takes it out of service."""
    return note.id.startswith(ON_SAFETY) or note.action == _WITHDRAW


class Power:
    """The states of power in which each place of a graph can be reached.

    A station has power when a note begins, unless "Before you start" says otherwise. Off are "unplug" and "isolate"
    with a device that hangs on the mains, "pull out every plug of" one, "switch off at the outlet", anything unplugged
    "at the outlet", "with the ... unplugged", and doing the note that isolates, in a step or a choice. On are "plug the
    ... in", "plug it in again", "restore the power", "with the power restored", "with the ... plugged in", "switch it
    on at the outlet", "switched on" and "off for one minute and on again". "Keep it unplugged" leaves it off on
    purpose, and so does a note on the way that withdraws. Any other note on the way changes the power as its own ways
    to its end do.

    A button or a menu switches no power off, and what is no device of the list is no station. Words that are not of
    these kinds are not understood, and a device with a supply of its own is not told from the rest of its station.

    Parameters
    ----------
    graph
        All notes.
    words
        Name the devices, the note that isolates, and what else is said of power; without them nothing has any.
    """

    def __init__(self, graph: Graph, words: TradeWords) -> None:
        self.graph = graph
        self.isolating = words.isolating
        self.words = words.power or PowerWords()
        known = words.power is not None
        self._patterns = _patterns(self.words.devices, self.words.takes, self.words.gives) if known else {}
        isolating = graph.notes.get(words.isolating)
        self._isolating = rf'\bdo "{re.escape(isolating.title)}"' if isolating else ""
        self._reached: dict[str, Mapping[int, frozenset[State]]] = {}
        self._ends: dict[tuple[str, State], State] = {}

    def change(self, text: str) -> State | None:
        """Return what a text leaves behind, None where it says nothing of power."""
        found = list(self._changes(_MENTIONED.sub("", text)))
        return max(found)[1] if found else None

    def turns_on(self, text: str) -> bool:
        """Tell whether a text brings the power back at any place."""
        return any(state == "on" for _, state in self._changes(_MENTIONED.sub("", text)))

    def turns_off(self, text: str) -> bool:
        """Tell whether a text takes the power at any place."""
        return any(state != "on" for _, state in self._changes(text))

    def is_test(self, text: str) -> bool:
        """Tell whether a step is a test that a station without power cannot pass."""
        return has(text, self.words.test) and not has(text, self.words.no_test)

    def opens(self, text: str) -> bool:
        """Tell whether a step opens what is opened without power alone."""
        return has(text, self.words.opens)

    def reaches_inside(self, text: str) -> bool:
        """Tell whether a step reaches behind or inside a device."""
        return has(text, self.words.inside)

    def brings_back(self, note: Note) -> bool:
        """Tell whether a note has a step that brings the power back."""
        return any(self.turns_on(step.text) for step in note.steps)

    def _changes(self, text: str) -> Iterator[tuple[int, State]]:
        for state, pattern in self._patterns.items():
            yield from ((match.end(), state) for match in pattern.finditer(text))
        if self._isolating:
            yield from ((found.end(), "off") for found in re.finditer(self._isolating, text, re.IGNORECASE))

    def reached(self, note: Note) -> Mapping[int, frozenset[State]]:
        """Return the states in which each step of a note can begin; the end is one more than the last step."""
        if note.id not in self._reached:
            told = [state for text in note.before_you_start if (state := self.change(text))]
            self._reached[note.id] = self._walk(note, told[-1] if told else "on", ())
        return self._reached[note.id]

    def left_off(self, note: Note) -> Iterator[Way]:
        """Yield the ways on which a note ends with the power off, or is left for one that does not bring it back.

        A step that says to leave the station unplugged means it so; notes of `is_exempt` may be left and gone to.
        """
        reached = self.reached(note)
        for step in () if is_exempt(note) else note.steps:
            off = "off" in {self.change(step.text) or state for state in reached.get(step.n, ())}
            for way in self._ways(note, step.n) if off else ():
                target = self.graph.notes[way.to.note]
                if (way.kind == "end" and not has(way.condition, _SENT)) or (
                    way.kind == "go" and not is_exempt(target) and not self.brings_back(target)
                ):
                    yield way

    def _ways(self, note: Note, n: int) -> Iterator[Way]:
        """Yield the ways from a step, without that past its choices where these leave nothing over.

        So they do where there are two or more, and one says "not" or "no" or the like, or leads to the step after it,
        or the step is the last.
        """
        step = note.steps[n - 1]
        rest = any(branch.step == n + 1 or has(branch.condition, _DENIED) for branch in step.branches)
        whole = len(step.branches) > 1 and (rest or n == len(note.steps))
        yield from (way for way in self.graph.ways.get(Place(note.id, n), ()) if way.condition or not whole)

    def _walk(self, note: Note, start: State, doing: tuple[str, ...]) -> Mapping[int, frozenset[State]]:
        reached: dict[int, frozenset[State]] = {1: frozenset({start})}
        waiting = [(1, start)]
        while waiting:
            n, state = waiting.pop()
            if n > len(note.steps):
                continue
            after = self.change(note.steps[n - 1].text) or state
            for way in self._ways(note, n):
                if way.kind == "go":
                    continue
                behind = self._behind(way, after, (*doing, note.id)) if way.kind == "do" else after
                to = (way.back or way.to).step
                if behind not in reached.get(to, frozenset()):
                    reached[to] = reached.get(to, frozenset()) | {behind}
                    waiting.append((to, behind))
        return reached

    def _behind(self, way: Way, state: State, doing: tuple[str, ...]) -> State:
        """Return the state behind a note that is done on the way; an end of it without power is its own fault."""
        if way.to.note == self.isolating:
            return "off"
        if way.to.note in doing:
            return state
        key = way.to.note, state
        if key not in self._ends:
            note = self.graph.notes[way.to.note]
            ends = self._walk(note, state, doing).get(len(note.steps) + 1, frozenset({state}))
            off: State = "kept" if is_exempt(note) or "kept" in ends else "off"
            self._ends[key] = "on" if "on" in ends else off
        return self._ends[key]


def power_of(book: Book) -> Power:
    """Return where the notes of a book have power."""
    return Power(build(book.corpus), words_of(book))


def steps_under(book: Book, state: State) -> Iterator[tuple[Power, Note, Step]]:
    """Yield the steps that some way reaches in a state, exempt notes left out; `Power` says what words it knows."""
    power = power_of(book)
    for note in book.corpus.notes:
        reached = {} if is_exempt(note) else power.reached(note)
        yield from ((power, note, step) for step in note.steps if state in reached.get(step.n, ()))


@lru_cache(maxsize=8)
def _patterns(devices: tuple[str, ...], takes: str, gives: str) -> Mapping[State, re.Pattern[str]]:
    """Return what leaves each state behind; before the name of a device there may be two other words."""
    named = "|".join(map(re.escape, sorted(devices, key=lambda name: (-len(name), name))))
    thing = rf"(?:the|its|a|every|each|all parts of the)(?: [a-z-]+(?:'s)?){{0,2}}? (?:{named})\b(?!')"
    outlet = r"at (?:the|its|a) (?:[a-z-]+ ){0,2}?(?:outlet|wall|panel)"
    off = (
        rf"\bunplug {thing}\b(?! (?:lead|plug|remote))|\bunplug (?:it|everything|all)\b|\bunplug\b[^.:]*\b{outlet}|"
        rf"\bisolate\b|"
        rf"\bswitch(?:ed)? (?:[^.:]*?)\boff\b[^.:]*\b{outlet}|\bswitch off {outlet}|"
        rf"\bpull (?:out )?(?:every|the|each|its)(?: cool, dry, whole)? plugs? (?:out )?"
        rf"(?:of {thing}|by (?:its|the) body)|"
        rf"{takes}|"
        rf"\bto pull it out\b|\bwith {thing} unplugged|\bwith the power off\b"
    )
    kept = rf"\b(?:leave|keep|stays?|stands?) (?:{thing} )?unplugged"
    on = (
        rf"\bplug {thing}\b[^.:]*? in\b|\bplug (?:it|everything|all)\b[^.:]*? in\b|"
        rf"\brestore (?:the )?power\b|\b(?:with|once|when) (?:the )?power (?:is )?(?:restored|back|on)\b|\bpower on,|"
        rf"\b{thing} plugged in|{gives}|\bswitched on\b|"
        rf"\bswitch (?:[^.:]*?)\bon\b[^.:]*\b{outlet}|\bplug {thing} (?:straight )?into the wall|"
        rf"\band (?:then )?on again\b|\bplug [^.:]* straight into the wall outlet"
    )
    named_states: dict[State, str] = {"off": off, "kept": kept, "on": on}
    return {state: re.compile(pattern, re.IGNORECASE) for state, pattern in named_states.items()}
