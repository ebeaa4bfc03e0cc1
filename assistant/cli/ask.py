"""``assistant ask``: one question, or a batch of questions as JSON lines."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import Any

from assistant.analysis.tokens import printable
from assistant.answering.assistant import Assistant
from assistant.answering.converse import Conversation
from assistant.cli.common import open_journal, open_pack
from assistant.cli.output import answer_line, answer_text, terminal_width
from assistant.errors import AssistantError, ExitCode, UsageError
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


def run(options: argparse.Namespace) -> int:
    """Answer; 1 when no note covers the question."""
    if options.batch and options.question:
        raise UsageError("give a question or --batch, not both")
    if options.batch:
        return _batch(options)
    question = " ".join(options.question).strip()
    if not printable(question):
        raise UsageError('what is the question? For example: assistant ask "controller stick cap broken?"')
    with open_pack(options) as pack:
        answer, _ = Assistant(pack).ask(question)
    if options.format == "json":
        print(answer_line(answer))
    else:
        print(answer_text(answer, terminal_width()), end="")
    if not options.no_record:
        _record(answer, options)
    return ExitCode.NOTHING if answer.decision == "none" else ExitCode.DONE


def _record(answer: Answer, options: argparse.Namespace) -> None:
    """Keep the question for the author; an answer that could not be kept is an answer all the same."""
    sys.stdout.flush()
    from assistant.journal.asked import record_question

    try:
        with open_journal(options) as journal:
            record_question(journal, answer)
    except AssistantError as error:
        print(f"the question was not kept: {printable(str(error))}", file=sys.stderr)


def _batch(options: argparse.Namespace) -> int:
    talks: dict[str, Conversation] = {}
    with open_pack(options) as pack:
        assistant = Assistant(pack)
        for shown, record in _records(options.batch):
            talk = record.get("conversation")
            if talk is not None and type(talk) not in (str, int):
                raise AssistantError(f"{shown}: 'conversation' must be text or a number")
            before = talks.get(str(talk)) if talk is not None else None
            answer, after = assistant.ask(record["question"], before, id=str(record["id"]))
            if talk is not None:
                talks[str(talk)] = after
            print(answer_line(answer), flush=True)
    return ExitCode.DONE


def _records(name: str) -> Iterator[tuple[str, dict[str, Any]]]:
    shown_name = "standard input" if name == "-" else name
    with nullcontext(sys.stdin.buffer) if name == "-" else Path(name).open("rb") as stream:
        for number, raw in enumerate(stream, start=1):
            shown = f"{shown_name}:{number}"
            try:
                text = raw.decode("utf-8").strip()
                record = json.loads(text) if text else None
            except UnicodeDecodeError as error:
                raise AssistantError(f"{shown}: not valid UTF-8") from error
            except (ValueError, RecursionError) as error:
                raise AssistantError(f"{shown}: not a JSON object") from error
            if record is None and not text:
                continue
            if not isinstance(record, dict) or not isinstance(record.get("question"), str):
                raise AssistantError(f"{shown}: needs an object with 'id' and the text 'question'")
            if type(record.get("id")) not in (str, int):
                raise AssistantError(f"{shown}: 'id' must be text or a number")
            yield shown, record
