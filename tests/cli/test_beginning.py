"""A trade of one's own: from nothing by ``corpus init`` to an answer, to figures and to bars."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import NamedTuple

import pytest

from assistant.analysis.tokens import tokenize
from assistant.answering.alarm import rung
from assistant.answering.assistant import Assistant
from assistant.checking.book import read_book
from assistant.checking.check import check
from assistant.checking.registry import all_rules
from assistant.checking.switched import kept_rules
from assistant.compiling.fresh import compile_now
from assistant.compiling.settings import shipped_settings
from assistant.desk.beginning import begin, starting_texts
from assistant.errors import NotesError, UsageError
from assistant.evaluation.labels import ANSWERABLE, read_questions, read_talks
from assistant.notes.trade import read_trade
from assistant.pack.places import Places
from assistant.pack.reader import Pack
from tests.cli.conftest import Run
from tests.unit.checking.seeds import TODAY

ASKED = (
    ("coffee is far too weak", "brew-weak"),
    ("espresso like water", "brew-weak"),
    ("the milk has no froth", "milk-no-froth"),
    ("descale lamp", "care-descale"),
    ("puddle under the machine", "safety-leak"),
    ("how do i take it out of service", "visit-out-of-service"),
)
OFF_TOPIC = ("the fridge is warm", "what is the time", "where do i buy a bike", "the kettle is loud")
NEAR_HARM = ("my train is late", "where is the toilet", "who won the game", "how tall is the tower", "asdf jklo")
"""Of few notes one on harm easily stands first, and is then offered, as nothing is refused where harm comes near."""
JUNK = ("qwertz foo bar", "foo bar", "gronk", "mxyzptlk")
ALARMS = (
    ("she scalded her arm", "safety-scald"),
    ("boiling water ran over her wrist", "safety-scald"),
    ("there is water on the plug", "safety-leak"),
    ("i got an electric shock", "safety-leak"),
    ("a man is not breathing", "safety-help"),
    ("there is smoke", "safety-help"),
    ("she fainted", "safety-help"),
)
HARM = (
    "a man is not breathing",
    "i got an electric shock",
    "it gave me an electric shock",
    "there is smoke",
    "smoke comes out",
    "she fainted",
    "the bike shed smells burnt",
    "his hand is trapped",
    "boiling water ran over her wrist, she is scalded",
)
HARMLESS = (
    "where is the fire exit",
    "when is the fire drill",
    "is there a smoke detector",
    "crushed ice",
    "no smoke, no fire",
)


class Coffee(NamedTuple):
    root: Path
    pack: Path
    home: Path


@pytest.fixture(scope="module")
def coffee(tmp_path_factory: pytest.TempPathFactory) -> Coffee:
    home = tmp_path_factory.mktemp("coffee")
    begin(home / "notes", example=True)
    compile_now(Places(home, home / "notes", home / "coffee.pack"))
    return Coffee(home / "notes", home / "coffee.pack", home)


def test_the_example_is_clean(coffee: Coffee) -> None:
    book = read_book(coffee.root, TODAY)
    assert check(book, kept_rules(book, all_rules())) == []
    assert not {note.draft for note in book.corpus.notes} - {""}
    assert len(book.corpus.notes) == 7


@pytest.mark.parametrize(("question", "note"), ASKED)
def test_the_example_answers(coffee: Coffee, question: str, note: str) -> None:
    with Pack(coffee.pack) as pack:
        answer, _ = Assistant(pack).ask(question)
    assert (answer.decision, answer.note and answer.note.id) == ("answer", note)


@pytest.mark.parametrize("question", OFF_TOPIC)
def test_what_no_note_of_the_example_covers_is_told_so(coffee: Coffee, question: str) -> None:
    with Pack(coffee.pack) as pack:
        answer, _ = Assistant(pack).ask(question)
    assert (answer.decision, answer.note) == ("none", None)


@pytest.mark.parametrize("question", JUNK)
def test_words_that_no_note_holds_get_no_list_of_notes(coffee: Coffee, question: str) -> None:
    """Typing noise in `uncovered.txt` sees to it; where a note on harm stands first by a hair, nothing is refused."""
    with Pack(coffee.pack) as pack:
        answer, _ = Assistant(pack).ask(question)
    assert (answer.decision, answer.note) == ("none", None)


@pytest.mark.parametrize("question", NEAR_HARM)
def test_nothing_off_topic_is_answered_outright(coffee: Coffee, question: str) -> None:
    with Pack(coffee.pack) as pack:
        answer, _ = Assistant(pack).ask(question)
    assert answer.decision != "answer"


@pytest.mark.parametrize(("question", "note"), ALARMS)
def test_harm_comes_first_with_whom_to_call(coffee: Coffee, question: str, note: str) -> None:
    with Pack(coffee.pack) as pack:
        answer, _ = Assistant(pack).ask(question)
    assert answer.note is not None
    assert answer.note.id == note
    assert "local emergency number" in answer.emergency


def test_every_hazard_of_the_example_is_told_and_mains_work_is_for_licensed_people(coffee: Coffee) -> None:
    book = read_book(coffee.root, TODAY)
    told = {key for note in book.corpus.notes for key in note.hazards}
    assert told == {hazard.key for hazard in book.corpus.hazards}
    assert {hazard.signal for hazard in book.corpus.hazards} == {"DANGER", "WARNING"}
    assert "Mains work is for licensed people" in (coffee.root / "safety/safety-leak.md").read_text("utf-8")


def test_the_example_is_of_another_trade(coffee: Coffee) -> None:
    own, shipped = read_trade(coffee.root), read_trade(Path(__file__).parents[2] / "corpus")
    assert not set(own.stations) & set(shipped.stations) - {"all"}
    assert not {item.name for item in own.tools} & {item.name for item in shipped.tools} - {"safety glasses"}


def test_the_labels_of_the_example_can_be_read(coffee: Coffee) -> None:
    notes = {path.stem for path in coffee.root.glob("*/*.md")}
    questions = read_questions(coffee.root / "eval/questions.jsonl")
    assert {note for question in questions for note in question.relevant} <= notes
    assert {
        note for talk in read_talks(coffee.root / "eval/dialogues.jsonl") for turn in talk.turns for note in turn.notes
    } <= notes


@pytest.fixture
def at_coffee(run: Run, coffee: Coffee, monkeypatch: pytest.MonkeyPatch) -> Run:
    """The commands on the example, with its pack."""
    monkeypatch.setenv("ASSISTANT_CORPUS", str(coffee.root))
    monkeypatch.setenv("ASSISTANT_PACK", str(coffee.pack))
    return run


def test_every_template_file_has_a_comment_that_explains_it() -> None:
    for name, text in starting_texts(example=False).items():
        assert text.startswith("# ") or name.endswith(".md"), name
    assert set(starting_texts(example=False)) >= {name for name in starting_texts(example=True) if "/" not in name}


@pytest.mark.parametrize("example", [False, True])
@pytest.mark.parametrize("there", [False, True])
def test_a_folder_is_begun_whole(tmp_path: Path, example: bool, there: bool) -> None:
    root = tmp_path / "a" / "notes"
    if there:
        root.mkdir(parents=True)
    files = begin(root, example=example)
    assert {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()} == set(files)
    assert [path.name for path in root.parent.iterdir()] == ["notes"]
    with pytest.raises(UsageError, match="is not empty"):
        begin(root, example=not example)
    assert {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()} == set(files)


def test_a_file_in_its_place_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes").write_text("mine")
    with pytest.raises(UsageError, match="is no folder"):
        begin(tmp_path / "notes", example=False)
    assert (tmp_path / "notes").read_text() == "mine"


@pytest.mark.parametrize("there", [False, True])
def test_what_cannot_be_written_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool) -> None:
    root = tmp_path / "notes"
    if there:
        root.mkdir()
    rename = Path.rename

    def full(path: Path, target: Path) -> Path:
        if Path(target).name in ("notes", "hazards.yaml"):
            raise OSError(28, "No space left on device")
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", full)
    with pytest.raises(NotesError, match="cannot be written: No space left on device"):
        begin(root, example=False)
    monkeypatch.undo()
    assert [path.name for path in tmp_path.rglob("*")] == (["notes"] if there else [])


def test_ctrl_c_half_way_leaves_the_folder_empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = tmp_path / "notes"
    root.mkdir()
    rename = Path.rename

    def broken_off(path: Path, target: Path) -> Path:
        if Path(target) == root / "hazards.yaml":
            raise KeyboardInterrupt
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", broken_off)
    with pytest.raises(KeyboardInterrupt):
        begin(root, example=False)
    monkeypatch.undo()
    assert list(tmp_path.rglob("*")) == [root]


def test_no_escape_of_a_folder_name_reaches_the_terminal(run: Run, tmp_path: Path) -> None:
    ran = run("corpus", "init", str(tmp_path / "a\x1b[31m"))
    assert (ran.code, "\x1b" in ran.out + ran.err) == (0, False)


TRADE = """\
stations: {all: any bike, city: city bike}
areas: {tyre: tyre, safety: safety}
actions: {pump: Pump up, collect: Collect, escalate: Hand over}
tools: {floor pump: {from: kit}}
contacts: {depot: {name: depot, number: 1 2 3}}
"""
PLAIN = """\
  - flat tyre
  - tyre flat
  - soft tyre
  - tyre soft
  - puncture
  - no air
  - no air in the tyre
  - wheel flat
  - tyre lost air
  - pump up the tyre
  - tyre needs air
  - back tyre flat
  - front tyre flat
  - nail in the tyre
  - hole in the tyre
  - tyre went down
"""
NOTE = """\
---
id: tyre-flat
title: Tyre flat or soft
station: [city]
action: pump
minutes: 12
tools: [floor pump]
parts: []
see_also: []
revision: 1
reviewed: 2026-11-02
sources: [common practice]
hazards: []
---

## Condition

The tyre gives way under the thumb. The bike rolls heavily.

## Steps

1. Lift the bike onto its stand.
2. Fill the tyre with the floor pump.
3. Press the tyre with your thumb.

## Result

The tyre is hard under the thumb.

## If it still fails

Call the depot.
"""


def test_from_nothing_to_the_first_answer(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As `corpus/STYLE.md` tells it: another trade with kinds of station, areas and actions of its own."""
    root = tmp_path / "bikes"
    monkeypatch.setenv("ASSISTANT_CORPUS", str(root))
    assert run("corpus", "init", str(root)).code == 0
    begun = run("corpus", "check")
    assert (begun.code, begun.out.count(" error "), begun.out.count(" warning ")) == (0, 0, 0)
    (root / "trade.yaml").write_text(TRADE, "utf-8")
    fields = {"id": "tyre-flat", "title": "Tyre flat or soft", "station": "city", "action": "pump", "minutes": "12"}
    new = [word for name, value in fields.items() for word in (f"--{name}", value)]
    assert run("corpus", "new", *new, "--things", "tyre", "--troubles", "is flat,lost air").code == 0
    assert [line.split()[2] for line in run("corpus", "check").out.split("\n") if " error " in line] == ["C109"]
    (root / "tyre/tyre-flat.md").write_text(NOTE, "utf-8")
    phrases = f"things: [tyre]\ntroubles: [is flat]\nplain:\n{PLAIN}"
    (root / "tyre/tyre-flat.phrases.yaml").write_text(phrases, "utf-8")
    checked = run("corpus", "check")
    assert (checked.code, checked.out.split("\n")[0].partition(": ")[2]) == (0, "0 errors, 0 warnings, 0 notes")
    assert ": 2 notes, " in run("corpus", "compile").out
    asked = run("ask", "--no-record", "my tyre is flat")
    assert "PUMP UP - about 12 min" in asked.out
    assert "No note covers this" in run("ask", "--no-record", "where is the toilet").out
    for command in (
        ("score", "run"),
        ("score", "tune", str(root / "settings.json")),
        ("corpus", "kit"),
        ("corpus", "graph"),
    ):
        assert run(*command).code == 0, command
    assert not (root / "settings.json").exists()
    assert run("score", "check").code == 2
    gate = run("score", "gate")
    assert (gate.code, "is not there, so that nothing is judged" in gate.err) == (1, True)
    assert run("score", "gate", "--write-bars", str(tmp_path / "bars.json")).code == 2


@pytest.fixture(scope="module")
def bikes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A pack of what ``corpus init`` writes, with one note of one's own added."""
    home = tmp_path_factory.mktemp("bikes")
    begin(home / "notes", example=False)
    (home / "notes/trade.yaml").write_text(TRADE, "utf-8")
    (home / "notes/tyre").mkdir()
    (home / "notes/tyre/tyre-flat.md").write_text(NOTE, "utf-8")
    (home / "notes/tyre/tyre-flat.phrases.yaml").write_text(f"plain:\n{PLAIN}", "utf-8")
    compile_now(Places(home, home / "notes", home / "bikes.pack"))
    return home / "bikes.pack"


@pytest.mark.parametrize("question", HARM)
def test_harm_comes_first_in_a_folder_just_begun(bikes: Path, question: str) -> None:
    with Pack(bikes) as pack:
        answer, _ = Assistant(pack).ask(question)
    assert answer.note is not None
    assert answer.note.id == "safety-help"
    assert "local emergency number" in answer.emergency


@pytest.mark.parametrize("question", HARMLESS)
def test_what_is_harmless_does_not_ring(bikes: Path, question: str) -> None:
    with Pack(bikes) as pack:
        assert rung([tokenize(question)], pack, {}) is None
        assert rung([tokenize(f"{question} and now she fainted")], pack, {}) is not None


@pytest.mark.parametrize("left", ["", "emergency: Call the local emergency number.\n", "# nothing yet\n"])
def test_a_folder_where_nothing_rings_is_told_so(tmp_path: Path, left: str) -> None:
    begin(tmp_path / "notes", example=False)
    alarms = tmp_path / "notes/alarm.yaml"
    if left:
        alarms.write_text(left, "utf-8")
    else:
        alarms.unlink()
    found = [(one.rule.code, one.finding.path) for one in check(read_book(tmp_path / "notes", TODAY), all_rules())]
    assert [path for code, path in found if code == "C714"] == ["alarm.yaml"]


def test_a_hazard_that_a_note_names_is_missed_where_the_table_holds_none(tmp_path: Path) -> None:
    begin(tmp_path / "notes", example=False)
    (tmp_path / "notes/hazards.yaml").write_text("# nothing yet\n", "utf-8")
    found = [one for one in check(read_book(tmp_path / "notes", TODAY), all_rules()) if one.rule.code == "C306"]
    assert [(one.rule.severity, one.finding.path) for one in found] == [("error", "safety/safety-help.md")]
    assert "hazards.yaml does not have 'fire-smoke', 'live-person', 'hurt-back', 'blood'" in found[0].finding.message


def test_labels_in_the_folder_of_notes_are_found_and_bars_written(at_coffee: Run, tmp_path: Path) -> None:
    bars = tmp_path / "bars.json"
    run = at_coffee
    scored = run("score", "run")
    assert (scored.code, re.findall(r"^P@1 +(\d+)/", scored.out, re.MULTILINE)) == (0, ["16"])
    written = run("score", "gate", "--write-bars", str(bars))
    assert written.code == 0
    assert "without a bar, for want of 10 questions each: " in written.err
    figures = {bar["figure"] for bar in json.loads(bars.read_text("utf-8"))["bars"]}
    few = re.findall(r"([^:,]+?) \(\d\)", written.err.partition("questions each: ")[2])
    assert "P@1" in figures
    assert figures.isdisjoint(name.strip() for name in few)
    gate = run("score", "gate", "--bars", str(bars))
    assert (gate.code, "bars reached" in gate.out) == (0, True)


def test_the_label_that_the_guide_shows_can_be_read(tmp_path: Path) -> None:
    guide = (Path(__file__).parents[2] / "corpus/STYLE.md").read_text("utf-8")
    line = re.search(r"^ +(\{\"id\".*\})$", guide, re.MULTILINE)
    assert line
    (tmp_path / "questions.jsonl").write_text(f"{line[1]}\n", "utf-8")
    (label,) = read_questions(tmp_path / "questions.jsonl")
    named = guide.partition("A line has ")[2].partition("{")[0]
    assert all(f"`{field}`" in named for field in (*json.loads(line[1]), "kind", "danger"))
    assert all(f"`{manner}`" in named for manner in ANSWERABLE)
    assert label.notes == ("drive-chain",)


def test_a_few_labels_make_no_bars(at_coffee: Run, coffee: Coffee, tmp_path: Path) -> None:
    labels, bars = tmp_path / "labels", tmp_path / "bars.json"
    labels.mkdir()
    lines = (coffee.root / "eval/questions.jsonl").read_text("utf-8").splitlines()
    (labels / "questions.jsonl").write_text("\n".join([*lines[:4], ""]), "utf-8")
    refused = at_coffee("score", "gate", "--write-bars", str(bars), "--eval", str(labels))
    assert (refused.code, bars.exists()) == (2, False)
    assert "too few questions are labelled for a bar, which needs 10 of its kind: " in refused.err
    assert "P@1 (4)" in refused.err


def test_tuning_chooses_what_there_are_labels_for(at_coffee: Run, coffee: Coffee, tmp_path: Path) -> None:
    """Ten uncovered questions are enough for the bar of a refusal, and not for the bars of an answer."""
    labels = tmp_path / "labels"
    labels.mkdir()
    lines = (coffee.root / "eval/questions.jsonl").read_text("utf-8")
    more = {"manner": "uncovered", "kind": "off", "notes": [], "split": "tune", "writer": "A"}
    added = [json.dumps({"id": f"u{n}", "question": f"how far is town number {n}", **more}) for n in range(5)]
    (labels / "questions.jsonl").write_text("\n".join([lines.strip(), *added, ""]), "utf-8")
    own = tmp_path / "settings.json"
    tuned = at_coffee("score", "tune", str(own), "--eval", str(labels))
    assert (tuned.code, f"settings written to {own}" in tuned.err) == (0, True)
    kept = re.findall(
        r"^kept as it was, too few labels for the (bars? of [a-z ]+?)(?: and |:)", tuned.err, re.MULTILINE
    )
    assert kept == ["bars of an answer", "bar of harm", "bars of turns"]
    before, after = (json.loads(text)["decision"] for text in (shipped_settings(), own.read_text("utf-8")))
    assert after["labelled"] == 29
    assert {name for name in before if before[name] != after[name]} <= {"labelled", "refuse_below", "choose_within"}


def test_a_pack_of_other_settings(at_coffee: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data = json.loads(shipped_settings())
    data["decision"]["bars"]["points"] = 5000
    (tmp_path / "strict.json").write_text(json.dumps(data), "utf-8")
    run = at_coffee
    assert "ADJUST" in run("ask", "--no-record", "coffee is too weak").out
    monkeypatch.setenv("ASSISTANT_PACK", str(tmp_path / "strict.pack"))
    assert run("corpus", "compile", "--settings", str(tmp_path / "strict.json")).code == 0
    assert "ADJUST" not in run("ask", "--no-record", "coffee is too weak").out
    missing = run("corpus", "compile", "--settings", str(tmp_path / "no.json"))
    assert (missing.code, "no.json:1: cannot be read" in missing.err) == (3, True)
