"""``assistant score relabel``: labels, and lines of ``uncovered.txt``, that a new note has made old."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.analysis.tokens import printable
from assistant.cli.common import has_terminal, needs_terminal, notes_folder, open_pack, places_of, say
from assistant.cli.scoring import TUNE, add_shared, labels_of, print_as
from assistant.errors import ExitCode, UsageError

if TYPE_CHECKING:
    from assistant.evaluation.labels import LabelledQuestion
    from assistant.evaluation.outdated import OldLabel, OldLine
    from assistant.pack.reader import Pack

__all__ = ["add_relabel"]

_NONE = "none"


def add_relabel(acts: Any) -> None:
    """Add ``relabel`` to the sub-commands."""
    act = acts.add_parser("relabel", help="look at labels again that a new note has made old")
    what = act.add_mutually_exclusive_group()
    what.add_argument("--list", action="store_true", help="print them, and the lines of uncovered.txt, and leave")
    what.add_argument(
        "--set", action="append", default=[], metavar="ID=NOTE[,NOTE]", help="give a label anew; ID=none: no note"
    )
    what.add_argument(
        "--uncovered", action="append", default=[], metavar="LINE", help="take a line out of uncovered.txt"
    )
    add_shared(act, _relabel)


def _relabel(options: argparse.Namespace) -> int:
    if options.uncovered:
        return _take_lines(options)
    if options.set:
        return _set(options)
    if not options.list and not has_terminal():
        needs_terminal("with --list they are printed, with --set ID=NOTE they are given anew")
    with open_pack(options) as pack:
        labels, lines = _waiting(options, pack)
        if options.list:
            _print(labels, lines, options)
            return ExitCode.NOTHING if labels or lines else ExitCode.DONE
        code = _show(options, pack, labels) if labels else ExitCode.DONE
    if not labels:
        print("No label waits to be looked at again.", file=sys.stderr)
    for line in lines:
        print(
            f"uncovered.txt: {printable(line.line)}: {line.note}, {printable(line.why)} (--uncovered)", file=sys.stderr
        )
    return code


def _waiting(options: argparse.Namespace, pack: Pack) -> tuple[list[OldLabel], list[OldLine]]:
    from assistant.evaluation.outdated import lines_answered, named_since, new_to_labels, old_labels, old_lines
    from assistant.evaluation.run import outcomes
    from assistant.notes.corpus import read_corpus

    questions, talks = labels_of(options)
    named = named_since(questions, talks)
    new = new_to_labels(pack.note_ids, named)
    if not new:
        return [], []
    labels = old_labels(outcomes(pack, [q for q in questions if q.split == TUNE], say), named, new)
    root = places_of(options).corpus
    if root is None:
        return labels, []
    corpus = read_corpus(root)
    return labels, old_lines(corpus, new, lines_answered(pack, corpus.uncovered, say))


def _print(labels: Sequence[OldLabel], lines: Sequence[OldLine], options: argparse.Namespace) -> None:
    value = {
        "labels": [
            {"id": q.id, "question": q.question, "manner": q.manner, "notes": list(q.notes), "new_note": note}
            for q, note in labels
        ],
        "uncovered": [line._asdict() for line in lines],
    }
    text = [
        f"{q.id}  {printable(q.question)}\n    label: {', '.join(q.notes) or _NONE}; now answered with {note}"
        for q, note in labels
    ]
    text += [f"uncovered.txt: {printable(line.line)}\n    {line.note}: {printable(line.why)}" for line in lines]
    text.append(f"{len(labels)} labels and {len(lines)} lines of uncovered.txt to look at again")
    print_as(value, "\n".join(text), options)


def _since(pack: Pack) -> str:
    from assistant.journal.store import now

    return f"{now().date().isoformat()} {pack.digest}"


def _set(options: argparse.Namespace) -> int:
    from assistant.evaluation.judgements import Judgement
    from assistant.evaluation.renewal import Renewals
    from assistant.evaluation.run import outcomes

    questions = {q.id: q for q in labels_of(options)[0]}
    wanted = [_wanted(entry, questions) for entry in options.set]
    with open_pack(options) as pack:
        for _, notes in wanted:
            for note in notes:
                if note not in pack.note_ids:
                    raise UsageError(f"no note '{printable(note)[:60]}'")
        came = outcomes(pack, [q for q, _ in wanted])
        seen = {one.question.id: [one.order[0][0]] if one.order and one.decision == "answer" else [] for one in came}
        file = Renewals(Path(options.eval, "questions.jsonl"), _since(pack), seen)
        for q, notes in wanted:
            file.add(Judgement(q.id, q.question, notes, mark="" if notes else "uncovered"))
            print(f"{q.id}: {', '.join(notes) or _NONE} (was {', '.join(q.notes) or _NONE})")
    return ExitCode.DONE


def _wanted(entry: str, questions: dict[str, LabelledQuestion]) -> tuple[LabelledQuestion, tuple[str, ...]]:
    name, equals, value = entry.partition("=")
    notes = tuple(dict.fromkeys(filter(None, (note.strip() for note in value.split(",")))))
    if not equals or not notes or (_NONE in notes and len(notes) > 1):
        raise UsageError("--set reads ID=NOTE, or ID=NOTE,NOTE, or ID=none")
    if name not in questions:
        raise UsageError(f"no labelled question '{printable(name)[:60]}'")
    return questions[name], () if notes == (_NONE,) else notes


def _take_lines(options: argparse.Namespace) -> int:
    from assistant.evaluation.renewal import take_line_out

    for line in options.uncovered:
        take_line_out(notes_folder(options), line)
        print(f"uncovered.txt: taken out: {printable(line)}")
    return ExitCode.DONE


def _show(options: argparse.Namespace, pack: Pack, labels: Sequence[OldLabel]) -> int:
    """Go through the labels on the screen of the labeller; each mark is on the disk before it is shown."""
    from assistant.evaluation.asked import Asked
    from assistant.evaluation.pooling import Candidates, Including
    from assistant.evaluation.renewal import Renewals
    from assistant.tui.common.settings import Settings
    from assistant.tui.label.app import label_app
    from assistant.tui.label.labelling import Labelling

    say("preparing the candidates")
    seen = {q.id: [note] for q, note in labels}
    file = Renewals(Path(options.eval, "questions.jsonl"), _since(pack), seen)
    pools = Including(Candidates(pack), {q.id: (*q.notes, note) for q, note in labels})
    asked = [Asked(q.id, q.question) for q, _ in labels]
    app = label_app(Labelling(asked, file, pools, pack.note), Settings(places_of(options).home))
    code = app.run()
    return int(code if code is not None else app.return_code or ExitCode.DONE)
