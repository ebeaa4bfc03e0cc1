"""``ask --batch``: many questions as JSON lines, an answer a line in the same order; with ``--jobs`` by many processes.

A worker is this program once more, which reads its share of the lines from its input: all turns of one talk go to the
same one. It ends when its input does, so that none stays behind, however the first process ends.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
import zlib
from collections import OrderedDict
from contextlib import ExitStack, nullcontext
from pathlib import Path
from queue import Queue

from assistant.answering.assistant import Assistant
from assistant.cli.common import open_pack
from assistant.cli.output import answer_line
from assistant.errors import AssistantError, ExitCode, UsageError
from assistant.notes.text import regular

TYPE_CHECKING = False
if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterator
    from typing import Any, BinaryIO

    from assistant.answering.converse import Conversation
    from assistant.pack.reader import Pack

__all__ = ["run_batch"]

_MOST_TALKS = 100_000
"""Talks that are kept in mind; of more, the one that was longest without a turn begins anew with its next one."""
_AHEAD = 256
"""Lines that a worker is given before the answer to the first of them is printed."""
_MOST_JOBS = 256
_START = "import sys; sys.path[:] = sys.argv.pop().splitlines(); from assistant.cli.main import main; main()"
"""A worker finds the modules of this process, and no others."""


def run_batch(options: argparse.Namespace) -> int:
    """Answer all lines.

    Raises
    ------
    AssistantError
        With the number of a line that cannot be read; those before it are answered.
    """
    jobs = _jobs(options.jobs)
    if not 1 <= jobs <= _MOST_JOBS:
        raise UsageError(f"--jobs takes a number from 1 to {_MOST_JOBS}, or 0 for one a core")
    with open_pack(options) as pack:
        if jobs == 1:
            _answer_all(pack, options.batch)
            return ExitCode.DONE
        path = str(Path(pack.path).absolute())
    _share_out(path, options.batch, jobs)
    return ExitCode.DONE


def _jobs(wanted: int) -> int:
    if wanted:
        return wanted
    from assistant.answering.spread import processors

    return processors()


def _answer_all(pack: Pack, name: str) -> None:
    talks: OrderedDict[str, Conversation] = OrderedDict()
    assistant = Assistant(pack)
    for _, record, talk in _records(name):
        before = talks.pop(talk, None) if talk is not None else None
        answer, after = assistant.ask(record["question"], before, id=str(record["id"]))
        if talk is not None:
            talks[talk] = after
            if len(talks) > _MOST_TALKS:
                talks.popitem(last=False)
        print(answer_line(answer), flush=True)


def _share_out(pack: str, name: str, jobs: int) -> None:
    """Let workers answer the lines, and print the answers in the order of the lines."""
    with ExitStack() as stack:
        workers = [stack.enter_context(_Worker(pack)) for _ in range(jobs)]
        printer = _Printer(workers)
        stack.callback(printer.stop)
        try:
            for place, (raw, _, talk) in enumerate(_records(name)):
                number = place if talk is None else zlib.crc32(talk.encode("utf-8", "surrogatepass"))
                workers[number % jobs].send(raw)
                printer.expect(number % jobs)
        except AssistantError:
            printer.finish()
            raise
        printer.finish()


class _Worker:
    """Another process that answers lines; leaving the context ends it."""

    def __init__(self, pack: str) -> None:
        environment = {key: value for key, value in os.environ.items() if key != "ASSISTANT_CORPUS"}
        command = [sys.executable, "-c", _START, "--pack", pack, "ask", "--batch", "-", "\n".join(sys.path)]
        self._process = subprocess.Popen(  # noqa: S603, the program itself
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=environment,
            start_new_session=True,
        )
        self._lines: Queue[bytes | None] = Queue()
        self._feeder = threading.Thread(target=self._feed, daemon=True)
        self._feeder.start()

    def __enter__(self) -> _Worker:
        return self

    def __exit__(self, *_: object) -> None:
        self._process.kill()
        self._lines.put(None)
        self._process.wait()
        self._feeder.join()
        for stream in (self._process.stdin, self._process.stdout, self._process.stderr):
            if stream:
                _close(stream.close)

    def send(self, line: bytes) -> None:
        """Give the worker a line; that it is written does not hold the caller up."""
        self._lines.put(line)

    def answer(self) -> bytes:
        """Return the next answer.

        Raises
        ------
        AssistantError
            If the worker ended without one, with what it said.
        """
        assert self._process.stdout and self._process.stderr  # noqa: S101, they are pipes
        line: bytes = self._process.stdout.readline()
        if not line.endswith(b"\n"):
            said = self._process.stderr.read().decode(errors="replace").strip()
            raise AssistantError(said.splitlines()[-1] if said else "a process that answers ended too soon")
        return line

    def _feed(self) -> None:
        pipe = self._process.stdin
        assert pipe  # noqa: S101
        while (line := self._lines.get()) is not None:
            try:
                pipe.write(line.rstrip(b"\r\n") + b"\n")
                if self._lines.empty():
                    pipe.flush()
            except OSError:  # it ended: whoever waits for its answer is told
                return


class _Printer:
    """Prints the answers of workers, in the order in which they are expected, while lines are still read."""

    def __init__(self, workers: list[_Worker]) -> None:
        self._workers = workers
        self._order: Queue[int | None] = Queue(_AHEAD * len(workers))
        self._failed: BaseException | None = None
        self._thread = threading.Thread(target=self._print, daemon=True)
        self._thread.start()

    def expect(self, worker: int) -> None:
        """Print the next answer of a worker after all others that are expected."""
        self._raise()
        self._order.put(worker)

    def finish(self) -> None:
        """Return when all that is expected is printed."""
        self._order.put(None)
        self._thread.join()
        self._raise()

    def stop(self) -> None:
        """Print nothing more."""
        self._failed = self._failed or KeyboardInterrupt()

    def _raise(self) -> None:
        if self._failed:
            raise self._failed

    def _print(self) -> None:
        out = getattr(sys.stdout, "buffer", None)
        while (worker := self._order.get()) is not None:
            if self._failed:
                continue  # nobody is to wait for room among what is expected
            try:
                line = self._workers[worker].answer()
                if out:
                    out.write(line)
                    out.flush()
                else:
                    print(line.decode(), end="", flush=True)
            except (AssistantError, OSError, ValueError) as error:
                self._failed = error


def _close(close: Callable[[], object]) -> None:
    try:
        close()
    except OSError:  # what was not sent is sent to nobody
        return


def _records(name: str) -> Iterator[tuple[bytes, dict[str, Any], str | None]]:
    """Yield each line that is not empty: as it is, as an object, and the name of its talk."""
    shown_name = "standard input" if name == "-" else name
    stream: BinaryIO
    with nullcontext(sys.stdin.buffer) if name == "-" else regular(Path(name)).open("rb") as stream:
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
            if "id" not in record:
                raise AssistantError(f"{shown}: 'id' is missing: give each line one of its own, text or a number")
            if type(record["id"]) not in (str, int):
                raise AssistantError(f"{shown}: 'id' must be text or a number")
            talk = record.get("conversation")
            if talk is not None and type(talk) not in (str, int):
                raise AssistantError(f"{shown}: 'conversation' must be text or a number")
            yield raw, record, None if talk is None else str(talk)
