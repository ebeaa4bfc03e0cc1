"""Every error that the product raises on purpose, with the exit code it leads to."""

from __future__ import annotations

from assistant.values import NamedTuple

__all__ = [
    "AssistantError",
    "ExitCode",
    "Fault",
    "JournalError",
    "MissingExtraError",
    "NotesError",
    "PackError",
    "UsageError",
]


class ExitCode:
    """What a command tells the shell; an `enum.IntEnum` would take as long to make as ten plain classes."""

    DONE = 0
    NOTHING = 1
    USAGE = 2
    REFUSED = 3
    INTERRUPTED = 130


class Fault(NamedTuple):
    """One thing wrong in one place of a file; ``line`` counts from 1."""

    path: str
    line: int
    message: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.message}"


class AssistantError(Exception):
    """Base of all errors with a message meant for the user."""

    exit_code = ExitCode.REFUSED


class UsageError(AssistantError):
    """The command was called in a way that it does not know."""

    exit_code = ExitCode.USAGE


class MissingExtraError(AssistantError):
    """A part of the product is asked for whose packages are not installed."""

    exit_code = ExitCode.USAGE


class PackError(AssistantError):
    """A pack is damaged, foreign or of an unknown format."""


class JournalError(AssistantError):
    """A journal is damaged, foreign, newer than the program, or cannot be written."""


class NotesError(AssistantError):
    """One or more files of the corpus were refused.

    Parameters
    ----------
    faults
        At least one fault, in the order of path and line.
    """

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = sorted(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))
