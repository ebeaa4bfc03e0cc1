"""What all tests share: a small compiled pack, and no network."""

from __future__ import annotations

import fcntl
import gc
import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NoReturn

import pytest
from hypothesis import HealthCheck, settings

from assistant.compiling.compiler import compile_corpus
from assistant.compiling.fresh import compile_now
from assistant.notes.corpus import read_corpus
from assistant.pack.places import Places
from assistant.pack.reader import Pack
from tests.making import plain_settings, write_corpus

# How long an example takes says how busy the machine is, and nothing of the product.
settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")

MINI = Path(__file__).parent / "data" / "mini"
SHIPPED = Path(__file__).parents[1] / "corpus"


def pytest_collection_finish() -> None:
    """Let the collector of circular garbage pass over what was imported, and look seldom: a seventh of the time."""
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
        if not path.exists():
            write(path)
    return path


@pytest.fixture(scope="session")
def mini_pack_path(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Pack of the six short notes, compiled once with settings that do not move with tuning."""

    def write(path: Path) -> None:
        compile_corpus(read_corpus(MINI), plain_settings(), path)

    return _once(tmp_path_factory, worker_id, "mini.pack", write)


@pytest.fixture(scope="session")
def shipped_pack_path(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Pack of the notes as they ship, compiled once, with what is remembered of the notes beside it."""
    return _once(
        tmp_path_factory, worker_id, "shipped.pack", lambda path: compile_now(Places(path.parent, SHIPPED, path))
    )


@pytest.fixture
def shipped_pack(shipped_pack_path: Path) -> Iterator[Pack]:
    """The compiled pack of the notes as they ship, open."""
    with Pack(shipped_pack_path) as pack:
        yield pack


@pytest.fixture
def mini_pack(mini_pack_path: Path) -> Iterator[Pack]:
    """The compiled pack of the six short notes, open."""
    with Pack(mini_pack_path) as pack:
        yield pack


@pytest.fixture
def two_notes(tmp_path: Path) -> Path:
    """Folder of two valid notes, to break."""
    return write_corpus(tmp_path / "notes")
