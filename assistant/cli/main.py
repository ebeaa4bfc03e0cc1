"""The command line: run one command, turn errors into exit codes."""

from __future__ import annotations

import io
import os
import sys

from assistant.analysis.tokens import printable
from assistant.cli.common import has_terminal
from assistant.cli.plain import Plain, plain_question
from assistant.errors import AssistantError, ExitCode, MissingExtraError

TYPE_CHECKING = False
if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Sequence
    from typing import NoReturn

__all__ = ["main", "run", "start"]

_ASKING = 'ask with: assistant ask "controller stick cap broken?"'
_PAINTED = "240"
"""Times a second that Textual may paint (60 by itself). What changes waits for the next time, a card for two."""


def start() -> NoReturn:
    """Run the command of this process, and end with it.

    Nobody waits for Python to put away what it holds, an eighth of the time of a plain question, unless something was
    loaded that may have asked to be told of the end.
    """
    try:
        main()
    except SystemExit as ended:
        if "atexit" in sys.modules or not isinstance(ended.code, int):
            raise
        try:
            if sys.stdout is not None:
                sys.stdout.flush()
        except OSError:
            pass  # that it cannot be written was told already, or the error was that led here
        os._exit(ended.code)


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run one command and leave with its exit code."""
    _fill_streams()
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
    except MemoryError:
        _tell("not enough memory: end other programs, or work on fewer notes at once")
        code = ExitCode.REFUSED
    except OSError as error:
        _tell(f"{error.filename or 'output'}: {error.strerror or error}")
        code = ExitCode.REFUSED
    sys.exit(int(code))


def _fill_streams() -> None:
    """Let what was closed before the start lead nowhere: else the next file opened would get its number."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            descriptor = os.open(os.devnull, os.O_RDONLY if mode == "r" else os.O_WRONLY)
            setattr(sys, name, os.fdopen(descriptor, mode, encoding="utf-8", closefd=False))


def _tell(message: str) -> None:
    print("\n".join(printable(line) for line in message.split("\n")), file=sys.stderr)


def run(arguments: list[str]) -> int:
    """Run one command and return its exit code; a plain question goes past the parser, which takes long to load."""
    plain = plain_question(arguments)
    if plain is not None:
        return _answer(plain)
    from assistant.cli.parser import parser_for

    parser = parser_for(arguments)
    options = parser.parse_args(arguments)
    if options.command is None:
        return _screen(parser, options)
    code: int = options.run(options)
    return code


def _answer(plain: Plain) -> int:
    """Answer a plain question; what it makes is not looked through for garbage, as the process ends with it."""
    import gc

    gc.disable()
    try:
        from assistant.cli.ask import run as ask

        return ask(plain)
    finally:
        gc.enable()


def _screen(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Show the screen; what is loaded for its first frame is not looked through for garbage, which it holds none of."""
    import gc

    if not has_terminal():
        parser.print_usage(sys.stderr)
        print(f"the screen needs a terminal; {_ASKING}", file=sys.stderr)
        return ExitCode.USAGE
    gc.disable()
    try:
        return _loaded_screen()(options)
    finally:
        gc.enable()


def _loaded_screen() -> Callable[[argparse.Namespace], int]:
    os.environ.setdefault("TEXTUAL_FPS", _PAINTED)
    try:
        from assistant.cli.screen import run as run_screen
    except ModuleNotFoundError as error:
        raise MissingExtraError(
            f"the screen needs the package '{error.name}': pip install \".[screen]\" in the folder of the program; "
            f"without it, {_ASKING}"
        ) from error
    return run_screen
