"""A note with a picture, from its folder to the words on a terminal, to a program and to a page."""

from __future__ import annotations

import base64
import json
import sys
from pathlib import Path

import pytest

from assistant.compiling.compiler import compile_corpus
from assistant.notes.corpus import read_corpus
from tests.cli.conftest import Run
from tests.making import NOTE_PATH, NOTE_TEXT, plain_settings, write_corpus

LINE = "![The plug at the back of the pad](pad-plug.svg)"
DRAWN = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><circle r="3"></circle></svg>\n'


@pytest.fixture
def pack(tmp_path: Path) -> str:
    root = write_corpus(tmp_path / "notes")
    (root / "pad/pad-plug.svg").write_bytes(DRAWN)
    text = NOTE_TEXT.replace("2. Unplug the pad.\n", f"2. Unplug the pad.\n\n   {LINE}\n\n")
    (root / NOTE_PATH).write_text(text, "utf-8")
    path = tmp_path / "p.pack"
    compile_corpus(read_corpus(root), plain_settings(), path)
    return str(path)


def test_words_on_a_terminal_fields_for_a_program_and_a_drawing_on_a_page(run: Run, pack: str) -> None:
    shown = run("--pack", pack, "show", "pad-demo").out
    assert "    Picture: The plug at the back of the pad (pad/pad-plug.svg)" in shown.splitlines()
    asked = json.loads(run("--pack", pack, "ask", "--no-record", "--format", "json", "lamp of the pad is dark").out)
    assert asked["pictures"] == [{"name": "pad-plug.svg", "text": "The plug at the back of the pad", "step": 2}]
    page = run("--pack", pack, "show", "pad-demo", "--format", "html").out
    address = f"data:image/svg+xml;base64,{base64.b64encode(DRAWN).decode()}"
    assert f'<img src="{address}" alt="The plug at the back of the pad">' in page
    assert "img-src data:;" in page
    order = [page.index(part) for part in ("<strong>WARNING</strong>", "<b>2.</b>", "<img", "<b>3.</b>")]
    assert order == sorted(order)
    assert "<img" not in run("--pack", pack, "show", "pad-other", "--format", "html").out


def test_a_device_without_templates_says_how_to_get_a_page(
    run: Run, pack: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("--pack", pack, "visit", "demo", "--home", "journal").code == 0
    for module in [
        name for name in sys.modules if name.startswith(("assistant.webpage", "assistant.visiting.report_page"))
    ]:
        monkeypatch.delitem(sys.modules, module)
    monkeypatch.delitem(sys.modules, "assistant.cli.card_page", raising=False)
    monkeypatch.setitem(sys.modules, "jinja2", None)
    for words in (("show", "pad-demo"), ("visit", "report", "--home", "journal")):
        ran = run("--pack", pack, *words, "--format", "html")
        assert (ran.code, ran.out) == (2, "")
        assert "a page needs the package 'jinja2': pip install \".[screen]\" in the folder of the program" in ran.err
    for form in ("markdown", "json", "message"):
        assert run("--pack", pack, "visit", "report", "--home", "journal", "--format", form).code == 0
