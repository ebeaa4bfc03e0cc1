"""Looking things up in a pack, and packs that are refused."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.analysis.spelling import SpellingIndex, slips_allowed
from assistant.answering.assistant import Assistant
from assistant.compiling.compiler import compile_corpus
from assistant.errors import PackError
from assistant.model import Alarm
from assistant.notes.corpus import read_corpus
from assistant.pack.format import NOTES_MODEL, TURN_CLASSES, TURNS_MODEL, pack_postings, pack_weights
from assistant.pack.reader import Pack
from assistant.ranking.score import NONE
from tests.making import TRADE, plain_settings

SHARED = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


@pytest.fixture(scope="module")
def counts(mini_pack_path: Path) -> dict[str, int]:
    with closing(sqlite3.connect(mini_pack_path)) as db:
        return dict(db.execute("SELECT form, count FROM form WHERE count > 0"))


def near_words(counts: dict[str, int]) -> st.SearchStrategy[str]:
    def harm(word: str, i: int, letter: str, kind: int) -> str:
        i %= len(word) + 1
        return (
            word[:i] + word[i + 1 :],
            word[:i] + letter + word[i:],
            word[:i] + letter + word[i + 1 :],
            word[:i] + word[i : i + 2][::-1] + word[i + 2 :],
        )[kind]

    letter = st.sampled_from("aeioustrnl\u00e9")
    once = st.builds(harm, st.sampled_from(sorted(counts)), st.integers(0, 30), letter, st.integers(0, 3))
    return st.builds(harm, once, st.integers(0, 30), letter, st.integers(0, 3)) | once | st.text(max_size=8)


def test_repairs_in_sql_are_those_in_memory(mini_pack: Pack, counts: dict[str, int]) -> None:
    index = SpellingIndex(counts)
    found = 0

    @SHARED
    @given(near_words(counts))
    def agree(word: str) -> None:
        nonlocal found
        near = mini_pack.near(word)
        found += bool(near)
        assert near == index.near(word)

    agree()
    assert found > 10


def test_words(mini_pack: Pack) -> None:
    assert mini_pack.known("stick")
    assert not mini_pack.known("stikc")
    assert mini_pack.near("stikc") == ["stick"]
    assert mini_pack.near("dr21") == []
    assert slips_allowed("dr21") == 0
    assert mini_pack.meanings("gamepad") == [("pad", 100)]
    assert mini_pack.meanings("nothing") == []


def test_what_the_pack_lacks(mini_pack: Pack) -> None:
    assert mini_pack.term_rows([]) == {}
    assert mini_pack.term_rows(["qqqq", "x' OR 1=1 --"]) == {}
    assert mini_pack.feature_rows(NOTES_MODEL, []) == {}
    assert mini_pack.feature_rows(NOTES_MODEL, ["qqqq", "x' OR 1=1 --", "~qq"]) == {}
    assert mini_pack.alarms([]) == []
    assert mini_pack.alarms(["qqqq", "x' OR 1=1 --"]) == []
    assert mini_pack.step_weights("disc-gone") == {}


def test_features_belong_to_their_model(mini_pack: Pack) -> None:
    wanted = ["disc", "how long", "~disc", "long"]
    notes, turns = (mini_pack.feature_rows(model, wanted) for model in (NOTES_MODEL, TURNS_MODEL))
    assert notes.keys() == {"disc", "~disc"}
    assert turns.keys() == {"how long", "long"}
    disc = mini_pack.note_ids.index("disc-clean")
    assert dict(notes["disc"].weights)[disc] > 0
    assert notes["disc"].idf > 1000
    assert dict(turns["how long"].weights)[TURN_CLASSES.index("time")] > 0


def test_every_class_has_a_bias(mini_pack: Pack) -> None:
    assert mini_pack.bias(NOTES_MODEL).keys() == {NONE, *range(len(mini_pack.note_ids))}
    assert {TURN_CLASSES[number] for number in mini_pack.bias(TURNS_MODEL)} >= {"procedure", "time", "new"}
    with pytest.raises(PackError, match="the manifest lacks 'other'"):
        mini_pack.bias("other")


@pytest.fixture(scope="module")
def alarmed(mini_corpus_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A pack with alarms of its own."""
    corpus = read_corpus(mini_corpus_path)._replace(
        alarms=(
            Alarm("safety-swollen-cell", ("smoke", "on fire"), ("no smoke", "smoke free")),
            Alarm("pad-cable-damage", ("on the floor", "smoke", "bare wire")),
        ),
        dangers=(("power-strip-dead", "the strip is wet"),),
        emergency="Call 000.",
    )
    path = tmp_path_factory.mktemp("alarmed") / "alarmed.pack"
    compile_corpus(corpus, plain_settings(), path)
    return path


def test_alarms_begin_with_a_word_and_come_in_the_order_of_their_notes(alarmed: Path) -> None:
    with Pack(alarmed) as pack:
        cell, cable, strip = map(pack.note_ids.index, ("safety-swollen-cell", "pad-cable-damage", "power-strip-dead"))
        found = pack.alarms(["the", "smoke", "on", "smoke"])
        assert {row for row in found if row[1] == cell} == {
            ("smoke", cell, 0),
            ("smoke free", cell, 1),
            ("on fire", cell, 0),
        }
        assert {row for row in found if row[1] == cable} == {("smoke", cable, 0), ("on the floor", cable, 0)}
        assert [row[1] for row in found] == [cell] * 3 + [cable] * 2
        assert pack.alarms(["no"]) == [("no smoke", cell, 1)]
        assert pack.alarms(["fire", "floor", "wire"]) == []
        assert pack.harm == sorted([cell, cable, strip])
        assert pack.emergency == "Call 000."


def test_the_trade_of_the_notes_is_in_the_pack(mini_pack: Pack) -> None:
    assert mini_pack.trade == TRADE._replace(words={})


def test_a_pack_is_never_written_to(mini_pack_path: Path) -> None:
    before = (mini_pack_path.read_bytes(), sorted(path.name for path in mini_pack_path.parent.iterdir()))
    with Pack(mini_pack_path) as pack:
        Assistant(pack).ask("stick cap")
    assert before == (mini_pack_path.read_bytes(), sorted(path.name for path in mini_pack_path.parent.iterdir()))


def test_a_pack_in_a_folder_that_cannot_be_written_to(mini_pack_path: Path, tmp_path: Path) -> None:
    folder = tmp_path / "a b#c?d%41"
    folder.mkdir()
    shutil.copy(mini_pack_path, folder / "m.pack")
    folder.chmod(0o555)
    try:
        with Pack(folder / "m.pack") as pack:
            assert pack.note_ids
    finally:
        folder.chmod(0o755)


def run(sql: str, *values: object) -> Callable[[Path], None]:
    def harm(path: Path) -> None:
        with closing(sqlite3.connect(path)) as db:
            db.execute(sql, values)
            db.commit()

    return harm


def manifest(key: str, value: str) -> Callable[[Path], None]:
    return run("UPDATE manifest SET value = ? WHERE key = ?", value, key)


def overwrite(raw: bytes) -> Callable[[Path], None]:
    def damage(path: Path) -> None:
        path.write_bytes(raw)

    return damage


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


DAMAGES: dict[str, tuple[Callable[[Path], object], str]] = {
    "gone": (lambda path: path.unlink(), "no pack here"),
    "empty": (overwrite(b""), "not a pack of this program"),
    "text": (overwrite(b"hello " * 400), "damaged pack: file is not a database"),
    "truncated": (cut, "damaged pack: "),
    "foreign": (run("PRAGMA application_id = 7"), "not a pack of this program"),
    "format": (run("UPDATE manifest SET value = '99' WHERE key = 'format'"), "pack format 99 is not the format "),
    "no format": (run("DELETE FROM manifest WHERE key = 'format'"), "pack format None is not the format "),
    "no table": (run("DROP TABLE manifest"), "damaged pack: no such table: manifest"),
    "no terms": (run("DROP TABLE term"), "damaged pack: no such table: term"),
    "decision": (run("UPDATE manifest SET value = '{' WHERE key = 'decision'"), "damaged pack: "),
    "decision list": (
        run("UPDATE manifest SET value = '[]' WHERE key = 'decision'"),
        "damaged pack: manifest holds no object",
    ),
    "decision empty": (
        run("UPDATE manifest SET value = '{}' WHERE key = 'decision'"),
        "damaged pack: the manifest lacks '",
    ),
    "analysis": (run("UPDATE manifest SET value = '{\"x\": 1}' WHERE key = 'analysis'"), "pack of another version: "),
    "far harm": (manifest("harm", "[77]"), "damaged pack: a weight belongs to nothing"),
    "low harm": (manifest("harm", "[-1]"), "damaged pack: a weight belongs to nothing"),
    "harm in words": (manifest("harm", '["disc-clean"]'), "damaged pack: 'harm' holds no numbers of notes"),
    "no list of harm": (manifest("harm", "7"), "damaged pack: 'harm' holds no numbers of notes"),
    "harm": (manifest("harm", "many"), "damaged pack: "),
    "owner": (manifest("owner", "[0, 1, true]"), "damaged pack: 'owner' holds no numbers of notes"),
    "few owners": (manifest("owner", "[]"), "damaged pack: a weight belongs to nothing"),
    "far owner": (manifest("owner", "[99]"), "damaged pack: a weight belongs to nothing"),
    "bias": (manifest("bias", "{"), "damaged pack: "),
    "bias of no model": (manifest("bias", "{}"), "damaged pack: the manifest lacks 'note'"),
    "bias of one model": (manifest("bias", '{"note": []}'), "damaged pack: the manifest lacks 'turn'"),
    "bias in words": (manifest("bias", '{"note": [[0, "x"]], "turn": []}'), "damaged pack: a class has no bias"),
    "half a bias": (manifest("bias", '{"note": [[0]], "turn": []}'), "damaged pack: a class has no bias"),
    "no list of biases": (manifest("bias", '{"note": 3, "turn": []}'), "damaged pack: a class has no bias"),
    "far bias": (manifest("bias", '{"note": [[6, 1]], "turn": []}'), "damaged pack: a weight belongs to nothing"),
    "low bias": (manifest("bias", '{"note": [[-2, 1]], "turn": []}'), "damaged pack: a weight belongs to nothing"),
    "trade": (manifest("trade", "{"), "damaged pack: no trade in the manifest"),
    "trade in a list": (manifest("trade", "[]"), "damaged pack: no trade in the manifest"),
    "trade without tools": (manifest("trade", '{"stations": {}}'), "damaged pack: no trade in the manifest"),
    "odd features": (run("UPDATE feature SET weights = ?", b"abc"), "damaged pack: "),
    "half a weight": (run("UPDATE feature SET weights = ?", b"ab"), "damaged pack: "),
    "text for weights": (run("UPDATE feature SET weights = 'abcd'"), "damaged pack: "),
    "number for weights": (run("UPDATE feature SET weights = 7"), "damaged pack: "),
    "far class": (
        run("UPDATE feature SET weights = ?", pack_weights([(6, 1)])),
        "damaged pack: a weight belongs to no class",
    ),
    "low class": (
        run("UPDATE feature SET weights = ?", pack_weights([(-2, 1)])),
        "damaged pack: a weight belongs to no class",
    ),
    "far kind of turn": (
        run("UPDATE feature SET weights = ? WHERE model = 'turn'", pack_weights([(len(TURN_CLASSES), 1)])),
        "damaged pack: a weight belongs to no class",
    ),
    "idf in words": (run("UPDATE feature SET idf = 'x'"), "damaged pack: an idf is no whole number"),
    "idf in parts": (run("UPDATE feature SET idf = 1.5"), "damaged pack: an idf is no whole number"),
    "no features": (run("DROP TABLE feature"), "damaged pack: no such table: feature"),
    "no alarms": (run("DROP TABLE alarm"), "damaged pack: no such table: alarm"),
    "alarm of a word": (
        run("INSERT OR REPLACE INTO alarm VALUES ('stick', 'stick', 'x', 0, 0)"),
        "damaged pack: an alarm is no phrase with a note",
    ),
    "alarm of bytes": (
        run("INSERT OR REPLACE INTO alarm VALUES ('stick', ?, 0, 0, 0)", b"stick"),
        "damaged pack: an alarm is no phrase with a note",
    ),
    "alarm that may lift": (
        run("INSERT OR REPLACE INTO alarm VALUES ('stick', 'stick', 0, 0, 'x')"),
        "damaged pack: an alarm is no phrase with a note",
    ),
    "far alarm": (
        run("INSERT OR REPLACE INTO alarm VALUES ('stick', 'stick', 6, 0, 0)"),
        "damaged pack: a weight belongs to nothing",
    ),
    "odd chunks": (run("UPDATE term SET chunks = ?", b"abc"), "damaged pack: "),
    "half a chunk": (run("UPDATE term SET chunks = ?", b"abcd"), "damaged pack: "),
    "text for a blob": (run("UPDATE term SET chunks = 'x'"), "damaged pack: "),
    "count in words": (run("UPDATE form SET count = 'x'"), "damaged pack: a count is no whole number"),
    "far chunk": (
        run("UPDATE term SET chunks = ?", pack_postings([(999, 1, 0)])),
        "damaged pack: a weight belongs to nothing",
    ),
    "low chunk": (
        run("UPDATE term SET chunks = ?", pack_postings([(-1, 1, 0)])),
        "damaged pack: a weight belongs to nothing",
    ),
    "far field": (
        run("UPDATE term SET chunks = ?", pack_postings([(0, 1, 7)])),
        "damaged pack: a weight belongs to nothing",
    ),
    "note": (run("UPDATE note SET content = '{}'"), "damaged pack: "),
    "note text": (run("UPDATE note SET content = 'x'"), "damaged pack: "),
    "meaning": (run("UPDATE meaning SET words = '[1]'"), "damaged pack: "),
    "step": (run("UPDATE step SET weights = '{\"cap\": 3}'"), "damaged pack: "),
}


@pytest.mark.parametrize("name", DAMAGES)
def test_damaged_pack_is_refused_in_one_line(mini_pack_path: Path, tmp_path: Path, name: str) -> None:
    path = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, path)
    harm, message = DAMAGES[name]
    harm(path)
    with pytest.raises(PackError) as raised, Pack(path) as pack:
        Assistant(pack).ask("controller stikc cap and stick brokn?")
    assert str(raised.value).startswith(f"{path}:1: {message}")
    assert "\n" not in str(raised.value)


@pytest.mark.parametrize(
    "key",
    [
        *("corpus", "compiled_by", "notes", "fields", "analysis", "decision"),
        *("harm", "emergency", "trade", "owner", "bias"),
    ],
)
def test_missing_key_of_the_manifest_is_named(mini_pack_path: Path, tmp_path: Path, key: str) -> None:
    path = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, path)
    run("DELETE FROM manifest WHERE key = ?", key)(path)
    with pytest.raises(PackError) as raised:
        Pack(path)
    assert str(raised.value).startswith(f"{path}:1: damaged pack: the manifest lacks {key}; ")


def test_a_folder_is_no_pack(tmp_path: Path) -> None:
    with pytest.raises(PackError, match=":1: no pack here; compile one with 'assistant corpus compile'"):
        Pack(tmp_path)
