"""What an author gets wrong, each with the message that the check has for it: what is wrong, and what to do.

The slips are common practice; those of YAML, line ends and marks at the beginning of a file are what other programs
write.
"""

from __future__ import annotations

import codecs
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.cli.conftest import Run
from tests.making import write_corpus
from tests.unit.checking.seeds import FORBIDDEN

NOTE = "pad/pad-demo.md"
OTHER = "pad/pad-other.md"
QUESTIONS = "pad/pad-demo.questions.txt"
PHRASES = "pad/pad-demo.phrases.yaml"
HAZARD = """\
belt-nip:
  signal: WARNING
  hazard: A belt pulls fingers in.
  consequence: They can break.
  avoidance: Unplug it first.
  source: common practice
"""
Change = Callable[[Path], object]


class Mistake(NamedTuple):
    """What is done to the folder, the code of the finding, its file, and words of its message."""

    change: Change
    code: str
    path: str
    words: tuple[str, ...]


def put(old: str, new: str, path: str = NOTE) -> Change:
    """Return what replaces a text of a file."""

    def change(root: Path) -> None:
        text = (root / path).read_text("utf-8")
        assert old in text
        (root / path).write_text(text.replace(old, new, 1), "utf-8")

    return change


def write(path: str, text: str | bytes) -> Change:
    """Return what writes a file."""

    def change(root: Path) -> None:
        (root / path).parent.mkdir(exist_ok=True)
        (root / path).write_bytes(text.encode() if isinstance(text, str) else text)

    return change


def why(text: str) -> Change:
    return put("A lead breaks inside.", text)


def copied(to: str) -> Change:
    return lambda root: shutil.copy(root / NOTE, root / to)


def keyed(quote: str) -> Change:
    """Return what writes the table of hazards, and a quote in place of a message."""

    def change(root: Path) -> None:
        (root / "hazards.yaml").write_text(HAZARD, "utf-8")
        put("> **WARNING** A cut lead has bare wires. They can burn a hand. Unplug it first.", quote)(root)

    return change


FIRST = "1. Look at the lamp."
SECOND = "2. Unplug the pad."
MISTAKES = {
    "an unclosed list": Mistake(put("[wired pad]", "[wired pad"), "C101", NOTE, ("front matter", "[")),
    "a tab in YAML": Mistake(put("minutes: 6", "\tminutes: 6"), "C101", NOTE, ("use blanks, not a tab",)),
    "a title with a colon": Mistake(
        put("Pad lamp stays dark", "Wheel: slips"),
        "C101",
        NOTE,
        ('put a value that holds a colon in quotes: title: "Wheel: slips"',),
    ),
    "a quoted date": Mistake(put("2026-11-02", '"2026-11-20"'), "C101", NOTE, ("without quotation marks",)),
    "a day before its month": Mistake(put("2026-11-02", "20.11.2026"), "C101", NOTE, ("a date such as 2026-11-02",)),
    "minutes in words": Mistake(put("minutes: 6", "minutes: about 15"), "C101", NOTE, ("whole number from 1 to 90",)),
    "too many minutes": Mistake(put("minutes: 6", "minutes: 95"), "C610", NOTE, ("1 to 90",)),
    "a field left out": Mistake(put("minutes: 6\n", ""), "C101", NOTE, ("field 'minutes' is missing",)),
    "an unknown field": Mistake(put("minutes: 6", "minutes: 6\nowner: me"), "C101", NOTE, ("unknown field 'owner'",)),
    "a field twice": Mistake(put("minutes: 6", "minutes: 6\nminutes: 7"), "C101", NOTE, ("stands twice",)),
    "a text for a list": Mistake(put("[cabinet key]", "cabinet key"), "C101", NOTE, ("must be a list of texts",)),
    "an action of no trade": Mistake(put("action: replace", "action: polish"), "C101", NOTE, ("none of", "clean")),
    "a station of no trade": Mistake(put("station: [pad]", "station: [kiosk]"), "C101", NOTE, ("none of", "disc")),
    "an unknown status": Mistake(put("minutes: 6", "minutes: 6\nstatus: done"), "C101", NOTE, ("draft or ready",)),
    "the id of another file": Mistake(
        copied("pad/pad-copy.md"), "C101", "pad/pad-copy.md", ("is taken by pad/pad-demo",)
    ),
    "an id and no such file": Mistake(put("id: pad-demo", "id: pad-lamp"), "C101", NOTE, ("is not the file name",)),
    "the same id in another folder": Mistake(
        write("cab/pad-demo.md", "---\nid: pad-demo\n---\n"),
        "C101",
        "cab/pad-demo.md",
        ("is taken by pad/pad-demo.md",),
    ),
    "a missing section": Mistake(put("## Result", "## Cause"), "C101", NOTE, ("'Result' is missing",)),
    "an unknown section": Mistake(put("## Why", "## Because"), "C101", NOTE, ("allowed are", "## Why")),
    "a bullet of another program": Mistake(
        put("   - If the lamp blinks", "   \u2022 If the lamp blinks"),
        "C101",
        NOTE,
        ("this line begins with '\u2022', which is no bullet: begin it with '- '",),
    ),
    "a dash for a bullet": Mistake(
        put("   - If the lamp blinks", "   \u2013 If the lamp blinks"), "C101", NOTE, ("begin it with '- '",)
    ),
    "a slip in the key of a hazard": Mistake(
        keyed("> belt_nip"), "C101", NOTE, ("no hazard 'belt_nip' in hazards.yaml: did you mean 'belt-nip'?",)
    ),
    "a phrase that holds a colon": Mistake(
        write(PHRASES, "plain:\n  - printer: nothing\n"), "C101", PHRASES, ("quote a text that holds a colon",)
    ),
    "a phrase that YAML takes for false": Mistake(
        write(PHRASES, "plain:\n  - no\n"), "C101", PHRASES, ("quote words such as no and on",)
    ),
    "a table": Mistake(
        put("A lead breaks inside.", "| what | why |\n|---|---|\n| clamp | loose |"),
        "C101",
        NOTE,
        ("a table has no place in a note: write a step or a bullet",),
    ),
    "a picture": Mistake(put(SECOND, "2. Unplug it ![pad](pad.png)."), "C101", NOTE, ("a picture stands on a line",)),
    "a link of another form": Mistake(put(SECOND, "2. See [that](https://x.test)."), "C101", NOTE, ("../area/id.md",)),
    "a link to nothing": Mistake(put("../pad/pad-other.md", "../pad/pad-none.md"), "C102", NOTE, ("does not exist",)),
    "a link that says its id": Mistake(put("[Another pad]", "[pad-other]"), "C110", NOTE, ("Another pad",)),
    "a choice without an end": Mistake(put("the work is done.", "be glad."), "C101", NOTE, ("a choice must end in",)),
    "a choice to no step": Mistake(put("go to step 3.", "go to step 9."), "C101", NOTE, ("step 9, which does not",)),
    "a wrong signal word": Mistake(put("**WARNING**", "**ATTENTION**"), "C101", NOTE, ("DANGER, WARNING, CAUTION",)),
    "a small signal word": Mistake(put("**WARNING**", "**Warning**"), "C101", NOTE, ("must begin with one of",)),
    "a message of two sentences": Mistake(put(" Unplug it first.", ""), "C101", NOTE, ("needs three sentences",)),
    "a notice for harm to people": Mistake(put("**WARNING**", "**NOTICE**"), "C302", NOTE, ("NOTICE",)),
    "a step number too high": Mistake(put(SECOND, "7. Unplug the pad."), "C101", NOTE, ("where step 2 is due",)),
    "a known forbidden act": Mistake(
        put(SECOND, "2. Unscrew the back of the pad."), "C416", NOTE, ("a device is opened (cover-off)",)
    ),
    "a verb of a forbidden act": Mistake(
        put(SECOND, "2. Unscrew the cap of the drink."),
        "C502",
        NOTE,
        ("begins with 'unscrew'", "may be a forbidden act (a device is opened)"),
    ),
    "no command": Mistake(put(SECOND, "2. Unplugg the pad."), "C502", NOTE, ("commands that STYLE.md", "unplug")),
    "a step too long": Mistake(
        put(SECOND, "2. Unplug " + "the pad and the lead and the cap " * 4 + "now."), "C503", NOTE, ("20",)
    ),
    "text in bold": Mistake(why("A lead **breaks** inside."), "C808", NOTE, ("'breaks' is in bold", "say it in words")),
    "text in italics": Mistake(why("A lead _breaks_ inside."), "C808", NOTE, ("which a rep does not see",)),
    "a slip of the pen": Mistake(why("A tabel breaks inside."), "C516", NOTE, ("'tabel'", "did you mean 'table'?")),
    "a doubled letter": Mistake(why("A brokken lead is inside."), "C516", NOTE, ("did you mean 'broken'?",)),
    "another language": Mistake(
        why("Bitte ziehen Sie zuerst den Stecker."), "C516", NOTE, ("another language than English",)
    ),
    "two units that differ": Mistake(why("Leave 36 in (1200 mm) free."), "C607", NOTE, ("36 in is 914 mm, not 1200",)),
    "two heats that differ": Mistake(why("It is at 104 F (50 C)."), "C607", NOTE, ("104 F is 40 C, not 50",)),
    "a numbered question": Mistake(write(QUESTIONS, "1. how tight\n"), "C713", QUESTIONS, ("'1.'", "leave it out")),
    "a dashed question": Mistake(write(QUESTIONS, "- dash one\n"), "C713", QUESTIONS, ("begins with '-'",)),
    "a question of no step": Mistake(write(QUESTIONS, "[9] how\n"), "C101", QUESTIONS, ("step 9",)),
    "questions without a note": Mistake(
        write("pad/pad-gone.questions.txt", "how\n"), "C101", "pad/pad-gone.questions.txt", ("without their note",)
    ),
    "Windows line ends": Mistake(
        lambda root: (root / NOTE).write_bytes((root / NOTE).read_bytes().replace(b"\n", b"\r\n")),
        "C806",
        NOTE,
        ("lines end in a carriage return", "corpus check --fix"),
    ),
    "a mark at the beginning": Mistake(
        lambda root: (root / NOTE).write_bytes(codecs.BOM_UTF8 + (root / NOTE).read_bytes()),
        "C807",
        NOTE,
        ("byte order mark", "save it as UTF-8 without"),
    ),
    "another encoding": Mistake(
        lambda root: (root / NOTE).write_bytes((root / NOTE).read_bytes() + "\u00e9".encode("latin-1")),
        "C101",
        NOTE,
        ("not valid UTF-8",),
    ),
    "a weight with a comma": Mistake(
        write("vocabulary.yaml", '"pad": {"joypad": 1,0}\n'), "C101", "vocabulary.yaml", ("a weight read 1.0, not 1,0",)
    ),
    "a line to write": Mistake(why("The reason (to write)."), "C109", NOTE, ("so that the note is a draft",)),
    "a way to a draft": Mistake(
        put("minutes: 6", "minutes: 6\nstatus: draft", OTHER), "C113", NOTE, ("a draft that is in no pack: finish it",)
    ),
}


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Two valid notes below this folder, with an act that none may tell to do."""
    root = write_corpus(tmp_path / "corpus")
    (root / "forbidden.yaml").write_text(FORBIDDEN, "utf-8")
    return root


def test_there_are_46_at_least() -> None:
    assert len(MISTAKES) >= 46


def found(run: Run, *arguments: str) -> list[tuple[str, str, str]]:
    listed = json.loads(run("corpus", "check", "--format", "json", *arguments).out)["findings"]
    return [(one["code"], one["path"].removeprefix("corpus/"), one["message"]) for one in listed]


@pytest.mark.parametrize("name", MISTAKES)
def test_each_mistake_has_its_message(run: Run, notes: Path, name: str) -> None:
    mistake = MISTAKES[name]
    before = found(run, "--rule", mistake.code)
    mistake.change(notes)
    told = [one for one in found(run, "--rule", mistake.code) if one not in before]
    fitting = [message for code, path, message in told if (code, path) == (mistake.code, mistake.path)]
    assert [message for message in fitting if all(words in message for words in mistake.words)], told
    assert len([message for message in fitting if message == fitting[0]]) == 1


def test_line_ends_are_one_finding_a_file_and_mended_at_once(run: Run, notes: Path) -> None:
    before = {path: (notes / path).read_bytes() for path in (NOTE, OTHER)}
    for path, raw in before.items():
        (notes / path).write_bytes(raw.replace(b"\n", b"\r\n"))
    assert [one[:2] for one in found(run, "--rule", "C806")] == [("C806", NOTE), ("C806", OTHER)]
    run("corpus", "check", "--fix", "--rule", "C806")
    assert {path: (notes / path).read_bytes() for path in before} == before


def test_a_broken_line_of_the_vocabulary_makes_no_noise(run: Run, notes: Path) -> None:
    (notes / "vocabulary.yaml").write_text('"pad": {"pad": 1.0, "joypad": 0.9}\n', "utf-8")
    kept = "- {rule: C704, note: vocabulary.yaml, reason: both are said}\n"
    (notes / "waivers.yaml").write_text(kept, "utf-8")
    before = found(run)
    (notes / "vocabulary.yaml").write_text('"pad": {"pad": 1.0, "joypad": 0.9\n', "utf-8")
    new = [one for one in found(run) if one not in before]
    assert [one[:2] for one in new] == [("C101", "vocabulary.yaml")]


def test_two_skeletons_have_one_line_each_on_what_is_to_write(run: Run, notes: Path) -> None:
    before = found(run)
    for name in ("pad-first", "pad-second"):
        given = ("--id", name, "--title", f"Pad is {name}", "--station", "pad", "--action", "adjust", "--minutes", "5")
        assert run("corpus", "new", *given).code == 0
    new = [one for one in found(run) if one not in before]
    assert [one[1] for one in new if one[0] == "C109"] == ["pad/pad-first.md", "pad/pad-second.md"]
    assert all("and 8 more: lines" in one[2] for one in new if one[0] == "C109")
    assert [one for one in new if one[0] in ("C706", "C707")] == []


def test_the_sum_goes_with_what_it_sums_up(run: Run, notes: Path) -> None:
    (notes / NOTE).write_text((notes / NOTE).read_text("utf-8").replace("inside.", "inside. "), "utf-8")
    ran = run("corpus", "check", "--rule", "C805")
    assert ran.out.splitlines()[1:] == [
        "1 rule: 0 errors, 0 warnings, 1 note",
        "2 notes with a hazard: 0 signed, 0 stale, 2 not signed by a safety officer",
    ]
    assert ran.err == "reading notes ...\nkeeping 1 rules ...\n"
    ran = run("corpus", "check", "--rule", "C805", "--format", "json")
    assert "1 rule: 0 errors" in ran.err
    assert len(json.loads(ran.out)["findings"]) == 1


def test_bullets_of_another_program_are_mended_and_dashes_left(run: Run, notes: Path) -> None:
    before = (notes / NOTE).read_text("utf-8")
    choice = "   - If the lamp blinks"
    assert choice in before
    (notes / NOTE).write_text(before.replace(choice, choice.replace("-", "\u2022")), "utf-8")
    run("corpus", "check", "--fix", "--rule", "C101")
    assert (notes / NOTE).read_text("utf-8") == before
    dashed = before.replace(choice, choice.replace("-", "\u2014"))
    (notes / NOTE).write_text(dashed, "utf-8")
    run("corpus", "check", "--fix")
    assert (notes / NOTE).read_text("utf-8") == dashed


def test_a_note_that_cannot_be_read_is_not_said_to_be_missing(run: Run, notes: Path) -> None:
    keyed("> belt-nip")(notes)
    put("minutes: 6", "minutes: 6\nhazards: [belt-nip]")(notes)
    (notes / "waivers.yaml").write_text("- {rule: C105, note: pad-demo, reason: kept}\n", "utf-8")
    follow = ("--rule", "C108", "--rule", "C307")
    assert "is neither" not in str(found(run, *follow))
    assert "no note names" not in str(found(run, *follow))
    put("minutes: 6", "minutes: six")(notes)
    assert found(run, *follow) == []
    put("hazards: [belt-nip]\n", "")(notes)
    put("> belt-nip", "> other")(notes)
    assert found(run, *follow) == [("C307", "hazards.yaml", "no note names the hazard 'belt-nip'")]
    (notes / NOTE).write_bytes(b"\xff")
    assert found(run, *follow) == []
    (notes / NOTE).unlink()
    assert {code for code, _, _ in found(run, *follow)} == {"C108", "C307"}


def test_names_of_a_trade_that_cannot_be_read_are_not_missed(run: Run, notes: Path) -> None:
    text = (notes / "trade.yaml").read_text("utf-8")
    put("[cabinet key]", "[cabinet kye]")(notes)
    put("sources: [common practice]", "sources: [a friend]")(notes)
    (notes / "visit").mkdir()
    kit = (notes / OTHER).read_text("utf-8").replace("id: pad-other", "id: visit-kit")
    (notes / "visit/visit-kit.md").write_text(kit, "utf-8")
    (notes / "check.yaml").write_text("notes:\n  kit: visit-kit\n", "utf-8")
    named = [argument for code in ("C106", "C611", "C612") for argument in ("--rule", code)]
    assert {code for code, _, _ in found(run, *named)} == {"C106", "C611", "C612"}
    (notes / "trade.yaml").write_text(f"{text}\ncolours: {{}}\n", "utf-8")
    assert found(run, *named) == []
    assert [path for _, path, _ in found(run, "--rule", "C101")] == ["trade.yaml"]
