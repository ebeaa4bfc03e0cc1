"""``assistant ask``: one question, or a batch of questions as JSON lines."""

from __future__ import annotations

import sys

from assistant.analysis.tokens import printable
from assistant.answering.assistant import Assistant
from assistant.cli.common import open_journal, open_pack
from assistant.cli.output import answer_line, answer_text, terminal_width
from assistant.cli.plain import Plain
from assistant.errors import AssistantError, ExitCode, UsageError
from assistant.languages import said

TYPE_CHECKING = False
if TYPE_CHECKING:
    import argparse

    from assistant.model import Answer

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument("question", nargs="*", help="the question, in your own words")
    parser.add_argument("--format", choices=("text", "json"), default="text")
    parser.add_argument("--no-record", action="store_true", help="do not keep the question in the journal")
    parser.add_argument(
        "--batch", metavar="FILE", help='JSON lines {"id", "question", "conversation"?}; - for standard input'
    )
    parser.add_argument(
        "--jobs", metavar="N", type=int, default=1, help="answer a batch in so many processes; 0 for one a core"
    )


def run(options: argparse.Namespace | Plain) -> int:
    """Answer; 1 when no note covers the question."""
    if not isinstance(options, Plain) and options.batch:
        if options.question:
            raise UsageError("give a question or --batch, not both")
        from assistant.cli.batch import run_batch

        return run_batch(options)
    question = " ".join(options.question).strip()
    if not printable(question):
        raise UsageError('what is the question? For example: assistant ask "controller stick cap broken?"')
    with open_pack(options) as pack:
        answer, _ = Assistant(pack, reasons=options.format == "json").ask(question)
    if options.format == "json":
        print(answer_line(answer))
    else:
        print(answer_text(answer, terminal_width()), end="")
    if not options.no_record:
        _record(answer, options)
    return ExitCode.NOTHING if answer.decision == "none" else ExitCode.DONE


def _record(answer: Answer, options: argparse.Namespace | Plain) -> None:
    """Keep the question for the author; an answer that could not be kept is an answer all the same."""
    sys.stdout.flush()
    from assistant.journal.asked import record_question

    try:
        with open_journal(options) as journal:
            record_question(journal, answer)
    except AssistantError as error:
        print(said("the question was not kept: {why}", why=printable(str(error))), file=sys.stderr)
