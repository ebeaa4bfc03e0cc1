"""Pictures in a pack: a table that only a pack with pictures has, whose blocks prove themselves as all others do."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from assistant.answering.assistant import Assistant
from assistant.answering.card import Block, card
from assistant.answering.compose import direct_answer
from assistant.answering.contract import answer_to_json
from assistant.cli.card_page import card_page
from assistant.cli.output import answer_text
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.packfile import write_pack_file
from assistant.errors import PackError
from assistant.model import Corpus, Figure, Note
from assistant.notes.corpus import read_corpus
from assistant.pack.codec import note_from_json, note_to_json
from assistant.pack.format import FIGURES, SCHEMA
from assistant.pack.reader import Pack
from assistant.tui.common.card import card_paragraphs
from tests.making import NOTE_PATH, NOTE_TEXT, answer_of, plain_settings, write_corpus
from tests.packs import script

DRAWN = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><circle r="3"></circle></svg>\n'
LINE = "![The plug at the back of the pad](pad-plug.svg)"
SHOWN = Block("picture", "The plug at the back of the pad", "Picture", target="pad/pad-plug.svg")


@pytest.fixture(scope="module")
def corpus(tmp_path_factory: pytest.TempPathFactory) -> Corpus:
    root = write_corpus(tmp_path_factory.mktemp("pictured"))
    (root / "pad/pad-plug.svg").write_bytes(DRAWN)
    (root / NOTE_PATH).write_text(NOTE_TEXT.replace("2. Unplug the pad.\n", f"2. Unplug the pad.\n\n   {LINE}\n\n"))
    return read_corpus(root)


@pytest.fixture
def path(corpus: Corpus, tmp_path: Path) -> Path:
    compile_corpus(corpus, plain_settings(), tmp_path / "p.pack")
    return tmp_path / "p.pack"


def note_of(corpus: Corpus) -> Note:
    return next(note for note in corpus.notes if note.figures)


def test_a_picture_comes_back_by_the_digest_of_its_file(corpus: Corpus, path: Path) -> None:
    with Pack(path) as pack:
        note = pack.note("pad-demo")
        assert note is not None
        assert note.figures == note_of(corpus).figures
        assert pack.figure(note.figures[0]) == DRAWN
        with pytest.raises(PackError, match=r"there is no picture pad-plug\.svg"):
            pack.figure(note.figures[0]._replace(digest="0" * 64))


def test_a_pack_of_notes_without_pictures_is_as_it_was(mini_pack_path: Path) -> None:
    with closing(sqlite3.connect(mini_pack_path)) as db:
        assert db.execute("SELECT count(*) FROM sqlite_master WHERE name = ?", (FIGURES,)).fetchone() == (0,)
    with Pack(mini_pack_path) as pack, pytest.raises(PackError, match="there is no picture"):
        pack.figure(Figure("a.svg", "a", digest="0"))


def test_a_changed_picture_is_told_when_it_is_read_and_words_are_answered_all_the_same(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        ((number, content),) = db.execute(f"SELECT number, content FROM {FIGURES}").fetchall()
        changed = content.replace(b"circle", b"script")
        assert changed != content
        db.execute(f"UPDATE {FIGURES} SET content = ? WHERE number = ?", (changed, number))
        db.commit()
    with Pack(path) as pack:
        answer, _ = Assistant(pack).show("pad-demo")
        assert SHOWN in card(answer)
        with pytest.raises(PackError, match="block 0 of 'figure' is not what was written"):
            card_page(answer, pack)


@pytest.mark.parametrize(
    "statements",
    [
        (f"DROP TABLE {FIGURES}", "CREATE TABLE figure (number INTEGER PRIMARY KEY, content)"),
        (f"DROP TABLE {FIGURES}", "CREATE VIEW figure AS SELECT 0 AS number, zeroblob(10) AS content"),
        ("CREATE TABLE more (number)",),
        ("DROP TABLE slip",),
    ],
)
def test_another_table_of_pictures_is_refused(path: Path, statements: tuple[str, ...]) -> None:
    script(*statements)(path)
    with pytest.raises(PackError, match="its tables are not those of a pack"):
        Pack(path)


def test_a_table_of_pictures_that_is_gone_or_empty_lacks_them(path: Path) -> None:
    for statements in ((f"DELETE FROM {FIGURES}",), (f"DROP TABLE {FIGURES}",)):
        script(*statements)(path)
        with Pack(path) as pack, pytest.raises(PackError, match=r"missing|there is no picture"):
            pack.figure(pack.note("pad-demo").figures[0])  # type: ignore[union-attr]


def test_the_table_stands_last(tmp_path: Path) -> None:
    assert list(SCHEMA)[-1] == FIGURES
    write_pack_file({FIGURES: [("a", b"1")]}, {}, tmp_path / "x.pack")
    with closing(sqlite3.connect(tmp_path / "x.pack")) as db:
        assert [name for (name,) in db.execute("SELECT name FROM sqlite_master ORDER BY rowid")] == list(SCHEMA)


def test_a_note_without_pictures_is_stored_as_before(corpus: Corpus) -> None:
    note = note_of(corpus)
    assert '"figures"' not in note_to_json(note._replace(figures=()))
    assert note_from_json(note_to_json(note)).figures == note.figures
    for wrong in ('"step": 9', '"step": "2"', '"step": -1', '"step": 2, "more": 1'):
        with pytest.raises(ValueError, match=r"9|2|-1|keys"):
            note_from_json(note_to_json(note).replace('"step": 2}', f"{wrong}}}"))


def test_a_picture_stands_under_its_step_and_before_no_message(corpus: Corpus) -> None:
    note = note_of(corpus)
    figures = tuple(Figure("a.svg", f"words {n}", n) for n in (3, 1, 0, 2, 1))
    blocks = card(answer_of(note._replace(figures=figures)))
    kinds = [(block.kind, block.head if block.kind == "step" else block.text) for block in blocks]
    for n in (1, 2, 3):
        assert kinds[kinds.index(("step", str(n))) + 1] == ("picture", f"words {n}")
    assert kinds.index(("picture", "words 0")) < kinds.index(("label", "Steps"))
    for place, (kind, _) in enumerate(kinds):
        if kind == "safety":
            assert kinds[place + 1][0] in ("safety", "step")


def test_a_picture_is_told_on_terminal_and_screen_and_to_programs(corpus: Corpus) -> None:
    answer = answer_of(note_of(corpus))
    assert "\n    Picture: The plug at the back of the pad (pad/pad-plug.svg)\n" in answer_text(answer)
    (told,) = [paragraph for paragraph in card_paragraphs(answer) if paragraph.look == "picture"]
    assert [line.plain for line in told.lines(80)] == ["Picture: The plug at the back of the pad (pad/pad-plug.svg)"]
    assert answer_to_json(answer)["pictures"] == [
        {"name": "pad-plug.svg", "text": "The plug at the back of the pad", "step": 2}
    ]
    assert "pictures" not in answer_to_json(answer_of(note_of(corpus)._replace(figures=())))


@pytest.mark.parametrize(("step", "shown"), [(2, True), (3, False)])
def test_a_step_that_is_told_has_its_picture(corpus: Corpus, step: int, shown: bool) -> None:
    note = note_of(corpus)
    answer = answer_of(note, about="step", text=direct_answer(note, "step", step, f"step {step}"))
    blocks = card(answer)
    place = next(place for place, block in enumerate(blocks) if block.kind == "text")
    assert (blocks[place + 1] == SHOWN) is shown


@pytest.mark.parametrize(
    "changed",
    [
        True,
        {},
        [7],
        [{}],
        [{"step": 0.5}],
        [{"step": -1}],
        [{"step": 10**12}],
        [{"step": None}],
        [{"name": 7}],
        [{"name": "a.gif"}],
        [{"name": "../../ev<b>.svg"}],
        [{"name": ".svg"}],
        [{"alt": None}],
        [{"digest": ["a"]}],
        [{"line": -1}],
        [{"more": 1}],
    ],
    ids=json.dumps,
)
def test_what_is_no_list_of_pictures_is_no_note(corpus: Corpus, changed: object) -> None:
    held = json.loads(note_to_json(note_of(corpus)))
    (figure,) = held["figures"]
    if isinstance(changed, list) and isinstance(changed[0], dict) and changed[0]:
        changed = [{**figure, **changed[0]}]
    assert note_from_json(json.dumps(held)).figures == note_of(corpus).figures
    with pytest.raises(ValueError):
        note_from_json(json.dumps(held | {"figures": changed}))
