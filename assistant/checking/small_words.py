"""The small words of English around a verb and its object, and what they say of the two."""

from __future__ import annotations

import re

from assistant.checking.words import COMMANDS

__all__ = [
    "AGAINST",
    "ANYTHING",
    "ASIDE",
    "CAN_BE",
    "CLAUSE",
    "DESCRIBED",
    "ENDED",
    "FEW",
    "IT",
    "MISSING",
    "PARTICLES",
    "is_command",
]

_LINKS = """
    about above across against along around as at behind below beneath beside between by despite down for from
    in inside into near of off on onto out outside over past round since through to toward towards under
    underneath until up upon via with within without
"""
_JOINS = """
    after although and because before but if nor once or so than that then though till unless when where
    whether which while who whose
"""
_SMALL = """
    a again all alone already an another any anyhow anyway apart are away back both can charging clean clear
    close could do does down dry each end even every first flat free full fully further hanging hard has here
    in instead is it itself just later long longer loose lying many may might more must next now off often ok
    on once one only open out outdoors overnight please quick really right running should shut sideways
    slightly some soon standing still straight the them there this tight to today together tomorrow tonight
    too twice two up upside using usually was whole wide will would yet you yourself
"""
_DOES = """
    breaks comes fails feels fits gets gives goes hangs helps holds keeps lasts lets lies looks makes moves
    needs opens saves seems shows sits smells starts stays stops takes tells tries trips works
"""
_PARTICLES = """
    apart away back down in inside loose off on open out over together under up
"""
_MAY_PRECEDE = """
    again also always and better briefly can carefully could either even first help instead just let let's may
    might must never next not now once only or people please quickly rather reps should simply still then to
    try usually we you
"""
_BINDS = """
    a an any anyone are at both by children customers each every for from her his in into is it its my no
    nobody of on our players some somebody someone staff that the their these they this those was which who
    with your
"""
_DETERMINERS = """
    a an any both each every her his its my no our some that the their these this those your
"""
_COMMANDS = "|".join(sorted(COMMANDS))
_NO_OBJECT = rf"(?:{'|'.join([*_LINKS.split(), *_JOINS.split()])})\b"
_CLOSED = "|".join([*_LINKS.split(), *_JOINS.split(), *_SMALL.split(), *_DOES.split()])
_PART_OF = (
    "all|back|bits?|both|bottom|each|edges?|ends?|front|half|halves|inside|lengths?|middle|one|pair|parts?|pieces?|rest|"
    "sides?|some|strands?|top"
)

PARTICLES = frozenset(_PARTICLES.split())
"""What may stand before or after the object of a verb: "take off the lid", "take the lid off"."""
ENDED = rf"(?=$|[^\w' -]| (?:{_CLOSED}|[a-z]+(?:ed|ly))\b)"
"""What stands after the last word of an object: "the lamp is", "the lamp off", but not "the lamp stand"."""
IT = re.compile(rf"\b(?:her|him|it|one|ones|them|these|this){ENDED}")
DESCRIBED = re.compile(
    r" (?:th(?:at|is|ese|ose) )?"
    rf"(?:(?:{_PART_OF}) of |(?:and|or) (?!(?:{_COMMANDS})\b)|"
    rf"(?!{_NO_OBJECT})[\w'-]+(?:,(?= (?!{_NO_OBJECT}|(?:it|you|{_COMMANDS})\b)))? ){{0,6}}"
)
"""What may stand between a verb and the last word of its object: "all four of the long "."""
ANYTHING = re.compile(r" (?:(?!(?:and|so|that|then|where|which|who)\b)[\w'-]+ ){0,7}")
FEW = re.compile(r" (?:(?!(?:and|away|into|then|to)\b)[\w'-]+ ){0,4}")
ASIDE = re.compile(
    r"(?:^|[ ,;:(])(?:although|because|if|since|till|unless|until|when|whenever|where|whether|while|who|before|after) "
    r"(?!you\b|\w+ing\b)[^,;:]*$"
)
"""What stands before a verb that is a condition or the doing of somebody else."""
AGAINST = re.compile(
    r"\b(?:against|avoid|danger of|from|instead of|prevent|refuse|resist|risk of|stop|than)(?: \w+)? $"
)
"""What stands before a verb with -ing that is not to be done."""
CLAUSE = re.compile(r"[,;:] |\b(?:and|but|then) ")
MISSING = re.compile(
    r"\b(?:aren't|bone|completely|fully|instead of|isn't|neither|never|no|nor|not|nothing|quite|rather than|without) "
    r"(?:\w+ ){0,2}$"
)
"""What stands before a word that says what is not so."""
CAN_BE = re.compile(r"\b(?:can|could|may|might|must|should|to)(?: \w+)? be(?: \w+ly)? $")
_PRECEDING = frozenset(_MAY_PRECEDE.split())
_BINDING = frozenset(_BINDS.split())
_DETERMINING = frozenset(_DETERMINERS.split())
_OBJECT_FOLLOWS = re.compile(r" (?:a|all|an|any|both|each|every|it|its|one|some|that|the|them|these|this|two|your)\b")
_IS_NOUN = re.compile(r" (?:are|can|does|has|is|may|must|should|was|will)\b")
_LISTED_BEFORE = re.compile(r"(?:,|\band|\bor) $")
_LISTED_AFTER = re.compile(r",| (?:and|or)\b")
_LAST = re.compile(r"([\w'-]+|[^\w ]) *$")


def is_command(lead: str, word: str, rest: str) -> bool:
    """Tell whether a word is a verb that says what to do, by what stands before and after it.

    >>> is_command("then ", "tape", " the lead"), is_command("the ", "tape", " of the roll")
    (True, False)
    """
    doing = word.endswith("ing")
    if _IS_NOUN.match(rest) and not doing:
        return False
    previous = _LAST.search(lead)
    if previous is None or not previous[1][0].isalnum() or previous[1] in _PRECEDING or previous[1].endswith("ly"):
        return not (_LISTED_BEFORE.search(lead) and _LISTED_AFTER.match(rest))
    if doing:
        return previous[1] not in _DETERMINING
    return previous[1] not in _BINDING and _OBJECT_FOLLOWS.match(rest) is not None
