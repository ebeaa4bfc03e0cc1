"""``corpus import`` and ``corpus print`` on the command line."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Run

TEXT = "# Claw dead\n\n**Look** at it.\n\n1. Switch it off.\n"
CLAW = "cab/cab-claw-dead.md"


@pytest.fixture
def notes(mini_corpus_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    root = Path(shutil.copytree(mini_corpus_path, tmp_path / "notes"))
    monkeypatch.setenv("ASSISTANT_CORPUS", str(root))
    (tmp_path / "a.md").write_text(TEXT, "utf-8")
    return root


def test_a_draft_is_told_on_stdout_and_what_is_left_on_stderr(run: Run, notes: Path) -> None:
    ran = run("corpus", "import", "a.md", "--area", "cab")
    assert ran.code == 0
    assert ran.out == f"{notes / CLAW}: a draft; what is still to be written: assistant corpus check --rule C109\n"
    assert ran.err.splitlines() == [
        "a.md:3: bold is kept as plain text: Look",
        "1 draft; 1 line on what found no place",
    ]
    found = run("corpus", "check", "--rule", "C109", str(notes / CLAW))
    assert found.code == 1
    assert any(f"{CLAW}:" in line and "station: [all]" in line for line in found.out.splitlines())


def test_what_is_alike_is_told_by_its_count(run: Run, notes: Path, tmp_path: Path) -> None:
    """What lost no word is counted; a sentence that found no place stands by itself."""
    bold = "".join(f"{n}. Press **key {n}** once.\n" for n in range(1, 6))
    (tmp_path / "b.md").write_text(f"# Keys stuck\n\n{bold}\nBetween the steps.\n", "utf-8")
    ran = run("corpus", "import", "b.md", "--area", "cab")
    assert ran.err.splitlines() == [
        "b.md: bold is kept as plain text: 5 times, in lines 3, 4, 5 and 2 more (--verbose tells each)",
        "b.md:9: text between steps belongs to no step: Between the steps.",
        "1 draft; 6 lines on what found no place",
    ]
    (tmp_path / "c.md").write_text(f"# Keys loose\n\n{bold}", "utf-8")
    told = run("corpus", "import", "c.md", "--area", "cab", "--verbose").err.splitlines()
    assert told[:5] == [f"c.md:{n + 2}: bold is kept as plain text: key {n}" for n in range(1, 6)]


def test_what_is_left_goes_into_a_file_that_is_not_there_yet(run: Run, notes: Path, tmp_path: Path) -> None:
    ran = run("corpus", "import", "a.md", "--area", "cab", "--left", "left.txt")
    assert ran.code == 0
    assert (tmp_path / "left.txt").read_text("utf-8") == "a.md:3: bold is kept as plain text: Look\n"
    assert "bold" not in ran.err
    (tmp_path / "b.md").write_text(TEXT.replace("dead", "bent"), "utf-8")
    again = run("corpus", "import", "b.md", "--area", "cab", "--left", "left.txt")
    assert (again.code, "is there already" in again.err) == (3, True)
    assert not (notes / "cab/cab-claw-bent.md").exists()


@pytest.mark.parametrize(
    ("given", "code", "told"),
    [
        ((), 2, "new notes need an area (--area): cab"),
        (("--area", "moon"), 2, "the area 'moon' is none of"),
        (("--area", "cab", "--station", "boat"), 2, "station must be one or more of"),
        (("--area", "cab", "--minutes", "0"), 2, "minutes must be"),
        (("--area", "cab", "--corpus", "nowhere"), 2, "no folder of notes"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(
    run: Run, notes: Path, given: tuple[str, ...], code: int, told: str
) -> None:
    ran = run("corpus", "import", "a.md", *given)
    assert (ran.code, ran.out, told in ran.err) == (code, "", True)
    assert not (notes / CLAW).exists()


def test_the_first_notes_of_an_empty_folder(run: Run, notes: Path, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    ran = run("corpus", "import", "a.md", "--area", "device", "--corpus", "empty")
    assert (ran.code, "empty/trade.yaml: written" in ran.err) == (0, True)
    assert (tmp_path / "empty/device/device-claw-dead.md").is_file()


def test_questions_alone(run: Run, notes: Path, tmp_path: Path) -> None:
    (tmp_path / "q.csv").write_text("question,note\ncap is off,pad-stick-cap\n", "utf-8")
    ran = run("corpus", "import", "q.csv")
    assert (ran.code, "pad-stick-cap.md: 1 example question added" in ran.out) == (0, True)
    (tmp_path / "q.csv").write_text("cap is off,\n", "utf-8")
    assert run("corpus", "import", "q.csv").code == 1


def test_from_an_old_procedure_to_an_answer_and_a_page(run: Run, notes: Path, tmp_path: Path) -> None:
    (tmp_path / "seat.md").write_text(
        "# Racing seat slides back\n\n## Symptoms\n\nThe racing seat slides back when a player brakes.\n\n"
        "## Procedure\n\nWARNING: The rail crushes fingers. It could break one. Keep hands off the rail.\n\n"
        "1. Tighten both rail bolts.\n\n## Check\n\nThe seat stays.\n",
        "utf-8",
    )
    (tmp_path / "q.csv").write_text("question,note\nracing chair rolls away,Racing seat slides back\n", "utf-8")
    assert run("corpus", "import", "seat.md", "q.csv", "--area", "cab", "--station", "all", "--minutes", "9").code == 0
    note = notes / "cab/cab-racing-seat-slides-back.md"
    left = note.read_text("utf-8")
    assert "safety_review: unsigned\n" in left
    asked = ("--pack", "x.pack", "ask", "racing seat slides back", "--no-record")
    assert run("corpus", "compile", "--pack", "x.pack").code == 0
    assert "Tighten both rail bolts." not in run(*asked).out
    note.write_text(left.replace("status: draft\n", "").replace(" (to write)", "").replace("# (to write)", ""), "utf-8")
    assert run("corpus", "check", "--rule", "C109", str(note)).code == 0
    assert run("corpus", "compile", "--pack", "x.pack").code == 0
    answer = " ".join(run(*asked).out.split())
    assert answer.index("Keep hands off the rail.") < answer.index("Tighten both rail bolts.")
    assert run("corpus", "print", note.stem, "--output", "seat.html").code == 0
    page = (tmp_path / "seat.html").read_text("utf-8")
    assert page.index("Keep hands off the rail.") < page.index("Tighten both rail bolts.")


def test_a_booklet_as_a_page(run: Run, notes: Path, tmp_path: Path) -> None:
    page = run("corpus", "print", "--area", "pad", "--output", "pads.html", "--title", "Pads & sticks")
    assert (page.code, page.out) == (0, "pads.html: 2 notes\n")
    assert "<h1>Pads &amp; sticks</h1>" in (tmp_path / "pads.html").read_text("utf-8")
    again = run("corpus", "print", "--output", "pads.html")
    assert (again.code, "is there already" in again.err) == (3, True)


@pytest.mark.usefixtures("pango")
def test_a_booklet_as_a_pdf(run: Run, notes: Path, tmp_path: Path) -> None:
    pdf = run("corpus", "print", "pad-stick-cap", "--output", "cap.pdf")
    assert (pdf.code, pdf.out) == (0, "cap.pdf: 1 note\n")
    assert (tmp_path / "cap.pdf").read_bytes().startswith(b"%PDF-")
    assert "Laying out with their numbers ..." in pdf.err


@pytest.mark.usefixtures("pango")
def test_a_pdf_that_is_broken_off_leaves_no_file(
    run: Run, notes: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from assistant.cli import printing

    def broken_off(_: str, done: int = 0, _total: int = 0) -> None:
        if done > 1:
            raise KeyboardInterrupt

    monkeypatch.setattr(printing, "say", broken_off)
    before = sorted(tmp_path.iterdir())
    ran = run("corpus", "print", "pad-stick-cap", "--output", "cap.pdf")
    assert (ran.code, ran.out, sorted(tmp_path.iterdir())) == (130, "", before)


def test_without_what_draws_a_pdf_the_page_is_written(
    run: Run, notes: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    ran = run("corpus", "print", "pad-stick-cap", "--output", "cap.pdf")
    assert (ran.code, ran.out) == (1, "cap.html: 1 note\n")
    assert "a PDF needs the package 'weasyprint' and the pango libraries" in ran.err
    assert not (tmp_path / "cap.pdf").exists()


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (("--output", "a.txt"), "a booklet is a file .html or .pdf"),
        (("--output", "a.html", "no-note"), "no note no-note"),
        (("--output", "a.html", "--area", "cab"), "no note is all of that"),
    ],
)
def test_a_booklet_that_cannot_be_made(run: Run, notes: Path, given: tuple[str, ...], told: str) -> None:
    ran = run("corpus", "print", *given)
    assert (ran.code, ran.out, told in ran.err) == (2, "", True)


@pytest.mark.parametrize(
    ("missing", "act"), [("lxml", ("import", "a.md")), ("jinja2", ("print", "--output", "a.html"))]
)
def test_without_its_packages_it_says_which_to_install(
    run: Run, notes: Path, monkeypatch: pytest.MonkeyPatch, missing: str, act: tuple[str, ...]
) -> None:
    for name in [
        name for name in sys.modules if name.startswith(("assistant.desk.importing", "assistant.desk.booklet"))
    ]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delitem(sys.modules, "assistant.webpage.templates", raising=False)
    monkeypatch.setitem(sys.modules, missing, None)
    ran = run("corpus", *act)
    assert (ran.code, ".[author]" in ran.err) == (2, True)
