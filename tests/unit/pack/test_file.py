"""The file of a pack: its tables are the known ones, its blocks are whole, and no look into it goes on for ever."""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from assistant.errors import PackError
from assistant.pack.blocks import decode_block, encode_block
from assistant.pack.file import PackFile
from assistant.pack.format import SCHEMA, TABLES
from tests.packs import Damage, run_sql, script

ENDLESS = (
    "WITH RECURSIVE n(number) AS (SELECT 1 UNION ALL SELECT number + 1 FROM n) SELECT number, number AS content FROM n"
)
OTHER_TABLES = "its tables are not those of a pack"


SCHEMAS: dict[str, Damage] = {
    **{f"view {name}": script(f"DROP TABLE {name}", f"CREATE VIEW {name} AS {ENDLESS}") for name in TABLES},
    "one more view": script(f"CREATE VIEW more AS {ENDLESS}"),
    "trigger": script("CREATE TRIGGER more AFTER INSERT ON note BEGIN DELETE FROM note; END"),
    "index": script("CREATE INDEX more ON note (content)"),
    "one more table": script("CREATE TABLE more (number)"),
    "virtual table": script("CREATE VIRTUAL TABLE more USING fts5(content)"),
    "one table less": script("DROP TABLE slip"),
    "another column": script("ALTER TABLE note ADD COLUMN more"),
    "computed column": script("ALTER TABLE note ADD COLUMN more AS (zeroblob(1000000000))"),
    "another order": script("DROP TABLE term", SCHEMA["term"]),
    "another statement": script("DROP TABLE meaning", f"{SCHEMA['meaning']} STRICT"),
}


@pytest.fixture
def path(mini_pack_path: Path, tmp_path: Path) -> Path:
    copied = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, copied)
    return copied


def refusal(path: Path, reason: str) -> str:
    return f"{path}:1: damaged pack: {reason}; compile it again with 'assistant corpus compile'"


@pytest.mark.parametrize("name", SCHEMAS)
def test_other_tables_are_refused(path: Path, name: str) -> None:
    SCHEMAS[name](path)
    with pytest.raises(PackError) as raised:
        PackFile(path)
    assert str(raised.value) == refusal(path, OTHER_TABLES)


def read_all(path: Path) -> None:
    file = PackFile(path)
    try:
        for table in TABLES[1:]:
            file.entries(table, [f"{number}" for number in range(100_000)])
    finally:
        file.close()


def test_a_whole_pack_is_read(path: Path) -> None:
    read_all(path)


BLOCKS: dict[str, tuple[Damage, str]] = {
    "missing": (run_sql("DELETE FROM form WHERE number = 3"), "a block of 'form' is missing"),
    "none": (run_sql("DELETE FROM form"), "a block of 'form' is missing"),
    "renumbered": (run_sql("UPDATE form SET number = 10000000 WHERE number = 3"), "a block of 'form' is missing"),
    "swapped": (
        run_sql("UPDATE form SET content = (SELECT content FROM form WHERE number = 3) WHERE number = 4"),
        "block 4 of 'form' is not what was written",
    ),
    "from another table": (
        run_sql("UPDATE form SET content = (SELECT content FROM slip WHERE number = 3) WHERE number = 3"),
        "block 3 of 'form' is not what was written",
    ),
    "text": (
        run_sql("UPDATE form SET content = CAST('text' AS TEXT) WHERE number = 3"),
        "block 3 of 'form' is not what",
    ),
    "bytes as text": (run_sql("UPDATE form SET content = CAST(x'ff' AS TEXT) WHERE number = 3"), "Could not decode"),
    "number": (run_sql("UPDATE form SET content = 7 WHERE number = 3"), "block 3 of 'form' is not what was written"),
    "zeros": (run_sql("UPDATE form SET content = zeroblob(8) WHERE number = 3"), "block 3 of 'form' is not what"),
    "endless zeros": (
        run_sql("UPDATE form SET content = zeroblob(17 * 1024 * 1024) WHERE number = 3"),
        "string or blob too big",
    ),
    "empty": (run_sql("UPDATE form SET content = x'' WHERE number = 3"), "block 3 of 'form' is not what was written"),
    "manifest": (run_sql("UPDATE manifest SET content = x'00000000'"), "block 0 of 'manifest' is not what was written"),
}


@pytest.mark.parametrize("name", BLOCKS)
def test_a_block_that_is_not_what_was_written_is_refused(path: Path, name: str) -> None:
    damage, reason = BLOCKS[name]
    damage(path)
    with pytest.raises(PackError) as raised:
        read_all(path)
    assert str(raised.value).startswith(refusal(path, reason).split(";")[0])
    assert "\n" not in str(raised.value)


COUNTS = [{**dict.fromkeys(TABLES[1:], 1), "note": count} for count in (0, -1, "6", 1.5, True, None, 10**400)]


def with_counts(text: str) -> Damage:
    """Put a text in place of the counts of blocks, and seal the manifest again."""

    def damage(path: Path) -> None:
        with closing(sqlite3.connect(path)) as db:
            ((content,),) = db.execute("SELECT content FROM manifest")
            told = {**decode_block("manifest", 0, content), "blocks": text.encode()}
            db.execute("UPDATE manifest SET content = ?", (encode_block("manifest", 0, told),))
            db.commit()

    return damage


@pytest.mark.parametrize("text", ["{", "[]", "3", "{}", '{"note": 6}', "[" * 100_000, "NaN", *map(json.dumps, COUNTS)])
def test_odd_counts_of_blocks_are_refused(path: Path, text: str) -> None:
    with_counts(text)(path)
    with pytest.raises(PackError) as raised:
        PackFile(path)
    assert str(raised.value).startswith(refusal(path, "'blocks' of the manifest").split(";")[0])


def test_a_look_that_does_not_end_is_ended(path: Path) -> None:
    file = PackFile(path)
    endless = "WITH RECURSIVE n(number) AS (SELECT 1 UNION ALL SELECT number FROM n) SELECT max(number) FROM n"
    with pytest.raises(PackError) as raised:
        file._rows(endless)
    assert str(raised.value) == refusal(path, "looking something up takes too many steps")
    assert file.entries("form", ["stick"])
    file.close()


def test_functions_that_a_schema_could_call_are_off(path: Path) -> None:
    file = PackFile(path)
    assert file._rows("PRAGMA trusted_schema") == [(0,)]
    file.close()


def test_a_table_of_which_much_was_asked_is_kept(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = PackFile(path)
    with closing(sqlite3.connect(path)) as db:
        rows = db.execute("SELECT number, content FROM form").fetchall()
    held = {key: value for number, content in rows for key, value in decode_block("form", number, content).items()}
    looks = 0
    before = file._rows

    def counted(sql: str, parameters: tuple[int, ...] = ()) -> list[tuple[object, ...]]:
        nonlocal looks
        looks += 1
        return before(sql, parameters)

    monkeypatch.setattr(file, "_rows", counted)
    for _ in range(3):
        assert file.entries("form", [*held, "no such form"]) == held
    again = looks
    assert file.entries("form", [*held, "no such form"]) == held
    assert file.entries("form", ["no such form"]) == {}
    assert looks == again
    file.close()


def test_damage_in_a_table_that_would_be_kept_is_told_once_it_is_asked_for(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        ((number, content),) = db.execute("SELECT number, content FROM form LIMIT 1")
        (other,) = db.execute("SELECT content FROM form WHERE number != ? LIMIT 1", (number,)).fetchone()
        count = len(db.execute("SELECT number FROM form").fetchall())
        sound = next(iter(decode_block("form", number, content)))
        db.execute("UPDATE form SET content = ? WHERE content = ?", (other[:-1] + bytes([other[-1] ^ 1]), other))
        db.commit()
    file = PackFile(path)
    for _ in range(2 * count + 2):
        assert sound in file.entries("form", [sound])
    with pytest.raises(PackError, match="is not what was written"):
        file._blocks("form", range(count))
    file.close()
