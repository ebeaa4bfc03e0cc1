"""What all tests share: a small compiled pack, and no network."""

from __future__ import annotations

import fcntl
import gc
import os
import shutil
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import suppress
from itertools import groupby
from pathlib import Path
from typing import NoReturn

import pytest
from hypothesis import HealthCheck, settings

from assistant.answering.spread import processors
from assistant.compiling.fresh import compile_now
from assistant.languages import DEFAULT, speak
from assistant.pack.places import Places, name_places
from assistant.pack.reader import Pack

# How long an example takes says how busy the machine is, and nothing of the product.
settings.register_profile(
    "unhurried",
    deadline=None,
    max_examples=int(os.environ.get("ASSISTANT_EXAMPLES", "40")),
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("unhurried")

MINI = Path(__file__).parent / "data" / "mini"
GERMAN = Path(__file__).parent / "data" / "corpus_de"
SHIPPED = Path(__file__).parents[1] / "corpus"
MEMORY = Path("/dev/shm")  # noqa: S108
ROOM = 2**31
"""Bytes: some four times as much as all tests write."""
SLOWEST = ("test_loop.py", "test_kills.py", "test_killed_screen.py", "test_renewal_loop.py")
"""Files of tests that take longest: none of them is to begin when all others are done."""


def pytest_configure() -> None:
    """Let the hundreds of processes that tests start keep what Python compiles, even where it is told not to.

    What tests write lies in memory where there is room: each entry of a journal waits for the disk, and no test cuts
    the power.
    """
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    if _roomy(MEMORY):
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


def _roomy(folder: Path) -> bool:
    """Tell whether a folder takes all that tests write, scripts among it."""
    if not os.access(folder, os.W_OK):
        return False
    held = os.statvfs(folder)
    return held.f_bavail * held.f_frsize >= ROOM and not held.f_flag & os.ST_NOEXEC


def pytest_xdist_auto_num_workers() -> int:
    """One process more than cores: a test often waits, for a disk, another process or a screen at rest."""
    return processors() + 1


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes longest, and deal out the files on screens, for which tests wait: not all at once."""
    items.sort(key=lambda item: item.path.name not in SLOWEST)
    files = [list(found) for _, found in groupby(items, key=lambda item: item.path)]
    screens = [file for file in files if "tui" in file[0].path.parts]
    others = [file for file in files if file not in screens]
    between = len(others) // (len(screens) + 1) + 1
    for number, screen in enumerate(screens, start=1):
        others.insert(number * between, screen)
    items[:] = [item for file in others for item in file]


def pytest_collection_finish() -> None:
    """Let the collector of circular garbage pass over what was imported, and look seldom: a seventh of the time.

    What a shell starts in the background ignores Ctrl+C, and so does what that starts: here it is heard again.
    """
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 100)


class _ClosedSocket(socket.socket):
    """A socket that exists only as an end of a pair, which is what an event loop wakes itself up with."""

    def __init__(self, family: int = -1, type: int = -1, proto: int = -1, fileno: int | None = None) -> None:
        if fileno is None:
            _refuse()
        super().__init__(family, type, proto, fileno)


def _refuse(*_: object, **__: object) -> NoReturn:
    raise AssertionError("a test tried to use the network")


@pytest.fixture(scope="session", autouse=True)
def _no_network() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket, "socket", _ClosedSocket)
        patch.setattr(socket, "create_connection", _refuse)
        patch.setattr(socket, "getaddrinfo", _refuse)
        yield


@pytest.fixture(scope="session")
def pango() -> None:
    """Skip where the libraries of the system that set text in a PDF are absent: no package brings them."""
    try:
        import weasyprint  # noqa: F401
    except OSError as error:
        pytest.skip(f"a PDF needs the pango libraries of the system: {error}")


@pytest.fixture(scope="session")
def mini_corpus_path() -> Path:
    """Folder of six short notes."""
    return MINI


def _once(factory: pytest.TempPathFactory, worker_id: str, name: str, write: Callable[[Path], object]) -> Path:
    """Return a file that is written once for all processes that run the tests; the others wait for it."""
    base = factory.getbasetemp()
    folder = base if worker_id == "master" else base.parent
    path = folder / name
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        done = folder / f"{name}.done"
        if not done.exists():
            write(path)
            done.touch()
    return path


@pytest.fixture(scope="session")
def mini_pack_path(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Pack of the six short notes, compiled once with settings that do not move with tuning."""
    from assistant.compiling.compiler import compile_corpus
    from assistant.notes.corpus import read_corpus
    from tests.making import plain_settings

    def write(path: Path) -> None:
        compile_corpus(read_corpus(MINI), plain_settings(), path)

    return _once(tmp_path_factory, worker_id, "mini.pack", write)


@pytest.fixture(scope="session")
def shipped_pack_path(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Pack of the notes as they ship, compiled once, with what is remembered of the notes beside it.

    Where these notes were compiled before, as by README's first command, what that pack learned from the same lines is
    taken over, as any compile does.
    """
    compiled = Path(name_places(str(SHIPPED)).pack)

    def write(path: Path) -> None:
        with suppress(OSError):
            shutil.copy(compiled, path)
        compile_now(Places(path.parent, SHIPPED, path))

    return _once(tmp_path_factory, worker_id, "shipped.pack", write)


@pytest.fixture
def shipped_pack(shipped_pack_path: Path) -> Iterator[Pack]:
    """The compiled pack of the notes as they ship, open."""
    with Pack(shipped_pack_path) as pack:
        yield pack


@pytest.fixture(scope="session")
def german_pack_path(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Pack of the eight notes in German, compiled once with the settings that ship."""
    return _once(
        tmp_path_factory, worker_id, "german.pack", lambda path: compile_now(Places(path.parent, GERMAN, path))
    )


@pytest.fixture
def german_pack(german_pack_path: Path) -> Iterator[Pack]:
    """The compiled pack of the eight notes in German, open."""
    with Pack(german_pack_path) as pack:
        yield pack


@pytest.fixture(autouse=True)
def _in_english() -> None:
    """Begin each test in English, whatever the one before it spoke."""
    speak(DEFAULT)


@pytest.fixture
def mini_pack(mini_pack_path: Path) -> Iterator[Pack]:
    """The compiled pack of the six short notes, open."""
    with Pack(mini_pack_path) as pack:
        yield pack


@pytest.fixture
def two_notes(tmp_path: Path) -> Path:
    """Folder of two valid notes, to break."""
    from tests.making import write_corpus

    return write_corpus(tmp_path / "notes")
