"""Looking things up in a pack, and packs that are refused."""

from __future__ import annotations

import shutil
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
from assistant.pack.format import NOTES_MODEL, TURN_CLASSES, TURNS_MODEL, pack_feature, pack_title, unpack_count
from assistant.pack.reader import Pack
from assistant.ranking.postings import PART
from assistant.ranking.score import NONE
from tests.making import TRADE, plain_settings
from tests.packs import Damage, entries_of, entry, every, manifest, note_of, postings, run_sql

CAP = "pad-stick-cap"
SHARED = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


@pytest.fixture(scope="module")
def counts(mini_pack_path: Path) -> dict[str, int]:
    counts = {form: unpack_count(raw) for form, raw in entries_of(mini_pack_path)["form"].items()}
    return {form: count for form, count in counts.items() if count > 0}


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

    @settings(SHARED, max_examples=100)
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
    assert dict(notes["disc"].pairs())[disc] > 0
    assert notes["disc"].idf > 1000
    assert dict(turns["how long"].pairs())[TURN_CLASSES.index("time")] > 0


def test_every_class_has_a_bias(mini_pack: Pack) -> None:
    assert mini_pack.bias(NOTES_MODEL).keys() == {NONE, *range(len(mini_pack.note_ids))}
    assert {TURN_CLASSES[number] for number in mini_pack.bias(TURNS_MODEL)} >= {"procedure", "time", "new"}
    with pytest.raises(PackError, match="damaged pack: bias: lacks 'other'"):
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


def overwrite(raw: bytes) -> Damage:
    return lambda path: path.write_bytes(raw)


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


DAMAGES: dict[str, tuple[Damage, str]] = {
    "gone": (lambda path: path.unlink(), "no pack here"),
    "empty": (overwrite(b""), "not a pack of this program"),
    "text": (overwrite(b"hello " * 400), "damaged pack: file is not a database"),
    "truncated": (cut, "damaged pack: "),
    "foreign": (run_sql("PRAGMA application_id = 7"), "not a pack of this program"),
    "format": (run_sql("PRAGMA user_version = 99"), "pack format 99 is not the format 6 "),
    "old format": (run_sql("PRAGMA user_version = 0"), "a pack format before 5 is not the format 6 "),
    "no manifest": (run_sql("DROP TABLE manifest"), "damaged pack: its tables are not those of a pack"),
    "empty manifest": (run_sql("DELETE FROM manifest"), "damaged pack: a block of 'manifest' is missing"),
    "decision": (manifest("decision", "{"), "damaged pack: decision: "),
    "decision list": (manifest("decision", "[]"), "damaged pack: decision: holds no object"),
    "decision empty": (manifest("decision", "{}"), "damaged pack: decision: lacks 'bm25f_share'"),
    "analysis": (manifest("analysis", '{"x": 1}'), "pack of another version: "),
    "analysis in words": (
        manifest("analysis", '{"vocabulary_weight": "40"}'),
        "damaged pack: analysis: 40 is no whole",
    ),
    "endless weight": (manifest("analysis", f'{{"repair_weight": {10**400}}}'), "damaged pack: analysis: 1000000"),
    "far harm": (manifest("harm", "[77]"), "damaged pack: harm: a weight belongs to nothing"),
    "low harm": (manifest("harm", "[-1]"), "damaged pack: harm: a weight belongs to nothing"),
    "harm in words": (manifest("harm", '["disc-clean"]'), "damaged pack: harm: holds no numbers of notes"),
    "no list of harm": (manifest("harm", "7"), "damaged pack: harm: holds no numbers of notes"),
    "harm": (manifest("harm", "many"), "damaged pack: harm: "),
    "deep harm": (manifest("harm", "[" * 100_000), "damaged pack: harm: JSON nested too deeply"),
    "sizes": (manifest("sizes", "[6, 18]"), "damaged pack: sizes: holds no object"),
    "half the sizes": (manifest("sizes", '{"notes": 6}'), "damaged pack: sizes: lacks 'chunks'"),
    "low size": (manifest("sizes", '{"notes": -1, "chunks": 18}'), "damaged pack: sizes: -1 is no whole number from 0"),
    "few chunks": (manifest("sizes", '{"notes": 6, "chunks": 0}'), "damaged pack: "),
    "few notes": (manifest("sizes", '{"notes": 5, "chunks": 18}'), "damaged pack: "),
    "many notes": (manifest("sizes", '{"notes": 7, "chunks": 18}'), "damaged pack: "),
    "no first chunks": (every("first", None), "damaged pack: first: the chunks of the notes are not in order"),
    "half a first chunk": (every("first", b"abc"), "damaged pack: first: "),
    "falling first chunks": (
        every("first", bytes(4) + b"\x09\0\0\0" * 4 + b"\x06\0\0\0"),
        "damaged pack: first: the chunks of the notes are not in order",
    ),
    "a first chunk that is not the first": (
        every("first", b"".join(n.to_bytes(4, "little") for n in (1, 3, 6, 9, 12, 15))),
        "damaged pack: first: the chunks of the notes are not in order",
    ),
    "bias": (manifest("bias", "{"), "damaged pack: bias: "),
    "bias of no model": (manifest("bias", "{}"), "damaged pack: bias: lacks 'note'"),
    "bias of one model": (manifest("bias", '{"note": []}'), "damaged pack: bias: lacks 'turn'"),
    "bias in words": (
        manifest("bias", '{"note": [[0, "x"]], "turn": []}'),
        "damaged pack: bias: holds what is no pair",
    ),
    "half a bias": (manifest("bias", '{"note": [[0]], "turn": []}'), "damaged pack: bias: a list is no list"),
    "no list of biases": (manifest("bias", '{"note": 3, "turn": []}'), "damaged pack: bias: 3 is no list"),
    "endless bias": (
        manifest("bias", f'{{"note": [[0, {10**400}]], "turn": []}}'),
        "damaged pack: bias: holds what is",
    ),
    "far bias": (manifest("bias", '{"note": [[6, 1]], "turn": []}'), "damaged pack: bias: a weight belongs to nothing"),
    "low bias": (
        manifest("bias", '{"note": [[-2, 1]], "turn": []}'),
        "damaged pack: bias: a weight belongs to nothing",
    ),
    "trade": (manifest("trade", "{"), "damaged pack: trade: "),
    "trade in a list": (manifest("trade", "[]"), "damaged pack: trade: holds no object"),
    "trade without tools": (manifest("trade", '{"stations": {}}'), "damaged pack: trade: lacks 'areas'"),
    "title": (every("title", b"abc"), "damaged pack: titles: 3 bytes where there must be 4"),
    "title of bytes": (entry("title", CAP, pack_title(2, "") + b"\xff"), "damaged pack: titles: "),
    "title of another": (
        entry("title", CAP, pack_title(1, "Cap")),
        "damaged pack: titles: pad-stick-cap is not at its",
    ),
    "far title": (entry("title", CAP, pack_title(6, "Cap")), "damaged pack: titles: pad-stick-cap is not at its place"),
    "low title": (
        entry("title", CAP, pack_title(-1, "Cap")),
        "damaged pack: titles: pad-stick-cap is not at its place",
    ),
    "no titles": (every("title", None), "damaged pack: "),
    "ids": (every("id", b'["disc-clean"]'), "damaged pack: ids: the notes are not in order"),
    "ids out of order": (
        every("id", b'["b", "a", "c", "d", "e", "f"]'),
        "damaged pack: ids: the notes are not in order",
    ),
    "id in numbers": (every("id", b"[1, 2, 3, 4, 5, 6]"), "damaged pack: ids: 1 is no text"),
    "no ids": (every("id", None), "damaged pack: ids: "),
    "deep ids": (every("id", b"[" * 100_000), "damaged pack: ids: JSON nested too deeply"),
    "odd features": (every("note_feature", b"abc"), "damaged pack: feature: "),
    "half a weight": (every("note_feature", b"abcdab"), "damaged pack: feature: "),
    "far class": (every("note_feature", pack_feature(1000, [6], [1])), "damaged pack: feature: a weight belongs to no"),
    "low class": (
        every("note_feature", pack_feature(1000, [-2], [1])),
        "damaged pack: feature: a weight belongs to no",
    ),
    "far kind of turn": (
        every("turn_feature", pack_feature(1000, [len(TURN_CLASSES)], [1])),
        "damaged pack: feature: a weight belongs to no class",
    ),
    "classes out of order": (
        every("note_feature", pack_feature(1000, [1, 0], [1, 1])),
        "damaged pack: feature: classes that are not in order",
    ),
    "low idf": (every("note_feature", pack_feature(-1, [], [])), "damaged pack: feature: -1 is no idf"),
    "high idf": (every("note_feature", pack_feature(2**30, [], [])), "damaged pack: feature: 1073741824 is no idf"),
    "alarm of a word": (
        entry("alarm", "stick", b'[[0, "stick", "x", 0]]'),
        "damaged pack: alarm: x is no whole number",
    ),
    "alarm of no text": (entry("alarm", "stick", b"[[0, 7, 0, 0]]"), "damaged pack: alarm: 7 is no text"),
    "alarm that may lift": (entry("alarm", "stick", b'[[0, "stick", 0, 2]]'), "damaged pack: alarm: 2 is no whole"),
    "far alarm": (entry("alarm", "stick", b'[[0, "stick", 6, 0]]'), "damaged pack: alarm: 6 is no whole number from 0"),
    "short alarm": (entry("alarm", "stick", b'[[0, "stick", 0]]'), "damaged pack: alarm: a list is no list of lists"),
    "odd chunks": (every("term", b"abc"), "damaged pack: term: "),
    "half a chunk": (every("term", b"abcd"), "damaged pack: term: "),
    "far chunk": (every("term", postings((18, 1, 0))), "damaged pack: term: a weight belongs to nothing"),
    "far field": (every("term", postings((0, 1, 7))), "damaged pack: term: a field that there is none of"),
    "low count": (every("term", (-1).to_bytes(4, "little", signed=True)), "damaged pack: term: 0 bytes where"),
    "endless count": (every("term", (2**31 - 1).to_bytes(4, "little")), "damaged pack: term: 4 bytes where there must"),
    "a part is missing": (
        every("term", (PART + 1).to_bytes(4, "little") + bytes(4) + b"\x09\0\0\0" + bytes(4)),
        "damaged pack: term: 0 bytes where there must be",
    ),
    "parts out of order": (
        every("term", (PART + 1).to_bytes(4, "little") + b"\x09\0\0\0" + bytes(4) + bytes(4)),
        "damaged pack: term: parts that are not in order",
    ),
    "odd count": (every("form", b"many!"), "damaged pack: form: 5 bytes where there must be 4"),
    "slip": (every("slip", b"\xff"), "damaged pack: slip: "),
    "note": (every("note", b"{}"), "damaged pack: note pad-stick-cap: lacks 'id'"),
    "note text": (every("note", b"x"), "damaged pack: note pad-stick-cap: "),
    "no notes": (every("note", None), "damaged pack: there is no note pad-stick-cap"),
    "id": (note_of(CAP, lambda note: note.update(id="disc-clean")), "damaged pack: note pad-stick-cap: its id or "),
    "action": (note_of(CAP, lambda note: note.update(action="adjusv")), "damaged pack: note pad-stick-cap: its id or "),
    "meaning": (entry("meaning", "stick", b"[1]"), "damaged pack: meaning: "),
    "meaning in words": (entry("meaning", "stick", b'[["cap", "10"]]'), "damaged pack: meaning: 10 is no whole number"),
    "endless meaning": (entry("meaning", "stick", b'[["cap", %d]]' % 10**300), "damaged pack: meaning: 1000000"),
    "step": (every("step", b'{"cap": 3}'), "damaged pack: steps of pad-stick-cap: 3 is no list"),
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
        *("harm", "emergency", "trade", "sizes", "bias"),
    ],
)
def test_missing_key_of_the_manifest_is_named(mini_pack_path: Path, tmp_path: Path, key: str) -> None:
    path = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, path)
    manifest(key, None)(path)
    with pytest.raises(PackError) as raised:
        Pack(path)
    assert str(raised.value).startswith(f"{path}:1: damaged pack: the manifest lacks {key}; ")


def test_a_folder_is_no_pack(tmp_path: Path) -> None:
    with pytest.raises(PackError, match=":1: no pack here; compile one with 'assistant corpus compile'"):
        Pack(tmp_path)
