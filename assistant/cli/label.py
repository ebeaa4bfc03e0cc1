"""``assistant score label`` and ``assistant score agree``: labelling questions, and agreement of two who did."""

from __future__ import annotations

import argparse
import getpass
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.cli.common import add_eval, add_places, needs_terminal, open_pack, places_of, say, with_extra
from assistant.errors import ExitCode, UsageError

if TYPE_CHECKING:
    from assistant.evaluation.asked import Asked
    from assistant.evaluation.judgements import JudgementFile

__all__ = ["add_agree", "add_label"]

_NAME = re.compile(r"\w[\w-]{0,39}")


def add_label(acts: Any) -> None:
    """Add ``label`` to the sub-commands."""
    label = acts.add_parser("label", help="label questions on the screen: which notes answer them, which steps")
    label.add_argument(
        "--questions", metavar="FILE", help="a .jsonl file of objects with 'question', or one question a line"
    )
    label.add_argument("--labeller", metavar="NAME", help="who labels; the name of this user where not given")
    label.add_argument(
        "--output",
        metavar="FILE",
        help="where the labels go, and are gone on with; labels-NAME.jsonl beside the others",
    )
    label.add_argument("--sample", type=int, metavar="N", help="only so many questions, drawn at random")
    label.add_argument("--seed", type=int, default=1, metavar="S", help="of the sample; the same seed draws the same")
    label.add_argument(
        "--print", action="store_true", help="print what is labelled so far, one object a line, and leave"
    )
    add_eval(label)
    add_places(label, argparse.SUPPRESS)
    label.set_defaults(run=with_extra("labelling", _label))


def add_agree(acts: Any) -> None:
    """Add ``agree`` to the sub-commands."""
    agree = acts.add_parser("agree", help="agreement of two labellers")
    agree.add_argument(
        "first", nargs="?", metavar="A", help="labels; each note that they name for a question counts as right"
    )
    agree.add_argument("second", nargs="?", metavar="B", help="labels, whose best note is compared")
    add_eval(agree)
    agree.add_argument("--format", choices=("text", "json"), default="text")
    add_places(agree, argparse.SUPPRESS)
    agree.set_defaults(run=with_extra("scoring", _agree))


def _label(options: argparse.Namespace) -> int:
    from assistant.evaluation.judgements import JudgementFile, label_lines

    if not options.print:
        needs_terminal("with --print the labels are printed")
    labeller = _labeller(options.labeller)
    path = Path(options.output) if options.output else Path(options.eval, f"labels-{labeller}.jsonl")
    if not path.parent.is_dir():
        raise UsageError(f"{path.parent}: no such folder; name a file with --output")
    file = JudgementFile(path, labeller)
    if options.print:
        print("".join(f"{line}\n" for line in label_lines(file.latest())), end="")
        return ExitCode.DONE
    return _show(options, file)


def _show(options: argparse.Namespace, file: JudgementFile) -> int:
    from assistant.evaluation.pooling import Candidates
    from assistant.tui.common.settings import Settings
    from assistant.tui.label.app import label_app
    from assistant.tui.label.labelling import Labelling

    questions = _questions(options)
    with open_pack(options) as pack:
        say("preparing the candidates")
        app = label_app(Labelling(questions, file, Candidates(pack), pack.note), Settings(places_of(options).home))
        code = app.run()
    return int(code if code is not None else app.return_code or ExitCode.DONE)


def _labeller(name: str | None) -> str:
    if name is None:
        try:
            name = getpass.getuser()
        except (OSError, KeyError) as error:
            raise UsageError("who labels? Name it with --labeller") from error
    if not _NAME.fullmatch(name):
        raise UsageError("the name of a labeller is up to 40 letters, digits, _ and -: give one with --labeller")
    return name


def _questions(options: argparse.Namespace) -> list[Asked]:
    from assistant.evaluation.asked import read_asked, sample_asked

    questions = read_asked(Path(options.questions) if options.questions else Path(options.eval, "questions.jsonl"))
    return questions if options.sample is None else sample_asked(questions, options.sample, options.seed)


def _agree(options: argparse.Namespace) -> int:
    from assistant.evaluation.agreement import agreement, agreement_of_labels, agreement_text, read_labels

    if options.first is None:
        folder = Path(options.eval)
        also = folder / "second_kinds.jsonl"
        second = [folder / "second.jsonl", *([also] if also.exists() else [])]
        found = agreement(folder / "questions.jsonl", second, folder / "dialogues.jsonl")
    elif options.second is None:
        raise UsageError("name two files of labels, or none for the two in the folder of labelled questions")
    else:
        found = agreement_of_labels(*(read_labels(Path(path)) for path in (options.first, options.second)))
    print(json.dumps(found, indent=1) if options.format == "json" else agreement_text(found))
    return ExitCode.NOTHING if found["unmatched"] else ExitCode.DONE
