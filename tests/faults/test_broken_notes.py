"""Every kind of broken note is refused in words: file, line, reason, exit code 3, nothing else harmed."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.making import NOTE_TEXT, line_of

Break = Callable[[Path], object]


def edit(old: str, new: str) -> Break:
    return lambda root: (root / "pad/pad-demo.md").write_text(NOTE_TEXT.replace(old, new, 1), "utf-8")


def raw(name: str, content: bytes) -> Break:
    return lambda root: (root / name).write_bytes(content)


def loop(root: Path) -> None:
    (root / "pad/pad-loop.md").symlink_to("pad-loop.md")


def line(marker: str) -> int:
    return line_of(NOTE_TEXT, marker)


BROKEN: dict[str, tuple[Break, str]] = {
    "no front matter": (raw("pad/pad-demo.md", b"# Hello\n"), "pad/pad-demo.md:1: front matter is missing"),
    "empty": (raw("pad/pad-demo.md", b""), "pad/pad-demo.md:1: front matter is missing"),
    "front matter without end": (edit("---\n\n##", "\n##"), "pad/pad-demo.md:1: front matter has no closing"),
    "bad yaml": (edit("[pad]", "[pad"), f"pad/pad-demo.md:{line('station') + 1}: front matter is not valid YAML"),
    "yaml bomb": (edit("[pad]", "[" * 50_000), "pad/pad-demo.md:2: front matter is nested too deeply"),
    "yaml alias": (
        edit("[pad]", "&a [pad]\ntools: *a"),
        f"pad/pad-demo.md:{line('station')}: front matter must not use YAML aliases",
    ),
    "unknown field": (edit("minutes", "minuets"), f"pad/pad-demo.md:{line('minutes')}: unknown field 'minuets'"),
    "bad value": (edit("minutes: 6", "minutes: soon"), f"pad/pad-demo.md:{line('minutes')}: 'minutes' must be"),
    "other id": (edit("id: pad-demo", "id: pad-dumo"), "pad/pad-demo.md:2: id 'pad-dumo' is not the file name"),
    "missing section": (
        edit("## Result", "## Results"),
        f"pad/pad-demo.md:{line('## Result')}: unknown section 'Results'",
    ),
    "step out of order": (
        edit("3. Fit", "4. Fit"),
        f"pad/pad-demo.md:{line('3. Fit')}: step 4 stands where step 3 is due",
    ),
    "dangling branch": (edit("step 3.", "step 9."), f"pad/pad-demo.md:{line('1. Look')}: step 1 leads to step 9"),
    "message without step": (
        edit("## Result", "> **NOTICE** A. B. C.\n\n## Result"),
        f"pad/pad-demo.md:{line('## Result')}: a safety message has no step",
    ),
    "broken link": (
        edit("[pad-other]\n", "[pad-gone]\n"),
        f"pad/pad-demo.md:{line('see_also')}: leads to the note 'pad-gone'",
    ),
    "nul": (raw("pad/pad-demo.md", b"---\n\0"), "pad/pad-demo.md:2: not a text file: holds a NUL byte"),
    "not utf-8": (raw("pad/pad-demo.md", b"---\n\n\xe9"), "pad/pad-demo.md:3: not valid UTF-8"),
    "escape": (
        edit("A lead", "A \x1b[31mlead"),
        f"pad/pad-demo.md:{line('A lead breaks')}: holds a control character (U+001B)",
    ),
    "too large": (raw("pad/pad-demo.md", b"x" * 600_000), "pad/pad-demo.md:1: file has 600000 bytes"),
    "loop": (loop, "pad/pad-loop.md:1: cannot be read: Too many levels of symbolic links"),
    "pipe": (lambda root: os.mkfifo(root / "pad/pad-pipe.md"), "pad/pad-pipe.md:1: not a file that can be read"),
    "questions alone": (
        raw("pad/pad-gone.questions.txt", b"x\n"),
        "pad/pad-gone.questions.txt:1: example questions without",
    ),
    "bad follow-up": (raw("followups.txt", b"\nsoon: now\n"), "followups.txt:2: "),
    "bad vocabulary": (raw("vocabulary.yaml", b"a: {b: 2}\n"), "vocabulary.yaml:1: weight of 'b' must be"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_broken_note(run: Run, two_notes: Path, tmp_path: Path, name: str) -> None:
    damage, expected = BROKEN[name]
    damage(two_notes)
    pack = tmp_path / "m.pack"
    pack.write_bytes(b"as it was")
    before = sorted(path.name for path in tmp_path.iterdir())
    ran = run("corpus", "compile", "--corpus", str(two_notes), "--pack", str(pack))
    assert (ran.code, ran.out) == (3, "")
    told = [row for row in ran.err.splitlines() if not row.endswith(" ...")]
    assert "Traceback" not in ran.err
    assert any(row.startswith(expected) for row in told), told
    assert all(row.split(":")[1].isdigit() for row in told)
    assert pack.read_bytes() == b"as it was"
    assert sorted(path.name for path in tmp_path.iterdir()) == before
