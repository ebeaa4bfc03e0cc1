"""What all tests share: a small compiled pack, and no network."""

from __future__ import annotations

import fcntl
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

import pytest
from hypothesis import HealthCheck, settings

from assistant.compiling.compiler import compile_corpus
from assistant.compiling.settings import default_settings
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from tests.making import plain_settings, write_corpus

# How long an example takes says how busy the machine is, and nothing of the product.
settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")

MINI = Path(__file__).parent / "data" / "mini"
SHIPPED = Path(__file__).parents[1] / "corpus"


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
def mini_corpus_path() -> Path:
    """Folder of six short notes."""
    return MINI


@pytest.fixture(scope="session")
def mini_pack_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pack of the six short notes, compiled once with settings that do not move with tuning."""
    path = tmp_path_factory.mktemp("mini") / "mini.pack"
    compile_corpus(read_corpus(MINI), plain_settings(), path)
    return path


@pytest.fixture(scope="session")
def shipped_pack_path(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Pack of the notes as they ship, compiled once for all processes that run the tests."""
    base = tmp_path_factory.getbasetemp()
    folder = base if worker_id == "master" else base.parent
    path = folder / "shipped.pack"
    with (folder / "shipped.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not path.exists():
            compile_corpus(read_corpus(SHIPPED), default_settings(), path)
    return path


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
