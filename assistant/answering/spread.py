"""Many questions asked of one pack, by one process a processor; the same results in the same order."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from assistant.answering.retrieve import Retriever
from assistant.errors import AssistantError
from assistant.pack.reader import Pack
from assistant.progress import Progress, counted, silent

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

__all__ = ["ask_all", "first_notes", "processors"]

T = TypeVar("T")
R = TypeVar("R")
_FEW = 1000
"""So many are asked sooner than other processes begin."""
_AT_A_TIME = 20
"""Results that a process sends at a time."""


def ask_all(
    pack: Pack,
    begin: Callable[[Pack], Callable[[T], R]],
    items: Sequence[T],
    progress: Progress = silent,
    message: str = "",
    *,
    processes: int = 0,
) -> list[R]:
    """Return what is made of each item, in their order.

    Parameters
    ----------
    pack
        An open pack; other processes open its file anew.
    begin
        Returns, for an open pack, the function that makes one result of one item. It stands at the top of its module,
        and items and results can be pickled.
    progress, message
        Is told the message, and how many are done.
    processes
        How many there are to be; by itself one for few items, and one a processor for many.

    Raises
    ------
    AssistantError
        Where asking does, or where a process ends before its time.
    """
    processes = processes or (processors() if len(items) > _FEW else 1)
    if processes == 1:
        make = begin(pack)
        return [make(item) for item in counted(items, progress, message)]
    found: list[Any] = [None] * len(items)
    arrived = _spread(Path(pack.path), begin, items, processes)
    for _, (place, result) in zip(counted(items, progress, message), arrived, strict=True):
        found[place] = result
    return found


def first_notes(pack: Pack, questions: Iterable[str], progress: Progress = silent) -> dict[str, str | None]:
    """Return for each question the id of the note that is ranked first, None where no note is ranked."""
    texts = tuple(dict.fromkeys(questions))
    found = ask_all(pack, _begin_first, texts, progress, f"asking {len(texts)} questions")
    return dict(zip(texts, found, strict=True))


def _begin_first(pack: Pack) -> Callable[[str], str | None]:
    retrieve = Retriever(pack, 1)

    def first(question: str) -> str | None:
        order = retrieve(question).scores.order
        return pack.note_ids[order[0]] if order else None

    return first


def processors() -> int:
    """Return how many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _spread(
    path: Path, begin: Callable[[Pack], Callable[[T], R]], items: Sequence[T], processes: int
) -> Iterator[tuple[int, R]]:
    """Yield the place of each item and its result, as they come."""
    import multiprocessing
    from multiprocessing.connection import wait

    context = multiprocessing.get_context("spawn")
    places: dict[Any, Iterator[int]] = {}
    workers = []
    try:
        for number in range(processes):
            near, far = context.Pipe(duplex=False)
            work = context.Process(target=_work, args=(path, begin, items[number::processes], far), daemon=True)
            work.start()
            far.close()
            workers.append(work)
            places[near] = iter(range(number, len(items), processes))
        while places:
            for ready in wait(list(places)):
                results = _received(ready)
                if results is None:
                    del places[ready]
                for result in results or ():
                    yield next(places[ready]), result
    finally:
        for work in workers:
            work.terminate()
            work.join()


def _received(near: Any) -> list[Any] | None:
    """Return the next results, None after the last."""
    try:
        results: list[Any] | Exception | None = near.recv()
    except EOFError as error:
        raise AssistantError("a process that asked questions ended before its time") from error
    if isinstance(results, Exception):
        raise results
    return results


def _work(path: Path, begin: Callable[[Pack], Callable[[Any], Any]], items: Sequence[Any], far: Connection) -> None:
    """Send the results, and None after the last; the process that began this one is who is interrupted."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with Pack(path) as pack:
            make = begin(pack)
            for start in range(0, len(items), _AT_A_TIME):
                far.send([make(item) for item in items[start : start + _AT_A_TIME]])
        far.send(None)
    except AssistantError as error:
        far.send(error)
    except BrokenPipeError:
        return  # whoever wanted the results is gone
