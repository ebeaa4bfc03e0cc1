"""Old procedures -> drafts: what becomes what, and that no word is lost without being told.

The signal words are those of ANSI Z535.6 (from memory). That a box round a warning is often a table of one cell, that
lists are numbered by hand, and that what a procedure calls its sections differs, is common practice.
"""

from __future__ import annotations

import io
import re
import tempfile
from collections.abc import Callable, Sequence
from datetime import date
from html import escape
from pathlib import Path
from typing import NamedTuple

import docx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from assistant.desk.importing.bring import Brought, bring
from assistant.errors import UsageError
from assistant.model import Note
from assistant.notes.corpus import read_corpus
from tests.making import write_corpus

DAY = date(2026, 11, 2)
AREA = {"area": "cab"}
MARKDOWN = """\
# Service book of the racing seat

## 1.2 Belt of the seat frayed

The belt shows **loose threads** or a cut. See [the page](https://example.invalid/a.png).

![a frayed belt](belt.png)

### Tools

- Hex key

### Procedure

You need a second person.

WARNING: The belt snaps back. It could strike an eye. Hold it with both hands.

1. Unplug the seat.
2. Turn the bolt.
   - If the bolt is tight: go to step 3.
   - Half a turn is enough.
3. Take the belt off.

Between the steps.

4. Fit the new belt.

CAUTION: hot plate

### Check

The belt locks.

## Claw handle loose

| No | What to do | Hazard |
|----|------------|--------|
| 1 | Switch the claw off. | |
| 2 | Tighten the screw. | CAUTION: Parts move. They pinch. Keep hands out. |

| Symptom | Reason |
|---------|-------|
| dead | fuse |

| Part | Count |
|------|-------|
| handle screw | 2 |
"""


def brought(root: Path, name: str, text: str | bytes, given: dict[str, str] | None = None) -> Brought:
    file = root.parent / name
    file.write_bytes(text.encode("utf-8") if isinstance(text, str) else text)
    return bring(root, [file], AREA if given is None else given, DAY)


def notes_of(root: Path) -> dict[str, Note]:
    return {note.id: note for note in read_corpus(root).notes if note.id.startswith("cab-")}


def told(found: Brought) -> list[str]:
    return [str(one._replace(place=Path(one.place).name)) for one in found.left]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return write_corpus(tmp_path / "notes")


def test_a_book_becomes_notes_with_what_it_says_in_its_place(root: Path) -> None:
    found = brought(root, "book.md", MARKDOWN)
    notes = notes_of(root)
    assert [path.stem for path in found.notes] == ["cab-belt-seat-frayed", "cab-claw-handle-loose"]
    belt, claw = notes.values()
    assert (belt.title, belt.tools) == ("Belt of the seat frayed", ("Hex key",))
    assert belt.condition == "The belt shows loose threads or a cut. See the page."
    assert belt.before_you_start == ("You need a second person.",)
    assert [step.text for step in belt.steps] == [
        "Unplug the seat.",
        "Turn the bolt. Half a turn is enough.",
        "Take the belt off.",
        "Fit the new belt.",
        "Say what is done after this message (to write).",
    ]
    assert [(branch.condition, branch.step) for branch in belt.steps[1].branches] == [("If the bolt is tight", 3)]
    assert [(one.signal, one.text, one.before_step) for one in belt.safety] == [
        ("WARNING", "The belt snaps back. It could strike an eye. Hold it with both hands.", 1),
        ("CAUTION", "hot plate. What it does (to write). How to avoid it (to write).", 5),
    ]
    assert belt.result == "The belt locks."
    assert [step.text for step in claw.steps] == ["Switch the claw off.", "Tighten the screw."]
    assert [(one.signal, one.before_step) for one in claw.safety] == [("CAUTION", 2)]
    assert claw.parts == ("handle screw",)


def test_what_finds_no_place_is_told_with_its_line(root: Path) -> None:
    assert told(brought(root, "book.md", MARKDOWN)) == [
        "book.md:1: a heading without text of its own makes no note: Service book of the racing seat",
        "book.md:3: the number before a heading is left out: 1.2",
        "book.md:5: bold is kept as plain text: loose threads",
        "book.md:5: a link is kept as its text: the page -> https://example.invalid/a.png",
        "book.md:7: a picture is not taken over: save it beside the note: a frayed belt belt.png",
        "book.md:9: a heading was read as the section 'tools': Tools",
        "book.md:13: a heading was read as the section 'steps': Procedure",
        "book.md:25: text between steps belongs to no step: Between the steps.",
        "book.md:29: a safety message after the last step got a step to be written",
        "book.md:31: a heading was read as the section 'result': Check",
        "book.md:37: the head of a table is left out: No | What to do | Hazard",
        "book.md:42: a row of a table found no place: Symptom | Reason",
        "book.md:42: a row of a table found no place: dead | fuse",
        "book.md:46: the head of a table is left out: Part | Count",
        "book.md:46: a cell beside 'handle screw' found no place: 2",
    ]


HTML = """\
<html><head><title>Old book</title><style>p { color: red }</style><script>run()</script></head>
<body><!-- printed twice --><h1>Claw handle loose</h1>
<p>The handle turns &amp; clicks.<br>It hurts.</p>
<h2>Instructions</h2>
<p><b>DANGER</b></p>
<p>Live parts are behind the door. They kill. Keep it shut.</p>
<ol><li>Switch the claw off.<p>WARNING: It swings. It can hit you. Stand aside.</p></li>
<li><p>Tighten the screw</p><p>Use the short key.</p><ul><li>Not the long one</li></ul></li></ol>
<form><input value="seven"></form><img src="http://example.invalid/x.png" alt="the claw">
</body></html>
"""


def test_a_page_becomes_a_note_and_a_message_in_a_step_stands_before_it(root: Path) -> None:
    found = brought(root, "page.html", HTML)
    (note,) = notes_of(root).values()
    assert note.condition == "The handle turns & clicks. It hurts."
    assert [step.text for step in note.steps] == [
        "Switch the claw off.",
        "Tighten the screw. Use the short key. Not the long one",
    ]
    assert [(one.signal, one.text.partition(".")[0], one.before_step) for one in note.safety] == [
        ("DANGER", "Live parts are behind the door", 1),
        ("WARNING", "It swings", 1),
    ]
    assert told(found) == [
        "page.html:1: the title of the page: Old book",
        "page.html:1: a style is not read",
        "page.html:1: a script is not read",
        "page.html:2: a comment is not read",
        "page.html:4: a heading was read as the section 'steps': Instructions",
        "page.html:9: a field of a form is not read: seven",
        "page.html:9: a picture is not taken over: save it beside the note: the claw http://example.invalid/x.png",
    ]


def word_file(fill: Callable[[docx.document.Document], object]) -> bytes:
    document = docx.Document()
    fill(document)
    packed = io.BytesIO()
    document.save(packed)
    return packed.getvalue()


def _table(document: docx.document.Document, rows: Sequence[Sequence[str]]) -> None:
    table = document.add_table(len(rows), len(rows[0]))
    for row, texts in zip(table.rows, rows, strict=True):
        for cell, text in zip(row.cells, texts, strict=True):
            cell.text = text


def _book(document: docx.document.Document) -> None:
    document.add_heading("Belt of the seat frayed", 1)
    document.add_paragraph("The belt shows ").add_run("loose threads").bold = True
    document.add_heading("Procedure", 2)
    document.add_paragraph("Unplug the seat.", style="List Number")
    document.add_paragraph("Take the belt off.", style="List Number")
    _table(document, [["CAUTION"]])
    document.tables[0].cell(0, 0).add_paragraph("The bolt is hot. It burns. Let it cool.")
    document.add_paragraph("Fit the new belt.", style="List Number")
    _table(document, [["Part", "Count"], ["seat belt", "1"]])
    picture = io.BytesIO()
    Image.new("RGB", (9, 9)).save(picture, "PNG")
    picture.seek(0)
    document.add_picture(picture)
    document.sections[0].header.paragraphs[0].text = "Third printing"


def test_a_word_file_becomes_a_note(root: Path) -> None:
    found = brought(root, "book.docx", word_file(_book), {**AREA, "station": "disc, pad", "minutes": "12"})
    (note,) = notes_of(root).values()
    assert (note.station, note.minutes, note.parts) == (("disc", "pad"), 12, ("seat belt",))
    assert [step.text for step in note.steps] == ["Unplug the seat.", "Take the belt off.", "Fit the new belt."]
    assert [(one.signal, one.before_step) for one in note.safety] == [("CAUTION", 3)]
    text = found.notes[0].read_text("utf-8")
    assert "action: clean  # (to write)" in text
    assert "minutes: 12\n" in text
    assert [line.partition(": ")[2] for line in told(found)] == [
        "the header of the file has no place in a note: Third printing",
        "bold is kept as plain text: loose threads",
        "a heading was read as the section 'steps': Procedure",
        "was step 1 of its list, is step 3 of 'Belt of the seat frayed': look at what names steps",
        "the head of a table is left out: Part | Count",
        "a cell beside 'seat belt' found no place: 1",
        "a picture is not taken over: save it beside the note",
    ]


@pytest.mark.parametrize(
    ("text", "signal"),
    [
        ("WARNING: It swings.", "WARNING"),
        ("Warning: it swings.", "WARNING"),
        ("DANGER It swings.", "DANGER"),
        ("Caution! It swings.", "CAUTION"),
        ("notice - it swings.", "NOTICE"),
        ("Warning lamps blink.", ""),
        ("A WARNING lamp blinks.", ""),
        ("DANGEROUS lamps blink.", ""),
    ],
)
def test_a_signal_word_begins_a_message_only_where_it_is_meant_as_one(root: Path, text: str, signal: str) -> None:
    brought(root, "a.md", f"# Claw dead\n\n{text}\n\n1. Switch it off.\n")
    (note,) = notes_of(root).values()
    assert [(one.signal, one.before_step) for one in note.safety] == ([(signal, 1)] if signal else [])
    assert (note.condition == text) == (not signal)


def test_steps_that_were_numbered_by_hand_are_steps(root: Path) -> None:
    page = "<h1>Claw dead</h1><p>1. Switch it off.</p><p>2) Wait.</p><p>7. Not a step here</p>"
    found = brought(root, "a.html", page)
    (note,) = notes_of(root).values()
    assert [step.text for step in note.steps] == ["Switch it off.", "Wait."]
    assert told(found) == ["a.html:1: text between steps belongs to no step: 7. Not a step here"]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.md", "# Claw dead\n\n1. Dry it:\n   a. outside,\n   b. inside.\n2. Wait.\n"),
        ("a.html", "<h1>Claw dead</h1><ol><li>Dry it:<p>a) outside,</p><p>b) inside.</p></li><li>Wait.</li></ol>"),
    ],
)
def test_lettered_items_under_a_step_are_steps_of_their_own(root: Path, name: str, text: str) -> None:
    found = brought(root, name, text)
    (note,) = notes_of(root).values()
    assert [step.text for step in note.steps] == ["Dry it:", "outside,", "inside.", "Wait."]
    told_of = [line.partition(": ")[2] for line in told(found)]
    assert told_of == [
        "was no numbered step, is step 2 of 'Claw dead': look at what names steps",
        "was no numbered step, is step 3 of 'Claw dead': look at what names steps",
        "was step 2 of its list, is step 4 of 'Claw dead': look at what names steps",
    ]


def test_a_letter_out_of_its_row_is_no_item(root: Path) -> None:
    brought(root, "a.md", "# Claw dead\n\n1. Look at plan\n   b. of the claw.\n2. Set it to\n   a. hand.\n")
    (note,) = notes_of(root).values()
    assert [step.text for step in note.steps] == ["Look at plan b. of the claw.", "Set it to a. hand."]


def test_a_message_in_the_cell_of_a_step_is_a_message(root: Path) -> None:
    table = (
        "| No | What to do |\n|--|--|\n| 1 | Look. |\n| 2 | WARNING: It cuts. It bleeds. Wear gloves. |\n| 3 | Pull. |"
    )
    found = brought(root, "a.md", f"# Claw dead\n\n{table}\n")
    (note,) = notes_of(root).values()
    assert [step.text for step in note.steps] == ["Look.", "Pull."]
    assert [(one.signal, one.before_step) for one in note.safety] == [("WARNING", 2)]
    assert "a.md:3: was step 3 of its list, is step 2 of 'Claw dead': look at what names steps" in told(found)


def test_text_under_a_heading_makes_a_note_only_where_there_is_nothing_else(root: Path) -> None:
    front = "# Service sheet\n\nKeep this in the bag.\n\n"
    found = brought(root, "a.md", f"{front}# Claw dead\n\n1. Look.\n")
    assert [path.stem for path in found.notes] == ["cab-claw-dead"]
    assert told(found) == [
        "a.md:1: a heading with nothing but text below it makes no note: Service sheet",
        "a.md:3: text that belongs to no note: Keep this in the bag.",
    ]
    assert [path.stem for path in brought(root, "b.md", front).notes] == ["cab-service-sheet"]


def test_what_stands_around_a_page_is_told_unless_it_holds_a_message(root: Path) -> None:
    page = "<nav><a href=/>Home</a></nav><h1>Claw dead</h1><ol><li>Look.</ol><footer>{}</footer>"
    around = told(brought(root, "a.html", page.format("Printed <b>today</b>")))
    assert "a.html:1: the nav of the page has no place in a note: Home" in around
    assert "a.html:1: the footer of the page has no place in a note: Printed today" in around
    brought(root, "b.html", page.format("WARNING: It cuts. It bleeds. Wear gloves.").replace("dead", "bent"))
    assert [one.signal for one in notes_of(root)["cab-claw-bent"].safety] == ["WARNING"]


def test_a_choice_whose_steps_moved_is_told_and_not_kept(root: Path) -> None:
    text = "# Claw dead\n\n1. Look.\n   - If it is dark: go to step 2.\n   1. Look again.\n2. Wait.\n"
    found = brought(root, "a.md", text)
    (note,) = notes_of(root).values()
    assert [(step.text, step.branches) for step in note.steps] == [("Look.", ()), ("Look again.", ()), ("Wait.", ())]
    assert "a.md:3: a choice leads to a step that is numbered otherwise: If it is dark: go to step 2." in told(found)


def test_questions_go_to_the_note_that_is_named_and_the_rest_is_told_with_near_notes(root: Path) -> None:
    table = (
        'question,note\nlamp off,pad-demo\n"dark, at last",Another pad\nlamp of the pad is dark,\n'
        "zz qq,pad-nowhere\n,pad-demo\nlamp out,pad-demo,by post\n"
    )
    found = brought(root, "asked.csv", table, {})
    notes = {note.id: [example.question for example in note.examples] for note in read_corpus(root).notes}
    assert notes == {
        "pad-demo": ["lamp is dark", "pad is dead", "lamp off", "lamp out"],
        "pad-other": ["dark, at last"],
    }
    assert [(path.stem, count) for path, count in found.questions] == [("pad-demo", 2), ("pad-other", 1)]
    left = told(found)
    near = r"asked\.csv:4: a question without a note \(near: pad-\w+ 0\.\d\d, .*\): lamp of the pad is dark"
    assert re.fullmatch(near, left.pop(1))
    assert left == [
        "asked.csv:3: was read as the note pad-other: Another pad",
        "asked.csv:5: no such note beside a question (near no note): zz qq | pad-nowhere",
        "asked.csv:6: a note without a question: pad-demo",
        "asked.csv:7: more than a question and its note: by post",
    ]


def test_questions_of_a_note_that_comes_with_them(root: Path) -> None:
    (root.parent / "a.md").write_text("# Claw dead\n\n1. Look.\n", "utf-8")
    (root.parent / "q.csv").write_text("claw wont move;cab-claw-dead\n", "utf-8")
    found = bring(root, [root.parent / "a.md", root.parent / "q.csv"], AREA, DAY)
    assert [example.question for example in notes_of(root)["cab-claw-dead"].examples] == ["claw wont move"]
    assert (len(found.notes), found.left) == (1, ())


def files(root: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in root.rglob("*") if path.is_file()}


def test_a_note_that_is_there_is_not_written_over_and_nothing_else_is_written(root: Path) -> None:
    brought(root, "a.md", "# Claw dead\n\n1. Look.\n")
    before = files(root)
    with pytest.raises(UsageError, match="is there already"):
        brought(root, "b.md", "# Belt torn\n\n1. Look.\n\n# Claw dead\n\n1. Look away.\n")
    assert files(root) == before


def test_two_notes_of_one_name_in_one_file_get_two_ids(root: Path) -> None:
    brought(root, "a.md", "# Claw dead\n\n1. Look.\n\n# Claw dead\n\n1. Look away.\n")
    assert list(notes_of(root)) == ["cab-claw-dead", "cab-claw-dead-2"]


def test_without_an_area_nothing_is_written(root: Path) -> None:
    before = files(root)
    with pytest.raises(UsageError, match="need an area"):
        brought(root, "a.md", "# Claw dead\n\n1. Look.\n", {})
    assert files(root) == before


class Part(NamedTuple):
    """One thing of a made-up procedure."""

    kind: str
    texts: tuple[str, ...]


KINDS = ("heading", "section", "text", "signal", "numbered", "bullet", "nested", "table", "steps", "boxed")
_words = st.integers(0, 10**6).map(lambda n: f"w{n}")
_texts = st.lists(
    _words
    | st.sampled_from(["a_b", "*", "#", "1.", "<i>", "&lt;", "[x]", "\\\\", "- ", "`", "|x", "if: go to step 2."]),
    min_size=1,
    max_size=6,
).map(" ".join)
_parts = st.lists(st.builds(Part, st.sampled_from(KINDS), st.tuples(_texts, _texts, _texts)), min_size=1, max_size=12)


def as_html(parts: Sequence[Part]) -> str:
    forms = {
        "heading": "<h2>{0} {1}</h2>{2}",
        "section": "<h3>Procedure</h3><p>{0} <b>{1}</b></p>{2}",
        "text": "<p>{0} <a href='x'>{1}</a></p><div>{2}</div>",
        "signal": "<p>WARNING: {0}. {1}. {2}.</p>",
        "numbered": "<ol start=3><li>{0}<li>{1}<p>{2}</p></ol>",
        "bullet": "<ul><li>{0}</li>{1}<li>{2}</li></ul>",
        "nested": "<ol><li>{0}<ul><li>{1}</li></ul>{2}</li></ol>",
        "table": "<table><caption>{0}</caption><tr><td>{1}</td><td><p>{2}</p></td></tr></table>",
        "steps": "<table><tr><th>No</th><th>Action</th></tr><tr><td>1</td><td>{0}</td><td>{1} {2}</td></tr></table>",
        "boxed": "<table><tr><td>DANGER</td><td>{0}</td></tr><tr><td>{1}<table><tr><td>{2}</table></table>",
    }
    return "\n".join(forms[part.kind].format(*map(escape, part.texts)) for part in parts)


def as_markdown(parts: Sequence[Part]) -> str:
    forms = {
        "heading": "## {0} {1}\n\n{2}\n",
        "section": "### Procedure\n\n{0} **{1}**\n\n{2}\n",
        "text": "{0} [{1}](x)\n{2}\n",
        "signal": "WARNING: {0}. {1}. {2}.\n",
        "numbered": "3. {0}\n4. {1}\n\n   {2}\n",
        "bullet": "- {0}\n- {1}\n\n> {2}\n",
        "nested": "1. {0}\n   - {1}\n   1. {2}\n",
        "table": "| {0} | {1} |\n|---|---|\n| {2} | |\n",
        "steps": "| Action | What |\n|---|---|\n| {0} | {1} {2} |\n",
        "boxed": "> CAUTION\n>\n> {0}\n\n    {1}\n\n![{2}](y)\n",
    }
    return "\n".join(forms[part.kind].format(*part.texts) for part in parts)


def as_word(parts: Sequence[Part]) -> bytes:
    def fill(document: docx.document.Document) -> None:
        for kind, (a, b, c) in parts:
            if kind in ("heading", "section"):
                document.add_heading(f"{a} {b}" if kind == "heading" else "Procedure", 2)
                document.add_paragraph(f"{a} {b} {c}" if kind == "section" else c)
            elif kind in ("numbered", "bullet", "nested"):
                style = "List Bullet" if kind == "bullet" else "List Number"
                document.add_paragraph(a, style=style)
                document.add_paragraph(b, style="List Number 2" if kind == "nested" else style)
                document.add_paragraph(c, style="Quote")
            elif kind in ("table", "steps", "boxed"):
                _table(document, [["DANGER" if kind == "boxed" else "Action", a], [b, c]])
            else:
                document.add_paragraph(f"WARNING: {a}. {b}. {c}" if kind == "signal" else f"{a} {b} {c}")

    return word_file(fill)


def words(text: str) -> set[str]:
    return set(re.findall(r"[^\W_]+", text.casefold()))


def nothing_is_lost(name: str, text: str | bytes, source_words: set[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        root = write_corpus(Path(folder) / "notes")
        before = set(files(root))
        found = brought(root, name, text)
        written = "\n".join(raw.decode() for path, raw in files(root).items() if path not in before)
        assert source_words <= words(written) | words("\n".join(map(str, found.left)))
        assert found.notes or found.left or not source_words
        assert all("holds a word that was not read" not in one.what for one in found.left) or name.endswith(".md")


@settings(max_examples=40)
@given(_parts)
def test_every_word_of_a_page_is_in_a_draft_or_told(parts: list[Part]) -> None:
    page = as_html(parts)
    nothing_is_lost("a.html", page, words(" ".join(" ".join(part.texts) for part in parts)))


@settings(max_examples=40)
@given(_parts)
def test_every_word_of_a_markdown_file_is_in_a_draft_or_told(parts: list[Part]) -> None:
    drawn = " ".join(" ".join(part.texts) for part in parts)
    nothing_is_lost("a.md", as_markdown(parts), words(drawn) - {"1", "2", "lt"})


@settings(max_examples=12)
@given(_parts)
def test_every_word_of_a_word_file_is_in_a_draft_or_told(parts: list[Part]) -> None:
    nothing_is_lost("a.docx", as_word(parts), words(" ".join(" ".join(part.texts) for part in parts)))


@settings(max_examples=60)
@given(st.text(st.characters(exclude_categories=["C", "Z"]) | st.sampled_from(" \n#*-|1.>`"), max_size=80))
def test_every_word_of_any_text_is_in_a_draft_or_told(text: str) -> None:
    drawn = {word for word in words(text) if any(c.isalpha() for c in word)}
    nothing_is_lost("a.md", text, drawn)
