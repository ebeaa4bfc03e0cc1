"""The rules on hazards: messages from the table, words of steps that want one, signatures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.checking.check import check
from assistant.checking.mend import mend_all
from assistant.checking.messages import words_of_steps
from assistant.checking.registry import all_rules
from assistant.errors import NotesError
from assistant.notes.corpus import read_corpus
from assistant.notes.signing import signed
from tests.unit.checking.seeds import BARE_WIRE, NAME, VAPOUR, book_of, note_text, write_frame

NOTE = f"pad/{NAME}.md"
BARE = "> **WARNING** A cut lead has bare wires. They can burn a hand. Unplug it first."
OTHER = "> **WARNING** Alcohol gives off vapour. It can catch fire and burn skin. Keep flames away."
NOT_THE_TABLES = (
    "does not begin with the three sentences of 'bare-wire' in hazards.yaml: "
    "write > bare-wire on this line and run --fix"
)
ADD = "add it there, or write one of its keys"
FIRST, LAST = "1. Open the cabinet with the cabinet key.", "3. Close the door of the cabinet."


def write(root: Path, front: str, *messages: str, step: str = "Play one demo loop.", after: str = "") -> None:
    """Write the note with its messages before step 2; ``front`` are more lines of the front matter."""
    between = "".join(f"\n{message}\n" for message in messages)
    text = re.sub(
        r"(?s)1\. Open.*?## Result",
        lambda _: f"{FIRST}\n{between}\n2. {step}\n{LAST}{after}\n\n## Result",
        note_text(NAME).replace("\n---\n\n## Condition", f"\n{front}---\n\n## Condition"),
    )
    (root / NOTE).write_text(text, "utf-8")


@pytest.fixture
def root(tmp_path: Path) -> Path:
    folder = write_frame(tmp_path / "notes")
    (folder / "hazards.yaml").write_text(BARE_WIRE + VAPOUR, "utf-8")
    return folder


def told(root: Path, code: str) -> list[tuple[str, str]]:
    """Return the line and the message of every finding of a rule."""
    rules = [rule for rule in all_rules() if rule.code == code]
    book = book_of(root)
    return [(book.texts[f.path][f.line - 1], f.message) for f, _ in check(book, rules)]


def mended(root: Path, *codes: str) -> list[str]:
    """Mend by some rules, and return what the lines on hazards are then."""
    mend_all(root, lambda: book_of(root), [rule for rule in all_rules() if rule.code in codes])
    lines = (root / NOTE).read_text("utf-8").split("\n")
    return [line for line in lines if line.startswith((">", "hazards:", "safety_review:"))]


BOTH = "hazards: [bare-wire, vapour]\n"


@pytest.mark.parametrize(
    ("front", "messages", "found"),
    [
        (BOTH, (BARE, OTHER), []),
        (BOTH, (f"{BARE} Wait a minute.", OTHER.replace("WARNING", "DANGER")), []),
        ("", (), []),
        ("", (BARE,), [(BARE, "names 0 hazards, and the note has 1 safety message: name one for each, in order")]),
        (
            "hazards: [bare-wire]\n",
            (BARE, OTHER),
            [
                (
                    "hazards: [bare-wire]",
                    "names 1 hazard, and the note has 2 safety messages: name one for each, in order",
                )
            ],
        ),
        (
            "hazards: [bare-wire]\n",
            (),
            [
                (
                    "hazards: [bare-wire]",
                    "names 1 hazard, and the note has 0 safety messages: name one for each, in order",
                )
            ],
        ),
        (
            "hazards: [vapour, bare-wire]\n",
            (BARE, OTHER),
            [
                (
                    "hazards: [vapour, bare-wire]",
                    "the messages are those of bare-wire, vapour: write hazards: [bare-wire, vapour], or --fix",
                )
            ],
        ),
        (
            "hazards: [nothing]\n",
            ("> **WARNING** It is hot. It burns. Keep off it.",),
            [("hazards: [nothing]", "hazards.yaml does not have 'nothing': add it there, or name the right key")],
        ),
        (
            "hazards: [bare-wire]\n",
            (BARE.replace("They can", "It can"),),
            [
                (
                    BARE.replace("They can", "It can"),
                    NOT_THE_TABLES,
                )
            ],
        ),
        (
            "hazards: [bare-wire]\n",
            (BARE.replace("Unplug it first.", "Unplug it first!"),),
            [
                (
                    BARE.replace("first.", "first!"),
                    NOT_THE_TABLES,
                )
            ],
        ),
        (
            "hazards: [bare-wire]\n",
            (BARE.replace("WARNING", "CAUTION"),),
            [
                (
                    BARE.replace("WARNING", "CAUTION"),
                    "is a CAUTION, and 'bare-wire' is a WARNING at least: begin it with WARNING",
                )
            ],
        ),
    ],
)
def test_messages_are_those_of_the_table(
    root: Path, front: str, messages: tuple[str, ...], found: list[tuple[str, str]]
) -> None:
    write(root, front, *messages)
    assert told(root, "C306") == found


def test_without_a_table_messages_are_free(root: Path) -> None:
    (root / "hazards.yaml").unlink()
    write(root, "", BARE)
    assert told(root, "C306") == []


@pytest.mark.parametrize(
    ("front", "messages", "after"),
    [
        ("", (BARE, OTHER), ["hazards: [bare-wire, vapour]", BARE, OTHER]),
        ("hazards: [vapour, bare-wire]\n", (BARE, OTHER), ["hazards: [bare-wire, vapour]", BARE, OTHER]),
        (
            "hazards: [bare-wire]\n",
            ("> **CAUTION** Wires show. They burn. Keep off. Wait a minute.",),
            ["hazards: [bare-wire]", f"{BARE} Wait a minute."],
        ),
        (
            "hazards: [bare-wire]\n",
            ("> **DANGER** Wires show. They burn. Keep off.",),
            ["hazards: [bare-wire]", BARE.replace("WARNING", "DANGER")],
        ),
        ("", ("> bare-wire", ">vapour"), ["hazards: [bare-wire, vapour]", BARE, OTHER]),
        ("hazards: []\n", ("> vapour",), ["hazards: [vapour]", OTHER]),
        ("hazards: [bare-wire]\n", (BARE, "> vapour"), ["hazards: [bare-wire, vapour]", BARE, OTHER]),
        ("hazards: [nothing]\n", ("> **WARNING** It is hot. It burns. Keep off.",), None),
        ("hazards:\n- vapour\n", (BARE,), None),
        ("", ("> nothing",), None),
    ],
)
def test_what_is_mended(root: Path, front: str, messages: tuple[str, ...], after: list[str] | None) -> None:
    write(root, front, *messages)
    before = (root / NOTE).read_text("utf-8")
    lines = mended(root, "C306")
    if after is None:
        assert (root / NOTE).read_text("utf-8") == before
        assert told(root, "C306")
    else:
        assert lines == after
        assert told(root, "C306") == []


def test_a_key_that_the_table_does_not_have_is_told_where_it_stands(root: Path) -> None:
    write(root, "", "> nothing")
    assert told(root, "C306") == [
        (
            "> nothing",
            f"stands for the message of 'nothing', which hazards.yaml does not have: {ADD}",
        )
    ]


def test_a_changed_sentence_of_the_table_reaches_every_note(root: Path) -> None:
    write(root, "hazards: [bare-wire]\n", f"{BARE} Wait a minute.")
    (root / "hazards.yaml").write_text(BARE_WIRE.replace("burn a hand", "burn skin") + VAPOUR, "utf-8")
    assert mended(root, "C306")[1] == f"{BARE} Wait a minute.".replace("burn a hand", "burn skin")


@pytest.mark.parametrize(
    ("step", "found"),
    [
        ("Wipe the rim with alcohol.", True),
        ("WIPE IT WITH ALCOHOL.", True),
        ("Never wipe the rim with alcohol.", False),
        ("Wipe the rim with alcohol-free water.", False),
        ("Wipe the rim with a dry cloth.", False),
    ],
)
def test_a_step_wants_the_message_of_its_words(root: Path, step: str, found: bool) -> None:
    write(root, "", step=step)
    what = "no message on 'vapour' stands before step 2, which has 'with alcohol'"
    (root / "hazards.yaml").write_text(VAPOUR.replace("alcohol wipe", "with alcohol"), "utf-8")
    assert told(root, "C303") == ([(f"2. {step}", what)] if found else [])
    write(root, "hazards: [vapour]\n", OTHER, step=step)
    assert told(root, "C303") == []


def test_one_message_is_enough_where_hazards_share_the_words(root: Path) -> None:
    both = BARE_WIRE + "  before: [open the lid]\n" + VAPOUR.replace("with alcohol", "open the lid")
    (root / "hazards.yaml").write_text(both, "utf-8")
    write(root, "", step="Open the lid.")
    what = "no message on 'bare-wire' or 'vapour' stands before step 2, which has 'open the lid'"
    assert told(root, "C303") == [("2. Open the lid.", what)]
    for key, message in (("bare-wire", BARE), ("vapour", OTHER)):
        write(root, f"hazards: [{key}]\n", message, step="Open the lid.")
        assert told(root, "C303") == []


def test_what_frees_a_step_may_stand_in_the_title(root: Path) -> None:
    (root / "hazards.yaml").write_text(VAPOUR.replace("with alcohol", "lift the lid unless printer"), "utf-8")
    write(root, "", step="Lift the lid.")
    what = "no message on 'vapour' stands before step 2, which has 'lift the lid'"
    assert told(root, "C303") == [("2. Lift the lid.", what)]
    text = (root / NOTE).read_text("utf-8")
    (root / NOTE).write_text(re.sub(r"(?m)^title: .*", "title: Paper jammed in the score printer", text), "utf-8")
    assert told(root, "C303") == []
    write(root, "", step="Lift the lid of the printer.")
    assert told(root, "C303") == []


@pytest.mark.parametrize(
    ("title", "step", "found"),
    [
        ("", "Lift the lid.", True),
        ("", "Lift the lid of the console.", True),
        ("", "Lift the lid of the printer.", False),
        ("Paper jammed in the score printer", "Open the lid.", False),
        ("Paper jammed in the score printer", "Lift the lid of the console.", True),
        ("Paper jammed in the score printer", "Open the lid of the drive.", True),
    ],
)
def test_the_lid_of_a_printer_hides_no_laser(root: Path, title: str, step: str, found: bool) -> None:
    """By the table that ships; that a printer's lid covers no drive is common practice."""
    shipped = Path(__file__).parents[3] / "corpus/hazards.yaml"
    (root / "hazards.yaml").write_text(shipped.read_text("utf-8"), "utf-8")
    write(root, "", step=step)
    text = (root / NOTE).read_text("utf-8")
    (root / NOTE).write_text(re.sub(r"(?m)^title: .*", f"title: {title}", text) if title else text, "utf-8")
    assert any("'laser'" in message for _, message in told(root, "C303")) is found


def test_a_key_in_place_of_its_message_hides_no_other_finding(root: Path) -> None:
    """The file cannot be compiled as it stands; what else is wrong with it is told all the same."""
    write(root, "hazards: [bare-wire]\n", "> bare-wire", step="Wipe it with alcohol.")
    assert told(root, "C101") == []
    key = "stands for the message of 'bare-wire': --fix writes it out"
    assert told(root, "C306") == [("> bare-wire", key)]
    assert [line for line, _ in told(root, "C303")] == ["2. Wipe it with alcohol."]
    with pytest.raises(NotesError, match="a safety message must begin with"):
        read_corpus(root)
    write(root, "", "> nothing", step="Wipe it with alcohol.")
    assert [line for line, _ in told(root, "C101")] == ["> nothing"]


def test_a_message_that_comes_later_is_none(root: Path) -> None:
    write(root, "hazards: [vapour]\n", after=f"\n\n{OTHER}\n\n4. Look at the lamp.", step="Wipe it with alcohol.")
    assert [line for line, _ in told(root, "C303")] == ["2. Wipe it with alcohol."]


@pytest.mark.parametrize(
    ("words", "text", "said", "freed"),
    [
        ("put ... headset on", "Put your headset on.", True, False),
        ("put ... headset on", "Put it down. The headset on the shelf is new.", False, False),
        ("climb", "Ask the climber.", False, False),
        ("climb unless picture off", "Climb, picture off.", True, True),
        ("C.D", "COD", False, False),
        ("lift the lid unless printer/kit box", "Lift the lid of the drive.", True, False),
        ("lift the lid unless printer/kit box", "Lift the lid of the kit box.", True, True),
        ("lift the lid unless printer/kit box", "Lift the lid of the printers.", True, False),
    ],
)
def test_the_words_of_steps(words: str, text: str, said: bool, freed: bool) -> None:
    pattern, unless = words_of_steps(words)
    assert bool(re.search(pattern, text, re.IGNORECASE)) is said
    assert bool(re.search(unless, text, re.IGNORECASE)) is freed


def test_a_message_may_say_more_after_its_third_sentence(root: Path) -> None:
    write(root, "", f"{BARE} The lead stays hot.", "> **WARNING** It is hot. It burns skin. It stays hot. Keep off it.")
    assert [line[:30] for line, _ in told(root, "C301")] == ["> **WARNING** It is hot. It bu"]


def test_hazards_that_no_note_names_are_told_at_their_line(root: Path) -> None:
    write(root, "hazards: [vapour]\n", OTHER)
    assert told(root, "C307") == [("bare-wire:", "no note names the hazard 'bare-wire'")]


def test_a_note_with_a_hazard_speaks_of_its_signature(root: Path) -> None:
    what = "has a hazard and no 'safety_review': say 'unsigned' until somebody signs"
    write(root, "", BARE)
    assert told(root, "C308") == [(BARE, what)]
    write(root, "hazards: [bare-wire]\n", BARE)
    assert told(root, "C308") == [("hazards: [bare-wire]", what)]
    assert mended(root, "C308") == ["hazards: [bare-wire]", "safety_review: unsigned", BARE]
    assert told(root, "C308") == []
    write(root, "")
    assert told(root, "C308") == []


def test_a_signature_of_another_text_is_told(root: Path) -> None:
    write(root, "hazards: [bare-wire]\n", BARE)
    text = signed((root / NOTE).read_text("utf-8"), "A. Officer", "2026-11-20", 1)
    (root / NOTE).write_text(text, "utf-8")
    assert told(root, "C308") == []
    (root / NOTE).write_text(text.replace("Play one demo loop.", "Play two demo loops."), "utf-8")
    ((line, message),) = told(root, "C308")
    assert line.startswith("safety_review: {by: ")
    assert message == "was changed since A. Officer signed it, 2026-11-20: have it signed anew"


def test_missing_field_and_missing_signature_are_mended_together(root: Path) -> None:
    write(root, "", "> bare-wire")
    assert mended(root, "C306", "C308") == ["hazards: [bare-wire]", "safety_review: unsigned", BARE]
