"""The full parser of the command line: what it knows, and what it tells of what it does not understand."""

from __future__ import annotations

import argparse
import importlib
import re
from collections.abc import Sequence
from typing import Any, NoReturn

from assistant.analysis.tokens import printable
from assistant.cli.common import add_places
from assistant.errors import UsageError

__all__ = ["parser_for"]

_COMMANDS = {
    "ask": "answer a question from the notes",
    "show": "show one note by its id",
    "visit": "where the visit stands; round, works, parts, plan, report",
    "journal": "what was recorded: where it lies, export, erase",
    "corpus": "write, check, watch and compile the notes",
    "desk": "questions without an answer, impact of a change of the notes",
    "score": "score answers on labelled questions",
    "about": "version, packages and licences, bill of materials",
}
_SHOWN = 40
_MISSING = re.compile(r"the following arguments are required: (.*)")
_NO_VALUE = re.compile(r"expected (?:one|at least one|\d+) arguments?")


class _Parser(argparse.ArgumentParser):
    """Tells in one line what it does not understand, what it knows, and what to type."""

    def error(self, message: str) -> NoReturn:
        """Raise `UsageError` with a line that ends in what to type."""
        message = _NO_VALUE.sub("nothing is told after it", message.removeprefix("argument "))
        missing = _MISSING.fullmatch(message)
        if missing and missing[1] == "act":
            message = f"a word comes after {self.prog}: {', '.join(self._acts())}"
        elif missing:
            message = f"still to tell: {missing[1]}"
        raise UsageError(message if "type " in message else f"{message}; type: {self.usage or f'{self.prog} --help'}")

    def _acts(self) -> Sequence[str]:
        found = (action.choices for action in self._actions if isinstance(action, argparse._SubParsersAction))
        return list(next(found, ()))

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Refuse what is left over, at the command that it was given to."""
        found, rest = super().parse_known_args(args, namespace)
        if rest and rest[0].startswith("-"):
            known = [name for name in self._option_string_actions if name.startswith("--")]
            raise UsageError(f"there is no {printable(rest[0])[:_SHOWN]} here{_meant(rest[0], known)}")
        if rest:
            self.error(f"'{printable(rest[0])[:_SHOWN]}' is too much here, or stands after an option: words come first")
        return found, rest

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        if action.choices is None or value in action.choices:
            return
        known = [str(choice) for choice in action.choices]
        typed = printable(str(value))[:_SHOWN]
        if isinstance(action, argparse._SubParsersAction):
            raise UsageError(f"there is no command '{self.prog} {typed}'{_meant(str(value), known)}")
        name = action.option_strings[0] if action.option_strings else action.dest
        raise UsageError(f"{name} cannot be '{typed}'{_meant(str(value), known)}")


def _meant(typed: str, known: Sequence[str]) -> str:
    """Return what somebody may have meant, and all that is known."""
    from difflib import get_close_matches

    near = get_close_matches(typed, known, n=1)
    return (f": did you mean {near[0]}?" if near else ":") + f" Known: {', '.join(known)}"


def parser_for(arguments: list[str]) -> argparse.ArgumentParser:
    """Return the parser for these arguments; only the wanted command's module is loaded, as all of them take long."""
    name = _command_in(arguments)
    return _parser(name if name in _COMMANDS else "")


def _command_in(arguments: list[str]) -> str:
    places = argparse.ArgumentParser(prog="assistant", add_help=False)
    add_places(places, None)
    _, rest = places.parse_known_args(arguments)
    return next((argument for argument in rest if not argument.startswith("-")), "")


def _parser(wanted: str) -> argparse.ArgumentParser:
    parser = _Parser(
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
