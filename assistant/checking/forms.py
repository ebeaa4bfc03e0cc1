"""The forms of English words: what a verb is in a command, with -ing and after "be", and the plural of a noun."""

from __future__ import annotations

import re
from collections.abc import Iterable

__all__ = ["one_of", "participles", "plurals", "verb_forms"]

_IRREGULAR = {
    "bend": "bent",
    "break": "broken",
    "bring": "brought",
    "cut": "cut",
    "draw": "drawn",
    "feed": "fed",
    "fit": "fitted",
    "freeze": "frozen",
    "get": "got",
    "give": "given",
    "grind": "ground",
    "hide": "hidden",
    "hold": "held",
    "keep": "kept",
    "lay": "laid",
    "leave": "left",
    "put": "put",
    "run": "run",
    "set": "set",
    "shut": "shut",
    "split": "split",
    "spread": "spread",
    "stick": "stuck",
    "take": "taken",
    "tear": "torn",
    "wind": "wound",
}
_DOUBLED = re.compile(r"(?:^|[^aeiou])[aeiou][bdgklmnprtz]$")
_HISSING = re.compile(r"(?:s|x|z|ch|sh)$")


def verb_forms(verb: str) -> tuple[str, ...]:
    """Return the verb as a command and with -ing; of two spellings both.

    >>> verb_forms("tape"), verb_forms("tie"), verb_forms("pin")
    (('tape', 'taping'), ('tie', 'tying'), ('pin', 'pining', 'pinning'))
    """
    if verb.endswith("ie"):
        return verb, f"{verb[:-2]}ying"
    if verb.endswith("e") and not verb.endswith(("ee", "oe", "ye")):
        return verb, f"{verb[:-1]}ing"
    doubled = (f"{verb}{verb[-1]}ing",) if _DOUBLED.search(verb) else ()
    return verb, f"{verb}ing", *doubled


def participles(verb: str) -> tuple[str, ...]:
    """Return what stands after "can be".

    >>> participles("tape"), participles("pry"), participles("hold")
    (('taped',), ('pried',), ('held',))
    """
    if verb in _IRREGULAR:
        return (_IRREGULAR[verb],)
    if verb.endswith("e"):
        return (f"{verb}d",)
    if re.search(r"[^aeiou]y$", verb):
        return (f"{verb[:-1]}ied",)
    doubled = (f"{verb}{verb[-1]}ed",) if _DOUBLED.search(verb) else ()
    return f"{verb}ed", *doubled


def plurals(noun: str) -> tuple[str, ...]:
    """Return the noun and its regular plural.

    >>> plurals("battery"), plurals("fuse"), plurals("switch")
    (('battery', 'batteries'), ('fuse', 'fuses'), ('switch', 'switches'))
    """
    if re.search(r"[^aeiou]y$", noun):
        return noun, f"{noun[:-1]}ies"
    return noun, f"{noun}es" if _HISSING.search(noun) else f"{noun}s"


def one_of(words: Iterable[str]) -> str:
    """Return the pattern of any of ``words``, the longest first."""
    return "|".join(re.escape(word) for word in sorted(set(words), key=lambda word: (-len(word), word)))
