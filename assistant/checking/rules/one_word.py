"""C512: one word for one thing."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip, found, has, said

__all__ = ["RULE"]

_OTHER_WORDS = {
    r"\b(?:gamepad|joypad|joystick|handset)s?\b": "pad",
    r"\bcontrollers?\b(?! menu)": "pad",
    r"\b(?:TV|telly|television|monitor)\b": "display",
    r"\b(?:adaptor|charger|power brick|wall wart|PSU)s?\b": "adapter",
    r"\b(?:goggles|visor)\b": "headset",
    r"\b(?:power bar|power strip|multi-plug|extension block)s?\b": "outlet strip",
    r"\bcables?\b(?! ties?)": "lead",
    r"\b(?:flashlight|lamp torch)\b": "torch",
    r"\b(?:help desk|hotline|head office)\b": "support desk",
    r"\b(?:store manager|shop manager)\b": "duty manager",
    r"\bkiosks?\b": "station",
}
_HYPHENATED = re.compile(r"\b[a-z]+(?:-[a-z]+)+\b")


def _find(book: Book) -> Iterator[Finding]:
    for one in said(book, "steps", "choices"):
        text = _HYPHENATED.sub("", one.text)
        for pattern, word in _OTHER_WORDS.items():
            if has(text, pattern):
                yield found(book, one, f"the word for it is '{word}': {clip(one.text)}")


RULE = Rule(
    code="C512",
    name="one-word",
    severity="warning",
    summary="Steps call a thing by its one word: pad, display, adapter, lead, outlet strip, support desk.",
    reason="A second word makes the reader look for a second thing.",
    source="ASD-STE100 Issue 9 (2025), rules of section 1 (from memory); the corpus's own style",
    good="2. Look at the display.",
    bad="2. Look at the telly.",
    find=_find,
)
