"""The terminal screen: the command without a name."""

from __future__ import annotations

import argparse
import sys
from contextlib import nullcontext
from functools import partial
from itertools import islice

from assistant.analysis.tokens import printable
from assistant.answering.assistant import Assistant
from assistant.cli.common import open_journal, open_pack, places_of
from assistant.cli.output import answer_text
from assistant.errors import ExitCode, JournalError
from assistant.journal.store import Journal
from assistant.languages import speak
from assistant.pack.reader import Pack
from assistant.tui.ask.app import StationApp
from assistant.tui.common.settings import Settings
from assistant.visiting.demo_words import scenes_of, shipped_scenes
from assistant.visiting.recorder import Recorder

__all__ = ["run"]

_SAVED_WIDTH = 80
_SHOWN = 3
_LOOKED_AT = 30
"""Among so many notes examples are looked for."""


def run(options: argparse.Namespace) -> int:
    """Open pack and journal, run the screen until it is left and return its exit code."""
    with open_pack(options) as pack, _journal(options) as journal:
        speak(pack.language.code)
        recorder = Recorder(journal, pack.trade, pack.harm_ids) if journal else None
        to_text = partial(answer_text, width=_SAVED_WIDTH)
        app = StationApp(
            Assistant(pack), to_text, pack.note, recorder, Settings(places_of(options).home), examples=_examples(pack)
        )
        code = app.run()
    return int(code if code is not None else app.return_code or ExitCode.DONE)


def _examples(pack: Pack) -> tuple[str, ...]:
    """Return titles of notes to begin with; none where notes are there that ship, which have examples of their own."""
    if any(case.note in pack.note_ids for case in shipped_scenes().cases):
        return ()
    notes = (note for name in pack.note_ids if (note := pack.note(name)))
    return tuple(case.condition for case in scenes_of(islice(notes, _LOOKED_AT)).cases[:_SHOWN])


def _journal(options: argparse.Namespace) -> Journal | nullcontext[None]:
    """Open the journal; a rep gets answers without one too."""
    try:
        return open_journal(options)
    except JournalError as error:
        print(f"Nothing will be recorded: {printable(str(error))}", file=sys.stderr)
        return nullcontext()
