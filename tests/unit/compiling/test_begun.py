"""A compile that was broken off goes on; what does not fit is learned anew."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import zlib
from pathlib import Path

import pytest

from assistant.compiling import linear
from assistant.compiling.begun import Begun, key_of
from assistant.compiling.classes import ClassWeights, Problem, learn_block
from assistant.compiling.linear import LinearModel, learn_linear
from assistant.compiling.sample import Sampling
from assistant.compiling.settings import LinearSettings
from tests.making import Told, plain_settings
from tests.unit.compiling.test_sample import CLASSES, LINES, SETTINGS

FOUND = {3: ClassWeights((1, 4), (70, -90), -1002), 4: ClassWeights((), (), -1)}


def told(model: LinearModel) -> tuple[object, ...]:
    return {name: (row.idf, row.pairs()) for name, row in model.rows.items()}, model.bias


def values(found: dict[int, ClassWeights]) -> dict[int, tuple[object, ...]]:
    return {number: (one.bias, list(one.columns), list(one.weights)) for number, one in found.items()}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "notes.pack.learning"


@pytest.fixture
def learning(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Take any work for long; return the places that are learned."""
    monkeypatch.setattr(linear, "_LONG", 1)
    places: list[int] = []
    whole = learn_block

    def learn(problem: Problem, block: list[int], settings: LinearSettings) -> list[ClassWeights]:
        places.extend(block)
        return whole(problem, block, settings)

    monkeypatch.setattr(linear, "learn_block", learn)
    return places


class BrokenOff(BaseException):
    """Stands for a kill."""


def break_off_after(classes: int, path: Path) -> None:
    def progress(_: str, done: int = 0, total: int = 0) -> None:
        if done == classes:
            raise BrokenOff

    with pytest.raises(BrokenOff):
        learn_linear(LINES, SETTINGS, progress, workers=1, begun=path)


def test_what_was_broken_off_goes_on(path: Path, learning: list[int]) -> None:
    whole = told(learn_linear(LINES, SETTINGS, workers=1))
    learning.clear()
    break_off_after(3, path)
    assert sorted(learning)[:3] == [0, 1, 2]
    learning.clear()
    assert told(learn_linear(LINES, SETTINGS, workers=1, begun=path)) == whole
    assert learning == list(range(3, len(CLASSES)))
    assert not path.exists()


@pytest.mark.parametrize("change", ["lines", "classes", "settings", "sampling"])
def test_what_was_learned_from_something_else_is_not_taken(path: Path, learning: list[int], change: str) -> None:
    break_off_after(3, path)
    learning.clear()
    lines, settings, sampling = dict(LINES), SETTINGS, None
    first = next(iter(lines))
    if change == "lines":
        lines = {f"{line}s" if line == first else line: numbers for line, numbers in lines.items()}
    elif change == "classes":
        lines[first] = frozenset({5})
    elif change == "settings":
        settings = type(SETTINGS)(
            **{**{name: getattr(SETTINGS, name) for name in SETTINGS.__slots__}, "tolerance": 0.2}
        )
    else:
        sampling = Sampling(5, 5)
    anew = told(learn_linear(lines, settings, workers=1, sampling=sampling))
    learning.clear()
    assert told(learn_linear(lines, settings, workers=1, sampling=sampling, begun=path)) == anew
    assert sorted(learning) == list(range(len(CLASSES)))


def test_half_a_line_and_changed_bytes_are_learned_anew(path: Path, learning: list[int]) -> None:
    whole = told(learn_linear(LINES, SETTINGS, workers=1))
    break_off_after(3, path)
    raw = path.read_bytes()
    for spoiled in (
        raw[:-9],
        raw[:200] + b"7" + raw[201:],
        raw.replace(b"1", b"2", 3),
        b"\xff\x00",
        raw + b"[" * 99_999,
    ):
        path.write_bytes(spoiled)
        assert told(learn_linear(LINES, SETTINGS, workers=1, begun=path)) == whole


def test_work_goes_on_after_half_a_line(path: Path) -> None:
    begun = Begun(path, "k", 9)
    path.write_bytes(b'\n1234abcd {"key": "k", "cla')
    begun.add({4: FOUND[4]})
    assert values(begun.found()) == values({4: FOUND[4]})


def test_classes_are_found_again(path: Path) -> None:
    begun = Begun(path, "k", 5)
    begun.add({3: FOUND[3]})
    begun.add({4: FOUND[4]})
    assert values(begun.found()) == values(FOUND)
    assert Begun(path, "other", 5).found() == {}
    assert not path.exists()


@pytest.mark.parametrize(
    "classes",
    [
        {"3": [1, [4, 1], [2, 2]]},
        {"3": [1, [1, 9], [2, 2]]},
        {"3": [1, [-1, 2], [2, 2]]},
        {"3": [1, [1], [2, 2]]},
        {"3": [1.5, [1], [2]]},
        {"3": [1, [1.5], [2]]},
        {"3": [1, ["1"], [2]]},
        {"3": [1 << 40, [1], [2]]},
        {"3": [1, [1], [1 << 40]]},
        {"x": [1, [1], [2]]},
        {"3": [1, [1]]},
        {"3": None},
        [3],
        7,
    ],
)
def test_a_line_that_proves_itself_and_holds_no_classes_is_not_taken(path: Path, classes: object) -> None:
    body = json.dumps({"key": "k", "classes": classes}).encode()
    path.write_bytes(b"%08x %s\n" % (zlib.crc32(body), body))
    assert Begun(path, "k", 5).found() == {}


@pytest.mark.parametrize("body", [b"7", b"[]", b"null", b"{}", b'{"key": "k"}', b""])
def test_a_line_that_is_no_record_is_not_taken(path: Path, body: bytes) -> None:
    path.write_bytes(b"%08x %s\n" % (zlib.crc32(body), body))
    assert Begun(path, "k", 5).found() == {}


def test_a_file_that_cannot_be_written_stops_nothing(tmp_path: Path, learning: list[int]) -> None:
    model = learn_linear(LINES, SETTINGS, workers=1, begun=tmp_path / "no" / "folder" / "x")
    assert told(model) == told(learn_linear(LINES, SETTINGS, workers=1))


def test_keys_tell_where_one_text_ends() -> None:
    keys = {key_of(*parts) for parts in ([["ab", "c"]], [["a", "bc"]], [["abc"]], [["ab"], ["c"]], [[], ["ab", "c"]])}
    assert len(keys) == 5


def test_little_work_leaves_no_file(path: Path) -> None:
    assert len(LINES) * len(CLASSES) < linear._LONG
    break_off_after(3, path)
    assert not path.exists()
    assert plain_settings().linear == SETTINGS


def test_the_signal_that_ends_a_program_interrupts_the_learning(path: Path, learning: list[int]) -> None:
    """Else the processes that learn would live on without the one that began them."""
    before = signal.signal(signal.SIGTERM, signal.SIG_DFL)
    meanwhile: list[object] = []
    try:
        progress = lambda *_: meanwhile.append(signal.getsignal(signal.SIGTERM))  # noqa: E731
        learn_linear(LINES, SETTINGS, progress, begun=path, workers=1)
        assert meanwhile[-1] is signal.default_int_handler
        assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL
        signal.signal(signal.SIGTERM, signal.SIG_IGN)
        learn_linear(LINES, SETTINGS, progress, begun=path, workers=1)
        assert meanwhile[-1] == signal.getsignal(signal.SIGTERM) == signal.SIG_IGN
    finally:
        signal.signal(signal.SIGTERM, before)


def test_a_program_that_is_ended_leaves_no_matrix_behind(tmp_path: Path) -> None:
    """The signal comes while the files of the matrix are written, and while they are read."""
    script = """
import os, signal, sys
from assistant.compiling import linear, vectors
from assistant.compiling.sample import Sampling
from tests.unit.compiling.test_begun import LINES, SETTINGS
def end(*_):
    os.kill(os.getpid(), signal.SIGTERM)
if sys.argv[1] == "writing":
    vectors._write = end
else:
    linear.problem_of = end
try:
    linear.learn_linear(LINES, SETTINGS, sampling=Sampling(), workers=1)
except KeyboardInterrupt:
    sys.exit(130)
"""
    for when in ("writing", "reading"):
        own = tmp_path / when
        own.mkdir()
        root = Path(__file__).parents[3]
        environment = {**os.environ, "TMPDIR": str(own), "PYTHONPATH": str(root)}
        done = subprocess.run([sys.executable, "-c", script, when], env=environment, cwd=root, check=False)
        assert (done.returncode, list(own.iterdir())) == (130, []), when


def test_that_work_goes_on_is_told(path: Path, learning: list[int]) -> None:
    break_off_after(3, path)
    said = Told()
    learn_linear(LINES, SETTINGS, said, begun=path, workers=1)
    assert said[0] == f"3 of {len(CLASSES)} classes were learned before"
