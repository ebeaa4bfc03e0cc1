"""``assistant score relabel``: labels, turns of talks and lines of ``uncovered.txt`` that a new note has made old."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from assistant.analysis.tokens import printable
from assistant.cli.common import has_terminal, needs_terminal, notes_folder, open_pack, places_of, say
from assistant.cli.scoring import TUNE, add_shared, labels_of, print_as
from assistant.errors import ExitCode, UsageError
from assistant.wording import counted

if TYPE_CHECKING:
    from assistant.evaluation.judgements import Judgement
    from assistant.evaluation.outdated import OldLabel, OldLine
    from assistant.evaluation.renewal_turns import OldTurn
    from assistant.pack.reader import Pack
    from assistant.tui.label.labelling import Keeps

__all__ = ["add_relabel"]

_NONE = "none"


class _Waiting(NamedTuple):
    """What waits to be looked at again."""

    labels: Sequence[OldLabel] = ()
    turns: Sequence[OldTurn] = ()
    lines: Sequence[OldLine] = ()


def add_relabel(acts: Any) -> None:
    """Add ``relabel`` to the sub-commands."""
    act = acts.add_parser("relabel", help="look at labels again that a new note has made old")
    what = act.add_mutually_exclusive_group()
    what.add_argument("--list", action="store_true", help="print them, and the lines of uncovered.txt, and leave")
    what.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="ID=NOTE[,NOTE]",
        help="give a label anew; ID=none: no note; d001/2: a turn",
    )
    what.add_argument(
        "--uncovered", action="append", default=[], metavar="LINE", help="take a line out of uncovered.txt"
    )
    what.add_argument(
        "--keep",
        action="append",
        default=[],
        metavar="NOTE=LINE",
        help="keep a line of uncovered.txt, which this new note does not cover",
    )
    add_shared(act, _relabel)


def _relabel(options: argparse.Namespace) -> int:
    if options.uncovered:
        return _take_lines(options)
    if options.keep:
        return _keep_lines(options)
    if options.set:
        return _set(options)
    if not options.list and not has_terminal():
        needs_terminal("with --list they are printed, with --set ID=NOTE they are given anew")
    with open_pack(options) as pack:
        waiting = _waiting(options, pack)
        if options.list:
            _print(waiting, options)
            return ExitCode.NOTHING if any(waiting) else ExitCode.DONE
        if any(waiting):
            return _show(options, pack, waiting)
    print("No label waits to be looked at again.", file=sys.stderr)
    return ExitCode.DONE


def _waiting(options: argparse.Namespace, pack: Pack) -> _Waiting:
    from assistant.answering.assistant import Assistant
    from assistant.evaluation.outdated import lines_answered, named_since, new_to_labels, old_labels, old_lines
    from assistant.evaluation.renewal_lines import KEPT, not_kept
    from assistant.evaluation.renewal_turns import old_turns
    from assistant.evaluation.run import outcomes
    from assistant.notes.corpus import read_corpus

    questions, talks = labels_of(options)
    named = named_since(questions, talks)
    new = new_to_labels(pack.note_ids, named)
    if not new:
        return _Waiting()
    labels = old_labels(outcomes(pack, [q for q in questions if q.split == TUNE], say), named, new)
    turns = old_turns(Assistant(pack), [talk for talk in talks if talk.split == TUNE], named, new)
    root = places_of(options).corpus
    if root is None:
        return _Waiting(labels, turns)
    corpus = read_corpus(root)
    lines = old_lines(corpus, new, lines_answered(pack, corpus.uncovered, say))
    return _Waiting(labels, turns, not_kept(lines, Path(options.eval, KEPT)))


def _print(waiting: _Waiting, options: argparse.Namespace) -> None:
    labels, turns, lines = waiting
    value = {
        "labels": [
            {"id": q.id, "question": q.question, "manner": q.manner, "notes": list(q.notes), "new_note": note}
            for q, note in labels
        ],
        "turns": [
            {"id": old.name, "question": old.turn.question, "notes": list(old.turn.notes), "new_note": old.note}
            for old in turns
        ],
        "uncovered": [line._asdict() for line in lines],
    }
    rows = [(q.id, q.question, q.notes, note) for q, note in labels]
    rows += [(old.name, old.shown, old.turn.notes, old.note) for old in turns]
    text = [
        f"{name}  {printable(shown)}\n    label: {', '.join(notes) or _NONE}; now answered with {note}"
        for name, shown, notes, note in rows
    ]
    text += [f"uncovered.txt: {printable(line.line)}\n    {line.note}: {printable(line.why)}" for line in lines]
    told = [counted(len(labels), "label"), *([counted(len(turns), "turn of talks", "turns of talks")] if turns else [])]
    text.append(f"{' and '.join([*told, counted(len(lines), 'line')])} of uncovered.txt to look at again")
    print_as(value, "\n".join(text), options)


def _since(pack: Pack) -> str:
    from assistant.journal.store import now

    return f"{now().date().isoformat()} {pack.digest}"


def _set(options: argparse.Namespace) -> int:
    from assistant.answering.assistant import Assistant
    from assistant.evaluation.judgements import Judgement
    from assistant.evaluation.renewal import Renewals
    from assistant.evaluation.renewal_turns import TurnRenewals, answered_with, turn_name
    from assistant.evaluation.run import outcomes

    questions, talks = labels_of(options)
    turns = {turn_name(talk.id, n): (talk, n) for talk in talks for n, _ in enumerate(talk.turns, start=1)}
    known = {q.id: (q.question, q.notes) for q in questions}
    known |= {name: (talk.turns[n - 1].question, talk.turns[n - 1].notes) for name, (talk, n) in turns.items()}
    wanted = dict(_wanted(entry, known) for entry in options.set)
    with open_pack(options) as pack:
        for note in (note for notes in wanted.values() for note in notes):
            if note not in pack.note_ids:
                raise UsageError(f"no note '{printable(note)[:60]}'")
        came = outcomes(pack, [q for q in questions if q.id in wanted])
        seen = {one.question.id: [one.order[0][0]] if one.order and one.decision == "answer" else [] for one in came}
        assistant = Assistant(pack)
        seen |= {name: answered_with(assistant, *turns[name]) for name in wanted if name in turns}
        folder = Path(options.eval)
        of_labels = Renewals(folder / "questions.jsonl", _since(pack), seen)
        of_turns = TurnRenewals(folder / "dialogues.jsonl", _since(pack), seen)
        for name, notes in wanted.items():
            question, before = known[name]
            keeper = of_turns if name in turns else of_labels
            keeper.add(Judgement(name, question, notes, mark="" if notes else "uncovered"))
            print(f"{name}: {', '.join(notes) or _NONE} (was {', '.join(before) or _NONE})")
    return ExitCode.DONE


def _wanted(entry: str, known: Collection[str]) -> tuple[str, tuple[str, ...]]:
    name, equals, value = entry.partition("=")
    notes = tuple(dict.fromkeys(filter(None, (note.strip() for note in value.split(",")))))
    if not equals or not notes or (_NONE in notes and len(notes) > 1):
        raise UsageError("--set reads ID=NOTE, or ID=NOTE,NOTE, or ID=none")
    if name not in known:
        raise UsageError(f"no labelled question or turn '{printable(name)[:60]}'")
    return name, () if notes == (_NONE,) else notes


def _take_lines(options: argparse.Namespace) -> int:
    from assistant.evaluation.renewal import take_line_out

    for line in options.uncovered:
        take_line_out(notes_folder(options), line)
        print(f"uncovered.txt: taken out: {printable(line)}")
    return ExitCode.DONE


def _keep_lines(options: argparse.Namespace) -> int:
    from assistant.evaluation.judgements import Judgement
    from assistant.evaluation.outdated import OldLine
    from assistant.evaluation.renewal_lines import KEPT, LineRenewals, line_name
    from assistant.notes.corpus import read_corpus

    root = notes_folder(options)
    corpus = read_corpus(root)
    lines = []
    for entry in options.keep:
        note, _, line = (part.strip() for part in entry.partition("="))
        if line not in corpus.uncovered or note not in {one.id for one in corpus.notes}:
            raise UsageError(f"--keep reads NOTE=LINE, a note and a line of uncovered.txt: '{printable(entry)[:80]}'")
        lines.append(OldLine(line, note, ""))
    for kept in lines:
        one = LineRenewals(root, Path(options.eval, KEPT), [kept])
        one.add(Judgement(line_name(kept.line), kept.line, mark="uncovered"))
        print(f"uncovered.txt: kept, though {kept.note} comes near it: {printable(kept.line)}")
    return ExitCode.DONE


class _Keepers:
    """Keeps each judgement where its label stands: ``keepers`` are by the ids of what is judged."""

    def __init__(self, path: Path, keepers: dict[str, Keeps]) -> None:
        self.path = path
        self._keepers = keepers

    def latest(self) -> dict[str, Judgement]:
        """Return nothing: what was looked at is not asked again."""
        return {}

    def add(self, judgement: Judgement) -> None:
        """Keep a judgement; when this returns it is on the disk."""
        self._keepers[judgement.id].add(judgement)


def _show(options: argparse.Namespace, pack: Pack, waiting: _Waiting) -> int:
    """Go through all of it on the screen of the labeller; each mark is on the disk before it is shown."""
    from assistant.evaluation.asked import Asked
    from assistant.evaluation.pooling import Candidates, Including
    from assistant.evaluation.renewal import Renewals
    from assistant.evaluation.renewal_lines import KEPT, LineRenewals, line_name
    from assistant.evaluation.renewal_turns import TurnRenewals
    from assistant.tui.common.settings import Settings
    from assistant.tui.label.app import label_app
    from assistant.tui.label.labelling import Labelling

    say("preparing the candidates")
    labels, turns, lines = waiting
    folder, path = Path(options.eval), Path(options.eval, "questions.jsonl")
    notes = {q.id: (*q.notes, note) for q, note in labels}
    notes |= {old.name: (*old.turn.notes, old.note) for old in turns}
    notes |= {line_name(line.line): (line.note,) for line in lines}
    asked = [Asked(q.id, q.question) for q, _ in labels]
    asked += [Asked(old.name, old.shown) for old in turns]
    asked += [Asked(line_name(line.line), line.line) for line in lines]
    of_labels = Renewals(path, _since(pack), {q.id: [note] for q, note in labels})
    keepers: dict[str, Keeps] = {q.id: of_labels for q, _ in labels}
    of_turns = TurnRenewals(folder / "dialogues.jsonl", _since(pack), {old.name: [old.note] for old in turns})
    keepers |= {old.name: of_turns for old in turns}
    if lines:
        of_lines = LineRenewals(notes_folder(options), folder / KEPT, lines)
        keepers |= {line_name(line.line): of_lines for line in lines}
    pools = Including(Candidates(pack), notes)
    app = label_app(Labelling(asked, _Keepers(path, keepers), pools, pack.note), Settings(places_of(options).home))
    code = app.run()
    return int(code if code is not None else app.return_code or ExitCode.DONE)
