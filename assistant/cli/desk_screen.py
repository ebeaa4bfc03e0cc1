"""The desk's terminal screens: ``assistant desk unanswered --screen`` and ``assistant score report --screen``."""

from __future__ import annotations

import argparse
from pathlib import Path

from assistant.cli.common import needs_terminal, open_pack, places_of, say
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
    from assistant.desk.sources import read_sources
    from assistant.desk.unanswered import group_missed, missed_questions
    from assistant.journal.store import now
    from assistant.tui.common.settings import Settings
    from assistant.tui.desk.app import GroupsApp

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("taking questions into the notes needs the folder of notes: name it with --corpus")
    missed = missed_questions(read_sources([Path(path) for path in options.journal] or [places.journal]))
    with open_pack(options) as pack:
        asks = Assistant(pack)
        say(f"grouping {len(missed)} questions")
        app = GroupsApp(group_missed(missed, asks), asks, pack.note, places.corpus, now().date(), Settings(places.home))
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
    from assistant.evaluation.labels import read_questions, read_talks
    from assistant.evaluation.report import score_notes
    from assistant.evaluation.study import study
    from assistant.evaluation.texts import texts_of_folder
    from assistant.tui.common.settings import Settings
    from assistant.tui.desk.app import ReleaseApp

    folder = Path(options.eval)
    path = Path(options.gate) if options.gate else folder / "bars.json"
    bars = read_bars(path) if options.gate or path.exists() else None
    questions, talks = read_questions(folder / "questions.jsonl"), read_talks(folder / "dialogues.jsonl")
    texts = texts_of_folder(places_of(options).corpus)
    with open_pack(options) as pack:
        found = study(pack, score_notes(pack, questions, talks, "tune", say, texts), bars)
        app = ReleaseApp(found, Assistant(pack), Settings(places_of(options).home))
        code = app.run()
    return int(code if code is not None else app.return_code or ExitCode.DONE)
