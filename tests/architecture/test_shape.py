"""What is loaded, what lies where, and what happens at import."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "assistant"
MODULES = sorted(PACKAGE.rglob("*.py"))
HEAVY = {
    "bm25s",
    "ir_measures",
    "markdown_it",
    "matplotlib",
    "numpy",
    "rank_bm25",
    "rich",
    "scipy",
    "sklearn",
    "spellchecker",
    "textual",
    "yaml",
}
TOP = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "corpus", "assistant", "tests", "eval"}


def names(modules: list[Path]) -> list[str]:
    return [
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for path in modules
        if path.name != "__main__.py"
    ]


ASKING = """
import json, sys
from assistant.cli.main import run
code = run(sys.argv[1:])
print(json.dumps([int(code), sorted({name.partition(".")[0] for name in sys.modules})]))
"""


@pytest.mark.parametrize(
    "arguments",
    [
        ["ask", "controller stick cap broken?"],
        ["ask", "stikc cap broken?", "--format", "json"],
        ["ask", "when do i get paid"],
        ["show", "disc-clean"],
    ],
)
def test_asking_loads_nothing_heavy(mini_pack_path: Path, arguments: list[str]) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", ASKING, "--pack", str(mini_pack_path), *arguments],
        capture_output=True,
        check=True,
        timeout=600,
    )
    code, loaded = json.loads(ran.stdout.splitlines()[-1])
    assert code in (0, 1)
    assert "assistant" in loaded
    assert not HEAVY & set(loaded)


def test_asking_with_unchanged_notes_loads_nothing_heavy(two_notes: Path, tmp_path: Path) -> None:
    arguments = ["--corpus", str(two_notes), "--home", str(tmp_path / "home"), "ask", "lamp of the pad is dark"]
    command = [sys.executable, "-c", ASKING, *arguments]
    ran = [subprocess.run(command, capture_output=True, check=True, timeout=600) for _ in range(2)]
    first, second = (set(json.loads(each.stdout.splitlines()[-1])[1]) for each in ran)
    assert "sklearn" in first
    assert not HEAVY & second


SLOW = {
    "argparse",
    "atexit",
    "contextlib",
    "dataclasses",
    "datetime",
    "gettext",
    "importlib",
    "inspect",
    "json",
    "pathlib",
    "platformdirs",
    "shutil",
    "sqlite3",
    "tempfile",
    "textwrap",
    "typing",
}
"""Modules that take long to load and that the way of a question does without (DEVELOPERS.md, The cold start)."""
PLAINLY = """
import sys
here = set(sys.modules)
sys.path.insert(0, sys.argv.pop(1))
from assistant.cli.main import main
try:
    main(sys.argv[1:])
finally:
    print("\\n" + " ".join(set(sys.modules) - here))
"""


def _loaded(arguments: list[str], home: Path) -> set[str]:
    """Return what a plain question loads in a Python that has loaded nothing for itself, with the folder for data."""
    packages = [path for path in sys.path if path.endswith("site-packages")]
    environment = {"HOME": str(home), "PYTHONPATH": os.pathsep.join(packages)}
    command = [sys.executable, "-S", "-c", PLAINLY, str(ROOT), *arguments]
    ran = subprocess.run(command, capture_output=True, env=environment, cwd=home, check=True, timeout=600)
    return set(ran.stdout.decode().splitlines()[-1].split())


def test_a_plain_question_loads_nothing_slow(mini_pack_path: Path, two_notes: Path, tmp_path: Path) -> None:
    asked = _loaded(["--pack", str(mini_pack_path), "ask", "controller stick cap broken?"], tmp_path)
    assert "assistant.journal.store" in asked
    assert not SLOW & asked
    assert not [name for name in asked if name.startswith("assistant.compiling")]
    notes = ["--corpus", str(two_notes), "--home", str(tmp_path / "home"), "ask", "lamp of the pad is dark"]
    assert "pathlib" in _loaded(notes, tmp_path)
    again = _loaded(notes, tmp_path)
    assert not SLOW & again
    assert {name for name in again if name.startswith("assistant.compiling")} == {
        "assistant.compiling",
        "assistant.compiling.fresh",
        "assistant.compiling.program",
    }


def test_a_question_loads_the_words_of_its_language_alone(
    mini_pack_path: Path, german_pack_path: Path, tmp_path: Path
) -> None:
    def words(pack: Path, question: str) -> set[str]:
        asked = _loaded(["--pack", str(pack), "ask", question], tmp_path)
        return {name for name in asked if name.startswith("assistant.languages") or name == "gettext"}

    common = {"assistant.languages"}
    assert words(mini_pack_path, "stick cap torn") == {*common, "assistant.languages.english"}
    assert words(german_pack_path, "taste klemmt") == {*common, "assistant.languages.german", "gettext"}


def test_top_level_holds_nothing_else() -> None:
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    built_by_installing = {name for name in found if name == "build" or name.endswith(".egg-info")}
    assert found - built_by_installing <= TOP


def test_modules_are_short() -> None:
    lines = {str(path.relative_to(ROOT)): len(path.read_text("utf-8").splitlines()) for path in MODULES}
    assert {name: count for name, count in lines.items() if count > 400} == {}


IMPORTING = """
import importlib, json, sys
written = []
def watch(event, arguments):
    if event == "open":
        name, mode, flags = arguments
        if isinstance(mode, str) and set(mode) & set("wax+") or not isinstance(mode, str) and flags & 3:
            written.append(str(name))
    elif event in ("os.mkdir", "os.rename", "os.remove", "os.symlink", "socket.connect", "subprocess.Popen"):
        written.append(event)
sys.addaudithook(watch)
for name in sys.argv[1:]:
    importlib.import_module(name)
print(json.dumps(written))
"""


def test_importing_does_nothing(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-B", "-c", IMPORTING, *names(MODULES)],
        capture_output=True,
        cwd=tmp_path,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "HOME": str(tmp_path),
            "TMPDIR": str(tmp_path),
            "XDG_DATA_HOME": str(tmp_path),
            "ASSISTANT_HOME": str(tmp_path / "home"),
        },
        check=True,
        timeout=600,
    )
    assert ran.stderr == b""
    assert [name for name in json.loads(ran.stdout) if not name.startswith(("/dev/", "/proc/"))] == []
    assert list(tmp_path.iterdir()) == []


def undocumented(tree: ast.Module, shown: str) -> Iterator[str]:
    if not ast.get_docstring(tree) and tree.body:
        yield shown
    for node in tree.body:
        if not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)) or node.name.startswith("_"):
            continue
        if not ast.get_docstring(node):
            yield f"{shown}:{node.lineno} {node.name}"
        for inner in node.body if isinstance(node, ast.ClassDef) else ():
            if not isinstance(inner, (ast.FunctionDef, ast.AsyncFunctionDef)):
                continue
            if not inner.name.startswith("_") and not ast.get_docstring(inner):
                yield f"{shown}:{inner.lineno} {node.name}.{inner.name}"


def test_every_public_name_has_a_docstring() -> None:
    found = [
        problem
        for path in MODULES
        for problem in undocumented(ast.parse(path.read_text("utf-8")), str(path.relative_to(ROOT)))
    ]
    assert found == []


def test_a_missing_docstring_is_found() -> None:
    text = '"""A."""\ndef f(): ...\nclass C:\n    """C."""\n    def g(self): ...\n    def _h(self): ...\n'
    assert list(undocumented(ast.parse(text), "m")) == ["m:2 f", "m:5 C.g"]


def test_public_names_exist() -> None:
    for path in MODULES:
        tree = ast.parse(path.read_text("utf-8"))
        listed = [
            str(name)
            for node in tree.body
            if isinstance(node, ast.Assign) and any(isinstance(t, ast.Name) and t.id == "__all__" for t in node.targets)
            for name in ast.literal_eval(node.value)
        ]
        assert listed == list(dict.fromkeys(listed)), path
        defined = {node.name for node in tree.body if isinstance(node, (ast.FunctionDef, ast.ClassDef))}
        public = {name for name in defined if not name.startswith("_")}
        assert not listed or public <= set(listed), (path, public - set(listed))


def test_layers_hold() -> None:
    ran = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        timeout=600,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout.decode()
