"""How a process ends: all of the answer is out, and what was to be told of the end is told."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ENDING = """
import sys
{before}
class Held:
    def __del__(self, out=sys.stderr):
        print("put away", file=out)
held = Held()
from assistant.cli.main import start
start()
"""


def ended(before: str, *arguments: object) -> subprocess.CompletedProcess[str]:
    code = ENDING.format(before=before)
    command = [sys.executable, "-S", "-c", code, *map(str, arguments)]
    path = [name for name in sys.path if name]
    return subprocess.run(
        command, capture_output=True, text=True, check=False, env={"PYTHONPATH": ":".join(path)}, timeout=600
    )


def test_after_a_plain_question_python_puts_nothing_away(mini_pack_path: Path, tmp_path: Path) -> None:
    asked = "--pack", mini_pack_path, "--home", tmp_path, "ask", "controller stick cap broken?"
    ran, orderly = ended("", *asked), ended("import atexit", *asked)
    assert (ran.returncode, orderly.returncode) == (0, 0)
    assert ran.stdout == orderly.stdout
    assert "stick cap torn" in ran.stdout
    assert (ran.stderr, orderly.stderr) == ("", "put away\n")


@pytest.mark.parametrize(
    ("arguments", "code"),
    [(("--pack", "nowhere", "ask", "it is dark"), 3), (("ask",), 2), (("ask", "--help"), 0)],
    ids=["no pack", "no question", "help"],
)
def test_the_code_is_that_of_the_command(arguments: tuple[str, ...], code: int, tmp_path: Path) -> None:
    assert ended("", "--home", tmp_path, *arguments).returncode == code


def test_who_asked_to_be_told_of_the_end_is_told(mini_pack_path: Path, tmp_path: Path) -> None:
    before = "import atexit; atexit.register(print, 'the end')"
    ran = ended(before, "--pack", mini_pack_path, "--home", tmp_path, "ask", "controller stick cap broken?")
    assert ran.stdout.endswith("the end\n")


@pytest.mark.parametrize(
    ("set_before", "painted"), [({}, "240"), ({"TEXTUAL_FPS": "30"}, "30")], ids=["ours", "theirs"]
)
def test_a_card_does_not_wait_to_be_painted(set_before: dict[str, str], painted: str, tmp_path: Path) -> None:
    code = "from assistant.cli import main; main._loaded_screen(); import textual.constants as c; print(c.MAX_FPS)"
    path = ":".join(name for name in sys.path if name)
    ran = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": path, "HOME": str(tmp_path), **set_before},
        timeout=600,
    )
    assert ran.stdout == f"{painted}\n"
