"""The recipe for a repository of notes, in a repository: a good change passes, a bad one does not."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

RECIPE = Path(__file__).parents[1] / "data" / "notes_repository"
LABELS = (
    ("display shows no signal", "screen-no-signal"),
    ("wipe the sticky disc", "disc-clean"),
    ("controller stick cap broken", "pad-stick-cap"),
    ("pad lead is crushed", "pad-cable-damage"),
)
CAP = "corpus/pad/pad-stick-cap"
RESTING = ("C111", "C308", "C502", "C510", "C708", "C710")


class Repository:
    """A git repository of the small notes with the recipe in it."""

    def __init__(self, root: Path, corpus: Path) -> None:
        self.root = root
        shutil.copytree(corpus, root / "corpus")
        shutil.copytree(RECIPE, root, dirs_exist_ok=True)
        for name in ("power/power-strip-dead.md", "safety/safety-swollen-cell.md"):
            self.change(f"corpus/{name}", "DANGER", "WARNING")
        rows = (f'{code}: {{off: true, reason: "notes for tests are short"}}\n' for code in RESTING)
        (root / "corpus/rules.yaml").write_text("".join(rows), "utf-8")
        (root / "eval").mkdir()
        records = [
            {"id": f"q{n}", "question": question, "manner": "plain", "notes": [note], "split": "tune"}
            for n, (question, note) in enumerate(LABELS, start=1)
        ]
        (root / "eval/questions.jsonl").write_text("".join(json.dumps(r) + "\n" for r in records), "utf-8")
        bars = {"split": "tune", "bars": [{"figure": "right note in the first 3", "at_least": 1}]}
        (root / "eval/bars.json").write_text(json.dumps(bars), "utf-8")
        self.run("git", "init", "-q", "-b", "main")
        self.commit("base")

    def run(self, *command: str) -> subprocess.CompletedProcess[str]:
        path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
        names = {"GIT_AUTHOR_NAME": "A", "GIT_AUTHOR_EMAIL": "a@b.invalid"}
        names |= {"GIT_COMMITTER_NAME": "A", "GIT_COMMITTER_EMAIL": "a@b.invalid"}
        places = {"ASSISTANT_HOME": str(self.root.parent / "home"), "GIT_CONFIG_GLOBAL": os.devnull}
        return subprocess.run(
            command, cwd=self.root, env={**os.environ, "PATH": path, **names, **places}, capture_output=True, text=True
        )

    def change(self, name: str, old: str, new: str) -> None:
        path = self.root / name
        text = path.read_text("utf-8")
        assert old in text
        path.write_text(text.replace(old, new), "utf-8")

    def commit(self, message: str) -> None:
        self.run("git", "add", "-A")
        assert self.run("git", "commit", "-q", "-m", message).returncode == 0

    def errors(self) -> list[dict[str, Any]]:
        found = json.loads((self.root / "build/check.sarif").read_text("utf-8"))
        return [result for result in found["runs"][0]["results"] if result["level"] == "error"]

    def kept(self, name: str) -> str:
        return (self.root / "build" / name).read_text("utf-8")


@pytest.fixture
def repository(tmp_path: Path, mini_corpus_path: Path) -> Repository:
    (tmp_path / "repository").mkdir()
    return Repository(tmp_path / "repository", mini_corpus_path)


def test_a_good_change_passes_and_its_impact_is_told(repository: Repository) -> None:
    repository.change(f"{CAP}.phrases.yaml", "plain:\n", "plain:\n  - stick has no rubber on top\n")
    repository.commit("good")
    ran = repository.run("./check-notes", "HEAD~1")
    assert (ran.returncode, repository.errors()) == (0, [])
    impact = repository.kept("impact.md")
    assert impact.startswith("### What this change does to labelled questions\n\n~~~~text\n")
    assert "labelled questions right after  4/4" in impact
    assert impact.endswith("\n~~~~\n")
    assert repository.kept("gate.txt").endswith("1 bar reached\n")


def test_a_change_that_loses_a_question_is_named_and_stopped_by_its_bar(repository: Repository) -> None:
    repository.change(f"{CAP}.md", "revision:", "status: draft\nrevision:")
    repository.commit("bad")
    ran = repository.run("./check-notes", "HEAD~1")
    assert ran.returncode == 1
    assert "loss: controller stick cap broken" in repository.kept("impact.md")
    assert repository.kept("gate.txt").endswith("1 of 1 bar not reached\n")


def test_a_note_that_cannot_be_read_is_told_with_its_line(repository: Repository) -> None:
    repository.change(f"{CAP}.md", "action: replace", "action: polish")
    repository.commit("bad")
    ran = repository.run("./check-notes", "HEAD~1", "out")
    assert ran.returncode == 3
    (repository.root / "out").rename(repository.root / "build")
    (error,) = repository.errors()
    assert error["ruleId"] == "C101"
    assert error["locations"][0]["physicalLocation"]["artifactLocation"]["uri"].endswith("pad/pad-stick-cap.md")
    assert "It could not be told: the command left with exit code 3." in repository.kept("impact.md")


def test_the_hook_before_a_commit_keeps_errors_back(repository: Repository) -> None:
    """The form of the configuration is that of pre-commit's manual, repository-local hooks (from memory)."""
    (local,) = yaml.safe_load((repository.root / ".pre-commit-config.yaml").read_text("utf-8"))["repos"]
    (hook,) = local["hooks"]
    assert (local["repo"], hook["language"], hook["pass_filenames"]) == ("local", "system", False)
    assert repository.run(*hook["entry"].split()).returncode == 0
    repository.change(f"{CAP}.md", "action: replace", "action: polish")
    ran = repository.run(*hook["entry"].split())
    assert (ran.returncode, "C101" in ran.stdout) == (1, True)
