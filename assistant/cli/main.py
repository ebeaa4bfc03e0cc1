"""The command line: find the command, load its module alone, turn errors into exit codes."""

from __future__ import annotations

import argparse
import importlib
import io
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

from assistant.analysis.tokens import printable
from assistant.cli.common import add_places, has_terminal
from assistant.errors import AssistantError, ExitCode

__all__ = ["main", "run"]

_COMMANDS = {
    "ask": "answer a question from the notes",
    "show": "show one note by its id",
    "visit": "a visit: stations, work, parts, figures, report",
    "journal": "what was recorded: where it lies, export, purge",
    "corpus": "write, check, watch and compile the notes",
    "desk": "questions without an answer, impact of a change of the notes",
    "score": "score answers on labelled questions",
}


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run one command and leave with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        code = run(list(sys.argv[1:] if arguments is None else arguments))
        sys.stdout.flush()
    except AssistantError as error:
        _tell(str(error))
        code = error.exit_code
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        code = ExitCode.INTERRUPTED
    except BrokenPipeError:
        sys.stdout = None
        code = ExitCode.DONE
    except OSError as error:
        _tell(f"{error.filename or 'output'}: {error.strerror or error}")
        code = ExitCode.REFUSED
    sys.exit(int(code))


def _tell(message: str) -> None:
    print("\n".join(printable(line) for line in message.split("\n")), file=sys.stderr)


def run(arguments: list[str]) -> int:
    """Run one command and return its exit code."""
    name = _command_in(arguments)
    parser = _parser(name if name in _COMMANDS else "")
    options = parser.parse_args(arguments)
    if options.command is None:
        return _screen(parser, options)
    code: int = options.run(options)
    return code


def _command_in(arguments: list[str]) -> str:
    places = argparse.ArgumentParser(prog="assistant", add_help=False)
    add_places(places, None)
    _, rest = places.parse_known_args(arguments)
    return next((argument for argument in rest if not argument.startswith("-")), "")


def _parser(wanted: str) -> argparse.ArgumentParser:
    """Build the parser; only the wanted command's module is loaded, as loading them all takes long."""
    parser = argparse.ArgumentParser(
        prog="assistant",
        description="Answers from procedure notes for demo stations. Without a command: the terminal screen.",
    )
    add_places(parser, None)
    commands = parser.add_subparsers(dest="command", metavar="command", prog="assistant")
    for name, summary in _COMMANDS.items():
        command = commands.add_parser(name, help=summary, description=summary.capitalize() + ".")
        if name == wanted:
            add_places(command, argparse.SUPPRESS)
            module: Any = importlib.import_module(f"assistant.cli.{name}")
            module.add_arguments(command)
            if hasattr(module, "run"):
                command.set_defaults(run=module.run)
    return parser


def _screen(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    if not has_terminal():
        parser.print_usage(sys.stderr)
        print('the screen needs a terminal; ask with: assistant ask "controller stick cap broken?"', file=sys.stderr)
        return ExitCode.USAGE
    from assistant.cli.screen import run as run_screen

    return run_screen(options)
