"""What several commands share: opening the pack with words on progress."""

from __future__ import annotations

import argparse
import sys

from assistant.pack.fresh import fresh_pack
from assistant.pack.places import Places, find_places
from assistant.pack.reader import Pack

__all__ = ["open_pack", "places_of", "say"]


def places_of(options: argparse.Namespace) -> Places:
    """Return the places that the options name."""
    return find_places(options.corpus, options.pack, options.home)


def say(message: str) -> None:
    """Tell on stderr what is being done."""
    print(f"{message} ...", file=sys.stderr)


def open_pack(options: argparse.Namespace) -> Pack:
    """Open the pack that the options name, compiled anew where the notes have changed."""
    return fresh_pack(places_of(options), say)
