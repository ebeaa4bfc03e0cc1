"""The desk's terminal screens: ``assistant desk unanswered --screen`` and ``assistant score report --screen``."""

from __future__ import annotations

import argparse
from pathlib import Path

from assistant.cli.common import needs_terminal, open_pack, places_of, say
from assistant.cli.scoring import TUNE, labels_of, texts_of
from assistant.errors import ExitCode, UsageError

__all__ = ["show_groups", "show_release"]


def show_groups(options: argparse.Namespace) -> int:
    """Group what reps did not find and show it until the screen is left; ``options`` as of ``desk unanswered``.

    Raises
    ------
    UsageError
        If there is no terminal, or no folder of notes to write to.
    JournalError, NotesError, PackError
        If a journal, the notes or the pack are refused.
    """
    needs_terminal("leave --screen out for the same as text")
    from assistant.answering.assistant import Assistant
    from assistant.desk.by_hand import ByHand
    from assistant.desk.missed import missed_questions
    from assistant.desk.sources import read_sources
    from assistant.desk.unanswered import group_missed
    from assistant.journal.store import now
    from assistant.tui.common.settings import Settings
    from assistant.tui.desk.app import GroupsApp

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("taking questions into the notes needs the folder of notes: name it with --corpus")
    missed = missed_questions(read_sources([Path(path) for path in options.journal] or [places.journal]))
    with open_pack(options) as pack:
        groups, by_hand = group_missed(missed, pack, say), ByHand(places.home)
        app = GroupsApp(groups, Assistant(pack), pack, places.corpus, now().date(), by_hand, Settings(places.home))
        code = app.run()
    return int(code if code is not None else app.return_code or ExitCode.DONE)


def show_release(options: argparse.Namespace) -> int:
    """Score the notes and show the figures until the screen is left; ``options`` as of ``score report``.

    The bars are those of ``--gate``, or else ``bars.json`` in the folder of labelled questions.

    Raises
    ------
    UsageError
        If there is no terminal.
    NotesError, PackError
        If labelled questions, bars, notes or pack are refused.
    """
    needs_terminal("leave --screen out for a page")
    from assistant.answering.assistant import Assistant
    from assistant.evaluation.bars import read_bars
    from assistant.evaluation.report import score_notes
    from assistant.evaluation.study import study
    from assistant.tui.common.settings import Settings
    from assistant.tui.desk.app import ReleaseApp

    folder = Path(options.eval)
    path = Path(options.gate) if options.gate else folder / "bars.json"
    bars = read_bars(path) if options.gate or path.exists() else None
    questions, talks = labels_of(options)
    with open_pack(options) as pack:
        report = score_notes(pack, questions, talks, TUNE, say, texts_of(options), without_old=True)
        found = study(pack, report, bars)
        app = ReleaseApp(found, Assistant(pack), Settings(places_of(options).home))
        code = app.run()
    return int(code if code is not None else app.return_code or ExitCode.DONE)
