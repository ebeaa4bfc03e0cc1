"""Finding a sentence that tells a rep to do a forbidden act, by what is done to what.

An act of the trade has verbs and things. It is found where one of its verbs stands as an instruction, not as what
another does or what a condition speaks of, and where the object of that verb ends in one of its things: "open the
lid" and "open it", but not "open the menu of the lid" nor "open the lid menu".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from assistant.checking.advice import NEGATION, negated
from assistant.checking.forms import one_of, participles, plurals, verb_forms
from assistant.checking.said import sentences
from assistant.checking.small_words import (
    AGAINST,
    ANYTHING,
    ASIDE,
    CAN_BE,
    CLAUSE,
    DESCRIBED,
    ENDED,
    FEW,
    IT,
    MISSING,
    PARTICLES,
    is_command,
)
from assistant.model import Act, Forbidden, Trade

__all__ = ["ActFinder", "finder_of"]

_QUOTED = re.compile(r'"[^"]*"')
_WORD = re.compile(r"[a-z0-9][\w'-]*")
_END = re.compile(ENDED)


class _Way(NamedTuple):
    """One way to say an act: the words of the verb, those before and those after its object.

    ``plain`` where it is found as it stands and not as a command alone, ``passive`` where it stands after "can be".
    """

    verb: str
    link: str
    after: str
    plain: bool
    passive: bool


class _Known(NamedTuple):
    """An act as it is looked for."""

    act: Act
    ways: Mapping[str, tuple[_Way, ...]]
    thing: re.Pattern[str] | None
    named: re.Pattern[str] | None
    owner: re.Pattern[str] | None
    of: re.Pattern[str] | None
    marks: re.Pattern[str] | None
    unless: re.Pattern[str] | None
    needed: tuple[frozenset[str], ...]


class _Read(NamedTuple):
    """A sentence in small letters, those of the same text before it, and the words of all of them."""

    text: str
    before: str
    words: frozenset[str]


class ActFinder:
    """The forbidden acts of a trade, ready to be looked for."""

    def __init__(self, forbidden: Forbidden, names: Mapping[str, tuple[str, ...]]) -> None:
        self._known = tuple(_known(act, names) for act in forbidden.acts)
        self._first = frozenset(word for known in self._known for word in known.ways)
        self._harmless = _any_word(forbidden.harmless)
        self._idioms = _any_word(forbidden.idioms)
        self._others = _any_word(forbidden.others)

    def found(self, text: str) -> tuple[tuple[Act, str], ...]:
        """Return every act that ``text`` tells to do, with the sentence that does.

        What "it" stands for may have been named in an earlier sentence of the text.
        """
        found = []
        before = ""
        for sentence in sentences(text):
            text = self._plain(sentence)
            read = _Read(text, before, frozenset(_WORD.findall(before + text)))
            found += [(act, sentence) for act in self._acts_in(read)]
            before += f"{text} "
        return tuple(found)

    def _plain(self, sentence: str) -> str:
        text = _QUOTED.sub("xxx", sentence).lower().replace("\u2019", "'")
        text = " ".join(text.split()).replace(" on to ", " onto ")
        text = self._idioms.sub("ok", text) if self._idioms else text
        return self._harmless.sub("xxx", text) if self._harmless else text

    def _acts_in(self, read: _Read) -> Iterator[Act]:
        hits = [match for match in _WORD.finditer(read.text) if match[0] in self._first]
        for known in self._known:
            if not any(words.isdisjoint(read.words) for words in known.needed) and any(
                self._is_told(read.text, hit, way) and _done(known, read, hit, way)
                for hit in hits
                for way in known.ways.get(hit[0], ())
            ):
                yield known.act

    def _is_told(self, text: str, hit: re.Match[str], way: _Way) -> bool:
        lead = text[: hit.start()]
        if way.passive:
            told = CAN_BE.search(lead) is not None
        else:
            told = way.plain or is_command(lead, hit[0], text[hit.end() :])
        if not told or ASIDE.search(lead) or (hit[0].endswith("ing") and AGAINST.search(lead)):
            return False
        return not (self._others and self._others.search(CLAUSE.split(lead)[-1]))


def _done(known: _Known, read: _Read, hit: re.Match[str], way: _Way) -> bool:
    text = read.text
    verb = _compiled(way.verb).match(text, hit.start())
    return verb is not None and any(
        not NEGATION.search(text[verb.end() : start])
        and not negated(text.capitalize(), hit.start(), end)
        and _qualified(known, text, hit.start(), start, end)
        for start, end in _objects(known, read, verb, way)
    )


def _objects(known: _Known, read: _Read, verb: re.Match[str], way: _Way) -> Iterator[tuple[int, int]]:
    """Yield where each thing that the act is done to begins, and where the words of the act end."""
    text = read.text
    places = [verb.end()]
    if way.link:
        places = [
            link.end()
            for link in _compiled(way.link).finditer(text, verb.end() + 1)
            if ANYTHING.fullmatch(text, verb.end(), link.start())
        ]
    if known.thing is None or known.named is None or way.passive:
        if known.thing is None or known.thing.search(text, 0, verb.start()):
            yield from ((place, place) for place in places)
        return
    things = list((known.named if way.after else known.thing).finditer(text, verb.end()))
    things += (it for it in IT.finditer(text, verb.end()) if known.named.search(read.before + text[: it.start()]))
    for thing in things:
        if not any(DESCRIBED.fullmatch(text, place, thing.start()) for place in places):
            continue
        if not way.after:
            yield thing.start(), thing.end()
        else:
            for after in _compiled(way.after).finditer(text, thing.end() + 1):
                if after.start() == thing.end() + 1 or (
                    not way.plain and _END.match(text, thing.end()) and FEW.fullmatch(text, thing.end(), after.start())
                ):
                    yield thing.start(), after.end()


def _qualified(known: _Known, text: str, verb: int, start: int, end: int) -> bool:
    if known.unless and known.unless.search(text, verb):
        return False
    if known.marks and all(MISSING.search(text[: mark.start()]) for mark in known.marks.finditer(text)):
        return False
    if known.of is None or known.owner is None or known.of.search(text, verb, _clause_end(text, end)):
        return True
    if text[:start].endswith("its "):
        return known.owner.search(text, 0, verb) is not None
    return not re.match(r" (?:from|of|off|on)\b", text[end:]) and known.of.search(text, 0, verb) is not None


def _clause_end(text: str, start: int) -> int:
    bound = CLAUSE.search(text, start)
    return len(text[: bound.start()].rstrip()) if bound else len(text)


def _known(act: Act, names: Mapping[str, tuple[str, ...]]) -> _Known:
    things = _all_names(act.things, names)
    thing = one_of(things)
    owner = one_of(_all_names(act.of, names))
    ways: dict[str, list[_Way]] = {}
    for verb in act.verbs:
        for first, way in _ways(verb, bool(thing)):
            ways.setdefault(first, []).append(way)
    return _Known(
        act,
        {first: tuple(listed) for first, listed in ways.items()},
        re.compile(rf"\b(?:{thing}){ENDED}") if thing else None,
        re.compile(rf"\b(?:{thing})\b") if thing else None,
        re.compile(rf"\b(?:{owner})\b") if owner else None,
        re.compile(rf"\b(?:{owner})(?:'s?\b|{ENDED}| (?:[\w-]+ )?(?:{thing})\b)") if owner else None,
        _any_word(act.marks),
        _any_word(act.unless),
        tuple(_first_words(names) for names in (things, act.marks) if names),
    )


def _ways(verb: str, has_thing: bool) -> Iterator[tuple[str, _Way]]:
    """Yield the ways to say a verb, each with its first word.

    ``=`` before it takes it as it stands, ``_`` is the object, ``~`` anything that may stand before the next word.
    """
    plain = verb.startswith("=")
    heads, *rest = verb.removeprefix("=").split()
    orders = [rest if has_thing else _without_object(rest)]
    if has_thing and "_" not in rest:
        orders = [[*rest, "_"]]
        if rest and rest[-1] in PARTICLES:
            orders.append([*rest[:-1], "_", rest[-1]])
    for head in heads.split("/"):
        for order in orders:
            for first in (head,) if plain else verb_forms(head):
                yield first, _way(first, order, plain=plain)
        if has_thing and not plain:
            for first in participles(head):
                yield first, _way(first, [part for part in orders[0] if part != "_"], passive=True)


def _without_object(parts: list[str]) -> list[str]:
    open_ended = ["~" if part == "_" else part for part in parts]
    while open_ended and open_ended[-1] == "~":
        open_ended.pop()
    return open_ended


def _way(first: str, parts: list[str], *, plain: bool = False, passive: bool = False) -> _Way:
    before, after = (parts, []) if "_" not in parts else (parts[: parts.index("_")], parts[parts.index("_") + 1 :])
    link: list[str] = []
    if "~" in before:
        before, link = before[: before.index("~")], before[before.index("~") + 1 :]
    return _Way(_spoken([first, *before]), _spoken(link), _spoken(after), plain, passive)


def _spoken(parts: Iterable[str]) -> str:
    words = " ".join("~" if part == "~" else rf"\b(?:{one_of(part.split('/'))})\b" for part in parts)
    return words.replace("~ ", r"(?:[\w'-]+ ){0,3}?")


_compiled = lru_cache(maxsize=None)(re.compile)


def _first_words(names: Iterable[str]) -> frozenset[str]:
    return frozenset(match[0] for name in names if (match := _WORD.match(name.lower())))


def _any_word(words: Iterable[str]) -> re.Pattern[str] | None:
    return re.compile(rf"(?<![\w-])(?:{one_of(words)})(?![\w-])") if words else None


def _all_names(words: Iterable[str], names: Mapping[str, tuple[str, ...]]) -> set[str]:
    return {form for word in words for name in (word, *names.get(word, ())) for form in plurals(name.lower())}


def finder_of(trade: Trade, forbidden: Forbidden) -> ActFinder:
    """Return what finds the forbidden acts; the tools and parts of the trade are known under their other names too."""
    names = {word: tuple(other.lower() for other in others) for word, others in trade.words.items()}
    for item in (*trade.tools, *trade.parts):
        names[item.name] = (*names.get(item.name, ()), item.plural, *item.other)
    return _finder(forbidden, tuple(names.items()))


@lru_cache(maxsize=4)
def _finder(forbidden: Forbidden, names: tuple[tuple[str, tuple[str, ...]], ...]) -> ActFinder:
    return ActFinder(forbidden, dict(names))
