"""Which section of a note a heading of an old procedure stands for, and what begins a safety message."""

from __future__ import annotations

import re
from types import MappingProxyType

from assistant.model import SIGNALS

__all__ = ["TOOLS_AND_PARTS", "bare_heading", "section_of", "signal_of"]

_CALLED = {
    "condition": "condition|symptom|symptoms|problem|fault|fault description|what you see|description|when to use this",
    "cause": "cause|causes|possible cause|possible causes|likely causes|root cause",
    "before": "before you start|before you begin|preparation|prerequisites|you will need|requirements|first",
    "steps": "steps|step by step|procedure|instructions|what to do|method|repair|remedy|fix|solution|how to",
    "result": "result|expected result|done when|check|final check|verification|test|how to tell that it is mended",
    "fails": "if it still fails|if this fails|if that fails|if it fails|if it is not mended|if it does not work|"
    "if this does not help|if the fault persists|if the problem persists|still not working|escalation|otherwise",
    "why": "why|reason|reasons|background|explanation|rationale",
    "tools": "tools|tools needed|tools required|tooling",
    "parts": "parts|parts needed|parts required|spare parts|materials|consumables",
}
_SECTIONS = MappingProxyType({name: field for field, names in _CALLED.items() for name in names.split("|")})
TOOLS_AND_PARTS = ("tools", "parts")
"""Sections that become lists of the front matter."""
_NUMBERED = re.compile(r"\A((?:\d+\.)+\d*|\d+\)|[A-Z][.)])\s+")
_SIGNAL = re.compile(
    rf"\A(?:({'|'.join(SIGNALS)})(?=\W|\Z)|((?i:{'|'.join(SIGNALS)}))(?=\s*[:!]|\s+[-\u2013\u2014]\s|\Z))[\s:!.\u2013\u2014-]*"
)


def bare_heading(text: str) -> tuple[str, str]:
    """Return a heading without the number before it, and that number."""
    found = _NUMBERED.match(text)
    return (text[found.end() :], found[1]) if found else (text, "")


def section_of(heading: str) -> str:
    """Return the field of `Content` that a heading stands for, empty where it names none."""
    return _SECTIONS.get(heading.casefold().strip(" :.?!"), "")


def signal_of(text: str) -> tuple[str, str]:
    """Return the signal word with which a paragraph begins, and the rest; both empty where it begins with none.

    >>> signal_of("Warning: hot. It burns.")
    ('WARNING', 'hot. It burns.')
    >>> signal_of("Warning lamps blink.")
    ('', '')
    """
    found = _SIGNAL.match(text)
    return ((found[1] or found[2]).upper(), text[found.end() :]) if found else ("", "")
