"""``assistant corpus check``."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
import yaml

from tests.cli.conftest import Ran, Run
from tests.making import write_corpus

ROOT = Path(__file__).parents[2]
CLEAN_CODES = ("--rule", "C101", "--rule", "C102")
NOTE = "pad/pad-demo.md"


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Two valid notes below this folder."""
    return write_corpus(tmp_path / "corpus")


def found(ran: Ran) -> list[str]:
    """Return the lines of the findings, which stand above the sum and the line on signatures."""
    *lines, rules, signatures = (line for line in ran.out.splitlines() if " at rest for want of words " not in line)
    assert " rules: " in rules or rules.startswith("1 rule: ")
    assert "notes with a hazard" in signatures
    return lines


@pytest.mark.usefixtures("notes")
def test_a_clean_corpus_prints_its_sum_alone_and_leaves_with_0(run: Run) -> None:
    ran = run("corpus", "check", *CLEAN_CODES)
    signatures = "2 notes with a hazard: 0 signed, 0 stale, 2 not signed by a safety officer"
    assert (ran.code, ran.out) == (0, f"2 rules: 0 errors, 0 warnings, 0 notes\n{signatures}\n")
    assert ran.err == "reading notes ...\nkeeping 2 rules ...\n"


def test_findings_leave_with_1_and_notes_alone_with_0(run: Run, notes: Path) -> None:
    path = notes / NOTE
    path.write_text(path.read_text("utf-8").replace("A lead breaks", "A lead; it breaks  "), "utf-8")
    line = path.read_text("utf-8").split("\n").index("A lead; it breaks   inside.") + 1
    ran = run("corpus", "check", "--rule", "C506")
    assert ran.code == 1
    assert found(ran) == [f'corpus/{NOTE}:{line}: warning C506 holds a semicolon: "A lead; it breaks inside."']
    path.write_text(path.read_text("utf-8").replace("inside.", "inside. "), "utf-8")
    ran = run("corpus", "check", "--rule", "C805")
    assert ran.code == 0
    assert found(ran) == [f"corpus/{NOTE}:{line}: note C805 ends in blanks"]


def test_rules_that_rest_are_counted_and_named(run: Run, notes: Path) -> None:
    """A named rule is kept whatever words it has, so that nothing is said to rest."""
    (notes / "check.yaml").write_text((ROOT / "corpus/check.yaml").read_text("utf-8"), "utf-8")
    assert "at rest" not in run("corpus", "check").out
    (notes / "check.yaml").write_text("verbs: [reseat]\n", "utf-8")
    told = [line for line in run("corpus", "check").out.splitlines() if "at rest" in line]
    assert len(told) == 1
    count, codes = told[0].split(" rules at rest for want of words in check.yaml: ")
    assert len(codes.split(", ")) == int(count)
    assert {"C206", "C410"} <= set(codes.split(", "))
    assert "at rest" not in run("corpus", "check", "--rule", "C206").out


def test_words_that_cannot_be_read_are_refused_as_a_release_does(run: Run, notes: Path) -> None:
    (notes / "check.yaml").write_text("verbs: [reseat\n", "utf-8")
    ran = run("corpus", "check")
    assert (ran.code, ran.out) == (3, "")
    assert "check.yaml:" in ran.err
    released = run("corpus", "compile", "--release", "--unsigned", "a test", "--pack", str(notes / "n.pack"))
    assert released.code == 3
    assert ran.err.splitlines()[-1].partition("check.yaml:")[2] in released.err


def test_named_files_alone_are_shown(run: Run, notes: Path) -> None:
    for name in (NOTE, "pad/pad-other.md"):
        (notes / name).write_text((notes / name).read_text("utf-8").replace("inside.", "inside. "), "utf-8")
    both = found(run("corpus", "check", "--rule", "C805"))
    assert len(both) == 2
    assert found(run("corpus", "check", "--rule", "C805", f"corpus/{NOTE}")) == both[:1]
    assert found(run("corpus", "check", "--rule", "C805", "corpus/pad")) == both
    (notes.parent / "README.md").write_text("not of the notes", "utf-8")
    assert found(run("corpus", "check", "--rule", "C805", "README.md")) == []
    assert found(run("corpus", "check", "--rule", "C805", "pad-demo")) == both[:1]
    refused = run("corpus", "check", "--rule", "C805", "pad-dmo")
    assert (refused.code, refused.out) == (2, "")
    assert "no file, folder or note 'pad-dmo'" in refused.err


def test_a_named_note_is_checked_with_what_lies_beside_it(run: Run, notes: Path) -> None:
    beside = notes / "pad/pad-demo.questions.txt"
    beside.write_text(beside.read_text("utf-8") if beside.exists() else "", "utf-8")
    with beside.open("a", encoding="utf-8") as lines:
        lines.write("1. how is this mended\n")
    (finding,) = found(run("corpus", "check", "--rule", "C713", f"corpus/{NOTE}"))
    assert finding.startswith("corpus/pad/pad-demo.questions.txt:")


def test_fix_mends_named_files_alone_and_once(run: Run, notes: Path) -> None:
    clean = {name: (notes / name).read_bytes() for name in (NOTE, "pad/pad-other.md")}
    for name, text in clean.items():
        (notes / name).write_bytes(text.replace(b"inside.", b"inside.  \r"))
    ran = run("corpus", "check", "--fix", "--rule", "C805", "--rule", "C806", f"corpus/{NOTE}")
    assert (ran.code, found(ran)) == (0, [])
    assert "\n2 lines mended" in ran.err
    assert (notes / NOTE).read_bytes() == clean[NOTE]
    assert (notes / "pad/pad-other.md").read_bytes() != clean["pad/pad-other.md"]
    assert "\n1 line mended" in run("corpus", "check", "--fix", "--rule", "C805").err
    assert "\n0 lines mended" in run("corpus", "check", "--fix", "--rule", "C805").err


@pytest.mark.usefixtures("notes")
def test_json_and_sarif_are_one_document_each(run: Run) -> None:
    assert json.loads(run("corpus", "check", "--format", "json", *CLEAN_CODES).out) == {"findings": []}
    log = json.loads(run("corpus", "check", "--format", "sarif", *CLEAN_CODES).out)
    assert log["version"] == "2.1.0"
    assert [rule["id"] for rule in log["runs"][0]["tool"]["driver"]["rules"]] == ["C101", "C102"]


def test_the_list_of_rules_needs_no_corpus(run: Run) -> None:
    text = run("corpus", "check", "--list")
    assert text.code == 0
    assert text.out.startswith("C101 error   readable: ")
    assert run("corpus", "check", "--list", "--rule", "C805").out.count("\n") == 1
    assert run("corpus", "check", "--list", "--format", "markdown").out.startswith("| code | level |")
    assert json.loads(run("corpus", "check", "--list", "--format", "json").out)["rules"][0]["code"] == "C101"


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (("--rule", "C999"), 2, "no rule C999; the rules: assistant corpus check --list\n"),
        (("--list", "--format", "sarif"), 2, "the list of rules has no form 'sarif': text, json, markdown\n"),
        (("--format", "markdown"), 2, "findings have no form 'markdown': text, json, sarif\n"),
        (("--corpus", "nowhere"), 3, "nowhere:1: no such folder of notes\n"),
        (("--pack", "nowhere.pack"), 3, ""),
    ],
)
@pytest.mark.usefixtures("notes")
def test_calls_that_are_refused(run: Run, arguments: tuple[str, ...], code: int, message: str) -> None:
    ran = run("corpus", "check", *arguments)
    assert ran.code == code
    assert ran.out == ""
    assert ran.err.endswith(message)
    assert "Traceback" not in ran.err


def test_without_a_folder_of_notes_the_way_to_name_one_is_told(run: Run) -> None:
    ran = run("corpus", "check")
    assert (ran.code, ran.err) == (2, "no folder of notes to check; name one with --corpus\n")


def test_a_pack_tells_which_note_wins_a_question(
    run: Run, mini_corpus_path: Path, mini_pack_path: Path, tmp_path: Path
) -> None:
    own = shutil.copytree(mini_corpus_path, tmp_path / "own")
    questions = next(iter(sorted(own.glob("*/*.questions.txt"))))
    strange = next(path for path in sorted(own.glob("*/*.questions.txt"))[1:])
    taken = next(line for line in strange.read_text("utf-8").split("\n") if line and not line.startswith("#"))
    taken = taken.split("] ", 1)[-1]
    questions.write_text(questions.read_text("utf-8").rstrip("\n") + f"\n{taken}\n", "utf-8")
    number = questions.read_text("utf-8").rstrip("\n").count("\n") + 1
    ran = run("corpus", "check", "--corpus", str(own), "--pack", str(mini_pack_path), "--rule", "C702")
    winner = strange.name.removesuffix(".questions.txt")
    assert f"{questions}:{number}: note C702 {winner} wins this question" in ran.out
    assert found(run("corpus", "check", "--corpus", str(own), "--rule", "C702")) == []


def test_the_hook_for_commits_names_this_command() -> None:
    [hook] = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
    assert hook["entry"] == "assistant corpus check"
    assert hook["language"] == "python"
    assert hook["require_serial"] is True
