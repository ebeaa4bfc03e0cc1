"""In which language the commands of a visit speak: that of the notes, as far as they were compiled."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from assistant.errors import AssistantError
from assistant.languages import DEFAULT, speak
from assistant.pack.places import name_places
from assistant.pack.reader import Pack

__all__ = ["in_its_language"]

Run = Callable[[argparse.Namespace], int]


def in_its_language(run: Run) -> Run:
    """Return a command that speaks the language of the pack; English where there is none, or it cannot be read.

    Nothing is compiled for that: most of these commands need no notes.
    """

    def spoken(options: argparse.Namespace) -> int:
        speak(_language(options))
        return run(options)

    return spoken


def _language(options: argparse.Namespace) -> str:
    named = name_places(options.corpus, options.pack, options.home)
    try:
        with Pack(named.pack) as pack:
            return pack.language.code
    except AssistantError:
        return DEFAULT
