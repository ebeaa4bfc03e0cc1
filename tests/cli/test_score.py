"""``assistant score`` from the outside: figures, gate, collections, fairness, agreement, and what it refuses."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from assistant.cli.main import main

QUESTIONS: list[dict[str, Any]] = [
    {"id": "q1", "question": "display shows no signal", "manner": "plain", "notes": ["screen-no-signal"]},
    {"id": "q2", "question": "wipe the sticky disc", "manner": "plain", "notes": ["disc-clean"]},
    {"id": "q3", "question": "nobody could see a picture", "manner": "everyday", "notes": ["screen-no-signal"]},
    {"id": "q4", "question": "who won the match", "manner": "uncovered", "notes": [], "kind": "off"},
]
TALKS = [{"id": "d1", "turns": [{"question": "wipe the sticky disc", "notes": ["disc-clean"], "about": "procedure"}]}]
SEALED: list[dict[str, Any]] = [
    {"id": "s1", "question": "outlet strip has no power", "manner": "plain", "notes": ["power-strip-dead"]}
]
SEALED_TALKS = [
    {"id": "t1", "turns": [{"question": "torn stick cap", "notes": ["pad-stick-cap"], "about": "why"}]},
    {"id": "t2", "turns": [{"question": "torn stick cap", "notes": ["pad-stick-cap"], "about": "procedure"}]},
]
WITHOUT = """
import json, sys

refused = sys.argv.pop(1)

class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] == refused:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)
        return None

sys.meta_path.insert(0, Refuse())
from assistant.cli.main import main
for arguments in json.load(sys.stdin):
    try:
        main(arguments)
    except SystemExit as left:
        print("left with", left.code, file=sys.stderr)
"""


class Ran(NamedTuple):
    """How a command came out."""

    code: object
    out: str
    err: str


class Shell:
    """Runs commands on the small notes with a folder of labelled questions of its own."""

    def __init__(self, corpus: Path, home: Path, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self._places = ["--corpus", str(corpus), "--home", str(home)]
        self._capsys = capsys

    def arguments(self, act: str, *options: object) -> list[str]:
        return [*self._places, "score", act, "--eval", str(self.folder), *map(str, options)]

    def __call__(self, act: str, *options: object) -> Ran:
        self._capsys.readouterr()
        with pytest.raises(SystemExit) as left:
            main(self.arguments(act, *options))
        return Ran(left.value.code, *self._capsys.readouterr())


def write(path: Path, records: Sequence[dict[str, Any]], split: str = "tune") -> None:
    path.write_text("".join(json.dumps({"split": split, "writer": "A", **r}) + "\n" for r in records), "utf-8")


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("home")


@pytest.fixture
def shell(mini_corpus_path: Path, home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    folder = tmp_path / "labels"
    folder.mkdir()
    write(folder / "questions.jsonl", QUESTIONS)
    write(folder / "dialogues.jsonl", TALKS)
    (folder / "sealed").mkdir()
    write(folder / "sealed" / "questions.jsonl", SEALED, "sealed")
    write(folder / "sealed" / "dialogues.jsonl", SEALED_TALKS, "sealed")
    return Shell(mini_corpus_path, home, folder, capsys)


@pytest.fixture
def collection(tmp_path: Path) -> Path:
    folder = tmp_path / "collection"
    (folder / "qrels").mkdir(parents=True)
    texts = ["dark display without power", "torn cap of a stick", "loud fan in the console"]
    documents = [{"_id": f"d{n}", "title": "", "text": text} for n, text in enumerate(texts)]
    (folder / "corpus.jsonl").write_text("".join(json.dumps(d) + "\n" for d in documents), "utf-8")
    queries = [{"_id": "1", "text": "display dark"}, {"_id": "2", "text": "fan loud"}]
    (folder / "queries.jsonl").write_text("".join(json.dumps(q) + "\n" for q in queries), "utf-8")
    (folder / "qrels" / "test.tsv").write_text("query-id\tcorpus-id\tscore\n1\td0\t1\n2\td1\t1\n", "utf-8")
    return folder


def test_the_figures_are_printed_as_text(shell: Shell) -> None:
    ran = shell("run")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0].startswith("pack ")
    assert lines[0].endswith(", split tune; k/n with the exact 95 % interval")
    assert "P@1 plain 2/2 = 1.000 [0.158, 1.000]" in [" ".join(line.split()) for line in lines]
    assert sum(line.startswith("P@1 this program: ") for line in lines) == 1
    (tested,) = [line for line in lines if line.startswith("P@1 against the best baseline (")]
    assert tested.endswith(", n = 3")
    assert "asking 4 questions ..." in ran.err


def test_the_figures_are_printed_as_json(shell: Shell) -> None:
    ran = shell("run", "--format", "json")
    assert ran.code == 0
    found = json.loads(ran.out)
    assert found["split"] == "tune"
    assert (found["shares"]["P@1 plain"]["k"], found["shares"]["P@1 plain"]["n"]) == (2, 2)
    assert found["shares"]["false answers off"]["n"] == 1
    assert found["shares"]["talks: turn right"]["n"] == 1
    assert len(found["rankings"]["measures"]) == 4
    assert found["rankings"]["queries"] == 3


def ledger(shell: Shell) -> list[dict[str, Any]]:
    path = shell.folder / "sealed" / "ledger.jsonl"
    return [json.loads(line) for line in path.read_text("utf-8").splitlines()] if path.exists() else []


def test_sealed_questions_are_scored_by_their_own_command(shell: Shell) -> None:
    ran = shell("sealed", "--why", "a release")
    assert ran.code == 0
    assert ran.out.splitlines()[0].endswith(", split sealed; k/n with the exact 95 % interval")
    assert "P@1 plain 1/1 = 1.000 [0.025, 1.000]" in [" ".join(line.split()) for line in ran.out.splitlines()]
    assert f"opened 1 time by the ledger in {shell.folder / 'sealed'}" in ran.err.splitlines()
    found = json.loads(shell("sealed", "--why", "again", "--format", "json").out)
    assert (found["split"], found["rankings"]["queries"], found["shares"]["talks: turn right"]["n"]) == ("sealed", 1, 2)


def test_each_opening_adds_a_line_to_the_ledger(shell: Shell) -> None:
    for number, reason in enumerate(("a release", 'caf\u00e9, "twice"'), start=1):
        ran = shell("sealed", "--why", reason)
        times = "1 time" if number == 1 else f"{number} times"
        assert f"opened {times} by the ledger in {shell.folder / 'sealed'}" in ran.err.splitlines()
        lines = ledger(shell)
        assert len(lines) == number
        assert lines[-1]["why"] == reason
    first, second = lines
    assert first["figures"] == second["figures"]
    assert first["figures"]["P@1 plain"] == [1, 1]
    assert "P@1 long" not in first["figures"]
    assert (first["pack"], first["labels"]) == (second["pack"], second["labels"])
    write(shell.folder / "sealed" / "questions.jsonl", [*SEALED, {**SEALED[0], "id": "s2"}], "sealed")
    shell("sealed", "--why", "more questions")
    assert ledger(shell)[-1]["labels"] != first["labels"]
    assert ledger(shell)[-1]["figures"]["P@1 plain"] == [2, 2]


@pytest.mark.parametrize("name", ["questions.jsonl", "dialogues.jsonl"])
@pytest.mark.parametrize("content", ["{\n", "\u00ff", None])
def test_nothing_is_written_where_a_sealed_file_is_damaged(shell: Shell, name: str, content: str | None) -> None:
    path = shell.folder / "sealed" / name
    path.unlink()
    if content is not None:
        path.write_bytes(content.encode("latin-1"))
    ran = shell("sealed", "--why", "a release")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.startswith(f"{path}:1: ")
    assert ledger(shell) == []


@pytest.mark.parametrize(("name", "records"), [("questions.jsonl", SEALED), ("dialogues.jsonl", SEALED_TALKS)])
def test_a_record_of_another_split_is_refused(shell: Shell, name: str, records: list[dict[str, Any]]) -> None:
    write(shell.folder / "sealed" / name, [*records, {**records[0], "id": "x", "split": "tune"}], "sealed")
    ran = shell("sealed", "--why", "a release")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == f"{shell.folder / 'sealed'}: holds records of another split\n"
    assert ledger(shell) == []


def test_sealed_questions_are_not_opened_without_a_reason(shell: Shell) -> None:
    for options in ([], ["--why"], ["--why", ""], ["--why", " "]):
        ran = shell("sealed", *options)
        assert (ran.code, ran.out) == (2, "")
    assert ledger(shell) == []


@pytest.mark.parametrize("act", ["run", "report", "gate", "check", "compare"])
def test_no_other_command_opens_the_sealed_questions(
    shell: Shell, act: str, tmp_path: Path, mini_pack_path: Path
) -> None:
    """They run though the sealed files are damaged, and leave no line in the ledger."""
    for path in (shell.folder / "sealed").iterdir():
        path.write_bytes(b"{")
    bars(shell.folder / "bars.json", {"figure": "P@1", "at_least": 0})
    more: dict[str, list[object]] = {
        "report": ["--output", tmp_path / "f.html"],
        "compare": [mini_pack_path, mini_pack_path],
    }
    ran = shell(act, *more.get(act, []))
    assert ran.code in (0, 1)
    assert ran.out or act == "report"
    assert "sealed" not in ran.out + ran.err
    assert ledger(shell) == []


def test_what_is_of_another_split_among_the_labels_is_not_scored(shell: Shell) -> None:
    write(shell.folder / "questions.jsonl", [*QUESTIONS, {**SEALED[0], "split": "sealed"}])
    write(shell.folder / "dialogues.jsonl", [*TALKS, {**SEALED_TALKS[0], "split": "sealed"}])
    found = json.loads(shell("run", "--format", "json").out)
    assert (found["split"], found["rankings"]["queries"], found["shares"]["talks: turn right"]["n"]) == ("tune", 3, 1)


def test_misses_are_listed_on_request(shell: Shell) -> None:
    """The label is wrong on purpose."""
    write(shell.folder / "questions.jsonl", [{**QUESTIONS[0], "notes": ["disc-clean"]}])
    assert "wanted disc-clean" not in shell("run").out
    assert "q1 plain: wanted disc-clean; " in shell("run", "--misses").out


def test_the_gate_stays_open_on_figures_as_before(shell: Shell, tmp_path: Path) -> None:
    baseline = tmp_path / "baseline.json"
    ran = shell("run", "--save-baseline", baseline)
    assert ran.code == 0
    assert f"baseline written to {baseline}" in ran.err
    assert shell("run", "--baseline", baseline).code == 0


def test_the_gate_shuts_with_exit_code_1(shell: Shell, tmp_path: Path) -> None:
    baseline = tmp_path / "baseline.json"
    shell("run", "--save-baseline", baseline)
    write(
        shell.folder / "questions.jsonl",
        [QUESTIONS[0], {**QUESTIONS[1], "notes": ["power-strip-dead"]}, *QUESTIONS[2:]],
    )
    ran = shell("run", "--baseline", baseline)
    assert ran.code == 1
    assert "below the baseline: P@1 plain: was 1.000, is 0.500" in ran.err.splitlines()


def test_a_baseline_keeps_its_other_splits(shell: Shell, tmp_path: Path) -> None:
    baseline = tmp_path / "baseline.json"
    shell("run", "--save-baseline", baseline)
    tune = json.loads(baseline.read_text("utf-8"))["splits"]["tune"]
    assert tune["P@1 plain"] == 1.0
    assert "false answers junk" not in tune
    kept = {"splits": {"tune": {"gone": 1.0}, "other": {"P@1": 0.5}}}
    baseline.write_text(json.dumps(kept), "utf-8")
    shell("run", "--save-baseline", baseline)
    assert json.loads(baseline.read_text("utf-8"))["splits"] == {"tune": tune, "other": {"P@1": 0.5}}


@pytest.mark.parametrize("content", ["{}", "[]", "{", '{"splits": null}'])
def test_what_is_no_baseline_is_written_anew(shell: Shell, tmp_path: Path, content: str) -> None:
    baseline = tmp_path / "baseline.json"
    baseline.write_text(content, "utf-8")
    assert shell("run", "--save-baseline", baseline).code == 0
    assert set(json.loads(baseline.read_text("utf-8"))["splits"]) == {"tune"}


def test_a_baseline_of_another_split_is_refused(shell: Shell, tmp_path: Path) -> None:
    baseline = tmp_path / "baseline.json"
    baseline.write_text('{"splits": {"sealed": {"P@1": 1.0}}}', "utf-8")
    ran = shell("run", "--baseline", baseline)
    assert ran.code == 3
    assert ran.err.splitlines()[-1] == f"{baseline}:1: no saved baseline for the split 'tune'"


def bars(path: Path, *entries: dict[str, Any], split: str = "tune") -> Path:
    path.write_text(json.dumps({"comment": "c", "split": split, "bars": entries}), "utf-8")
    return path


def test_runs_are_written_for_other_programs(shell: Shell, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "runs"
    ran = shell("run", "--trec", folder)
    assert ran.code == 0
    assert f"6 files written to {folder}" in ran.err
    assert (folder / "qrels.txt").read_text("utf-8").splitlines() == [
        "q1 0 screen-no-signal 1",
        "q2 0 disc-clean 1",
        "q3 0 screen-no-signal 1",
    ]
    assert {path.suffix for path in folder.iterdir()} == {".run", ".txt"}
    line = (folder / "this-program.run").read_text("utf-8").splitlines()[0].split(" ")
    assert (line[:4], line[5]) == (["q1", "Q0", "screen-no-signal", "1"], "this-program")


def test_runs_are_not_written_among_other_files(shell: Shell, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("kept", "utf-8")
    ran = shell("run", "--trec", tmp_path)
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == f"{tmp_path}: is not empty; name another folder\n"


def test_runs_of_a_collection_are_written(shell: Shell, collection: Path, tmp_path: Path) -> None:
    folder = tmp_path / "runs"
    assert shell("run", "--collection", collection, "--trec", folder).code == 0
    assert (folder / "qrels.txt").read_text("utf-8") == "1 0 d0 1\n2 0 d1 1\n"
    assert len(list(folder.glob("*.run"))) == 4


def test_two_packs_are_compared(shell: Shell, mini_pack_path: Path) -> None:
    ran = shell("compare", mini_pack_path, mini_pack_path)
    assert ran.code == 0
    assert ran.out.splitlines()[0].startswith(f"A: {mini_pack_path} (pack ")
    assert ran.out.splitlines()[-1] == "0 questions gained, 0 lost"
    assert ran.err.count("asking 4 questions ...") == 2
    found = json.loads(shell("compare", mini_pack_path, mini_pack_path, "--format", "json").out)
    assert {pair["difference"] for pair in found["figures"]} == {0.0}
    assert found["split"] == "tune"


def test_settings_and_a_saved_baseline_are_compared(shell: Shell, tmp_path: Path) -> None:
    """The settings that ship, and what a run with them saved."""
    baseline = tmp_path / "baseline.json"
    shell("run", "--save-baseline", baseline)
    settings = Path(__file__).resolve().parents[2] / "assistant" / "compiling" / "settings.json"
    found = json.loads(shell("compare", baseline, settings, "--format", "json").out)
    assert [side["kind"] for side in found["sides"]] == ["baseline", "settings"]
    both = [pair for pair in found["figures"] if pair["first"] is not None]
    assert len(both) > 10
    assert {pair["difference"] for pair in both} == {0.0}
    assert {pair["p"] for pair in both} == {None}


def test_what_cannot_be_compared_is_refused(shell: Shell, tmp_path: Path) -> None:
    (tmp_path / "x.json").write_text("{}", "utf-8")
    ran = shell("compare", tmp_path / "x.json", tmp_path / "x.json")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == f"{tmp_path / 'x.json'}:1: neither a pack, nor settings, nor a saved baseline\n"


def test_the_page_and_its_twin_are_written(shell: Shell, tmp_path: Path) -> None:
    page, twin = tmp_path / "figures.html", tmp_path / "figures.json"
    gate = bars(tmp_path / "bars", {"figure": "P@1 plain", "at_least": 1})
    ran = shell("report", "--output", page, "--gate", gate)
    assert (ran.code, ran.out) == (0, "")
    assert ran.err.endswith(f"drawing ...\nwritten: {page} and {twin}\n")
    assert page.read_text("utf-8").startswith("<!DOCTYPE html>")
    assert json.loads(twin.read_text("utf-8"))["gate"]["passed"] is True
    again = shell("report", "--output", page)
    assert (again.code, again.err) == (3, f"{page}: is there already; name another file\n")


def test_the_page_is_written_though_a_bar_is_missed(shell: Shell, tmp_path: Path) -> None:
    gate = bars(tmp_path / "bars", {"figure": "false answers off", "at_least": 2})
    ran = shell("report", "--output", tmp_path / "f.html", "--gate", gate)
    assert ran.code == 1
    assert (tmp_path / "f.html").is_file()
    assert "below its bar: false answers off: " in ran.err


@pytest.mark.parametrize(
    ("output", "code", "message"),
    [("f.json", 2, "name a file that ends in .html"), ("no/f.html", 3, "no such folder")],
)
def test_a_page_that_cannot_be_written_is_refused_before_scoring(
    shell: Shell, tmp_path: Path, output: str, code: int, message: str
) -> None:
    ran = shell("report", "--output", tmp_path / output)
    assert (ran.code, ran.out) == (code, "")
    (line,) = ran.err.splitlines()
    assert line.endswith(message)


def test_bars_of_another_split_are_refused(shell: Shell, tmp_path: Path) -> None:
    gate = bars(tmp_path / "bars", {"figure": "P@1", "at_least": 0}, split="sealed")
    for act, *options in (("report", "--output", tmp_path / "f.html", "--gate", gate), ("gate", "--bars", gate)):
        ran = shell(str(act), *options)
        assert (ran.code, ran.out) == (3, "")
        assert ran.err == f"{gate}:1: needs 'split': tune, on which a release is judged\n"
    assert not (tmp_path / "f.html").exists()


def test_the_release_gate(shell: Shell, tmp_path: Path) -> None:
    good = bars(
        shell.folder / "bars.json", {"figure": "P@1", "at_least": 0.1}, {"figure": "false answers", "at_most": 1}
    )
    ran = shell("gate")
    assert ran.code == 0
    assert "asking 4 questions ..." in ran.err
    assert "ranking with" not in ran.err
    assert ran.out.splitlines()[-1] == "all 2 bars reached"
    told = "5 notes with a hazard: 0 signed, 0 stale, 5 not signed by a safety officer"
    assert "unsigned:" not in ran.out
    assert ran.out.startswith(f"{told} (--verbose names them)\n")
    ran = shell("gate", "--verbose")
    assert "unsigned: pad-stick-cap\n" in ran.out
    assert f"\n{told}\n" in ran.out
    judged = json.loads(shell("gate", "--format", "json", "--bars", good).out)
    assert judged["passed"] is True
    assert judged["signed"] == {"notes": 5, "signed": 0, "stale": 0, "unsigned": 5}
    assert len(judged["not_signed"]) == 5
    short = bars(tmp_path / "b", {"figure": "P@1 plain", "at_least": 1.1}, {"figure": "no such", "at_most": 1})
    ran = shell("gate", "--bars", short)
    assert ran.code == 1
    assert ran.err.splitlines()[-2:] == [
        "below its bar: P@1 plain: 1.0000, at least 1.1",
        "below its bar: no such: not measured, at most 1",
    ]


def test_an_interrupt_leaves_no_part_of_a_page(shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr("assistant.evaluation.page.study_page", interrupt)
    folder = tmp_path / "pages"
    folder.mkdir()
    ran = shell("report", "--output", folder / "f.html")
    assert ran.code == 130
    assert ran.err.endswith("interrupted\n")
    assert list(folder.iterdir()) == []


def test_a_collection_is_scored_as_text(shell: Shell, collection: Path) -> None:
    ran = shell("run", "--collection", collection)
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0].split() == ["ranking", "nDCG@10", "MAP", "P@5", "MRR", "success@1", "success@3", "success@5"]
    assert [line.split()[:2] for line in lines[1:3]] == [["this", "program"], ["rank_bm25", "BM25Okapi,"]]
    assert "success@1 this program: 1/2 = 0.500 [0.013, 0.987]" in lines
    assert lines[-1].endswith("n = 2")
    assert "compiling 3 documents ..." in ran.err


def test_a_collection_is_scored_as_json(shell: Shell, collection: Path) -> None:
    """The second question is labelled with a document that shares no word with it."""
    found = json.loads(shell("run", "--collection", collection, "--format", "json").out)
    assert found["queries"] == 2
    assert [values["MAP"] for values in found["measures"].values()] == [0.5] * 4


def test_a_broken_collection_is_refused_with_its_line(shell: Shell, collection: Path) -> None:
    with (collection / "corpus.jsonl").open("a", encoding="utf-8") as stream:
        stream.write("{\n")
    ran = shell("run", "--collection", collection)
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == f"{collection / 'corpus.jsonl'}:4: not a JSON object\n"


def test_fair_questions_pass_the_check(shell: Shell) -> None:
    sticky = {**QUESTIONS[1], "question": "goo and smears spoil the game", "manner": "everyday"}
    write(shell.folder / "questions.jsonl", [sticky, QUESTIONS[2], QUESTIONS[3]])
    ran = shell("check")
    assert ran.code == 0
    assert len(ran.out.splitlines()) == 3
    assert all(line.startswith("fair    ") for line in ran.out.splitlines())


def test_copied_questions_fail_the_check_with_exit_code_1(shell: Shell) -> None:
    copied = {**QUESTIONS[2], "question": "controller stick cap broken", "notes": ["pad-stick-cap"]}
    write(shell.folder / "questions.jsonl", [copied])
    ran = shell("check")
    assert ran.code == 1
    name = "no labelled question, told at some length, is a near-duplicate of an example question"
    assert f"UNFAIR  {name}: 1 pair" in ran.out.splitlines()
    assert "          q3 controller stick cap broken ~ controller stick cap broken?" in ran.out.splitlines()
    ran = shell("check", "--format", "json")
    assert ran.code == 1
    assert {"name": name, "fair": False, "detail": "1 pair"} in json.loads(ran.out)


def test_agreement_is_told_as_text_and_json(shell: Shell) -> None:
    labels = [(0, ["screen-no-signal"]), (1, ["disc-clean"]), (2, ["power-strip-dead"]), (3, [])]
    second = [json.dumps({"question": QUESTIONS[n]["question"], "notes": notes}) for n, notes in labels]
    (shell.folder / "second.jsonl").write_text("\n".join(second), "utf-8")
    ran = shell("agree")
    assert ran.code == 0
    assert ran.out.startswith("3 of 4 questions labelled alike; Cohen's kappa 0.667, 95 % bootstrap interval [")
    assert ran.out.splitlines()[1:] == [
        "best note against best note: 3 alike, Cohen's kappa 0.667",
        "  screen-no-signal | power-strip-dead | nobody could see a picture",
    ]
    found = json.loads(shell("agree", "--format", "json").out)
    assert (found["questions"], found["agreed"], found["kappa"]) == (4, 3, 0.6667)
    assert (found["strict"], found["unmatched"]) == ({"agreed": 3, "kappa": 0.6667}, [])


def test_labels_for_a_question_that_was_changed_are_told_with_exit_code_1(shell: Shell) -> None:
    second = [{"question": QUESTIONS[0]["question"], "notes": ["screen-no-signal"]}, {"question": "old", "notes": []}]
    (shell.folder / "second.jsonl").write_text("\n".join(map(json.dumps, second)), "utf-8")
    ran = shell("agree")
    assert ran.code == 1
    assert "labels for a question that the first does not have: old" in ran.out.splitlines()


def test_missing_labels_of_the_second_labeller_are_told(shell: Shell) -> None:
    ran = shell("agree")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == f"{shell.folder / 'second.jsonl'}: No such file or directory\n"


@pytest.mark.parametrize("act", ["run", "check", "agree", "tune"])
def test_a_broken_file_of_questions_is_refused_with_its_line(shell: Shell, tmp_path: Path, act: str) -> None:
    path = shell.folder / "questions.jsonl"
    write(path, [QUESTIONS[0], {**QUESTIONS[1], "manner": "shouted"}])
    ran = shell(act, *([tmp_path / "settings.json"] if act == "tune" else []))
    assert (ran.code, ran.out) == (3, "")
    (line,) = ran.err.splitlines()
    assert line.startswith(f"{path}:2: 'manner' must be one of ")


def test_a_broken_file_of_talks_is_refused_with_its_line(shell: Shell) -> None:
    path = shell.folder / "dialogues.jsonl"
    write(path, [*TALKS, {"id": "d3", "turns": [{}]}])
    ran = shell("run")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == f"{path}:2: needs 'id', 'split' and 'turns' of question, notes and about\n"


@pytest.mark.parametrize(
    "options",
    [
        ["run", "--split", "tune"],
        ["report", "--screen", "--split", "tune"],
        ["compare", "a", "b", "--split", "sealed"],
        ["sealed", "--split", "sealed", "--why", "x"],
        ["run", "--format", "xml"],
        ["tune"],
        ["judge"],
        ["compare", "a"],
        ["report"],
        ["gate", "--split", "tune"],
    ],
)
def test_wrong_use_leaves_with_exit_code_2(shell: Shell, options: list[str]) -> None:
    ran = shell(*options)
    assert (ran.code, ran.out) == (2, "")
    assert len(ran.err.splitlines()) == 1
    assert ledger(shell) == []


@pytest.mark.parametrize(
    ("package", "acts"),
    [("sklearn", ["run", "compare", "report", "gate", "check", "sealed", "tune"]), ("matplotlib", ["report"])],
)
def test_a_missing_package_is_told_in_one_line_with_exit_code_2(
    shell: Shell, tmp_path: Path, package: str, acts: list[str]
) -> None:
    second = {"question": QUESTIONS[0]["question"], "notes": ["disc-clean"]}
    (shell.folder / "second.jsonl").write_text(json.dumps(second), "utf-8")
    more: dict[str, list[object]] = {
        "tune": [tmp_path / "settings.json"],
        "compare": [tmp_path / "a", tmp_path / "b"],
        "report": ["--output", tmp_path / "f.html"],
        "sealed": ["--why", "a release"],
    }
    ran = subprocess.run(
        [sys.executable, "-c", WITHOUT, package],
        input=json.dumps([shell.arguments(act, *more.get(act, [])) for act in acts]),
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    remedy = 'pip install ".[desk]" in the folder of the program'
    told = f"scoring needs the package '{package}': {remedy}\n"
    assert ran.stderr == "".join(f"{told}left with 2\n" for _ in acts)
    assert ran.stdout == ""
