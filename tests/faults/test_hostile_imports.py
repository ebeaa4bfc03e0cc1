"""Files for the import that nobody has vouched for: refused in one line, with exit code 3, and nothing is written.

How an archive swells, what an encrypted Office file begins with and where macros lie is of the OPC and OLE formats
(ECMA-376 part 2 and common practice, from memory).
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import docx
import pytest

from tests.cli.conftest import Run

XML = '<?xml version="1.0" encoding="UTF-8"?>'
W = 'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"'
_GROWING = "".join(f"<!ENTITY {new} '{f'&{old};' * 9}'>" for old, new in ("ab", "bc", "cd"))
BOMB = f"<!DOCTYPE a [<!ENTITY a 'ha'>{_GROWING}]>"
OUTSIDE = '<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/hostname">]>'


@cache
def good() -> Mapping[str, bytes]:
    document = docx.Document()
    document.add_heading("Claw dead", 1)
    document.add_paragraph("Look.", style="List Number")
    packed = io.BytesIO()
    document.save(packed)
    with zipfile.ZipFile(packed) as parts:
        return {name: parts.read(name) for name in parts.namelist()}


def packed(parts: Mapping[str, bytes]) -> bytes:
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return raw.getvalue()


def changed(name: str, old: bytes, new: bytes) -> bytes:
    parts = dict(good())
    assert old in parts[name]
    return packed({**parts, name: parts[name].replace(old, new, 1)})


def encrypted() -> bytes:
    raw = bytearray(packed(good()))
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = raw.find(mark)
        while at >= 0:
            raw[at + place] |= 1
            at = raw.find(mark, at + 4)
    return bytes(raw)


def document(text: str) -> bytes:
    return packed({**good(), "word/document.xml": text.encode()})


BODY = f"<w:document {W}><w:body><w:p><w:r><w:t>Claw</w:t></w:r></w:p></w:body></w:document>"
WORD = {
    "nothing": (b"", "cannot be read as a Word file"),
    "no archive": (b"PK not an archive", "cannot be read as a Word file"),
    "cut off": (packed(good())[:2000], "cannot be read as a Word file"),
    "another archive": (packed({"a.txt": b"a"}), "is not a Word file"),
    "old Word": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "is encrypted, or an older Word file"),
    "encrypted": (encrypted(), "is encrypted"),
    "macros": (packed({**good(), "word/vbaProject.bin": b"a"}), "holds macros"),
    "macros by type": (
        changed("[Content_Types].xml", b"wordprocessingml.document.main", b"ms-word.document.macroEnabled.main"),
        "holds macros",
    ),
    "swollen text": (packed({**good(), "word/a.xml": b" " * (9 << 20)}), "would unpack to over 8 MiB"),
    "swollen picture": (packed({**good(), "word/media/a.png": b"\0" * (65 << 20)}), "would unpack to over"),
    "many parts": (packed({**good(), **{f"word/media/{n}": b"" for n in range(2001)}}), "would unpack to over"),
    "entities": (document(XML + BOMB + BODY), "holds a document type"),
    "outside entity": (document(XML + OUTSIDE + BODY.replace("Claw", "&x;")), "holds a document type"),
    "another encoding": (document(BODY.replace("<w:doc", '<?xml version="1.0" encoding="cp500"?><w:doc')), "not UTF-8"),
    "bad bytes": (packed({**good(), "word/document.xml": XML.encode() + b"\xff\xfe"}), "cannot be read as a Word file"),
    "no XML": (document("hello"), "cannot be read as a Word file"),
    "deep": (
        document(f"<w:document {W}><w:body>{'<w:ins>' * 5000}{'</w:ins>' * 5000}</w:body></w:document>"),
        "cannot be read as a Word file",
    ),
}


def refused(run: Run, root: Path, name: str, raw: bytes) -> str:
    before = {path: path.read_bytes() for path in root.rglob("*") if path.is_file()}
    file = root.parent / name
    file.write_bytes(raw)
    ran = run("corpus", "import", str(file), "--area", "cab", "--corpus", str(root))
    assert (ran.code, ran.out) == (3, "")
    assert len(ran.err.splitlines()) == 1
    assert {path: path.read_bytes() for path in root.rglob("*") if path.is_file()} == before
    return ran.err


@pytest.mark.parametrize("kind", WORD)
def test_a_word_file_that_is_not_one_or_not_safe(run: Run, two_notes: Path, kind: str) -> None:
    raw, why = WORD[kind]
    told = refused(run, two_notes, "a.docx", raw)
    assert "a.docx:1: " in told
    assert why in told


def test_the_word_file_that_the_others_are_made_from_is_read(run: Run, two_notes: Path) -> None:
    file = two_notes.parent / "a.docx"
    file.write_bytes(packed(good()))
    assert run("corpus", "import", str(file), "--area", "cab", "--corpus", str(two_notes)).code == 0


@pytest.mark.parametrize("ending", ["html", "md", "csv"])
@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (b"# a\nb\xff\xfec", ":2: not valid UTF-8"),
        (b"a\nb\0c", ":2: not a text file"),
        (b"a\x1b[31mb", ":1: holds a control character"),
        (b"a " * (1 << 20) + b"a", ":1: file has 2097153 bytes, 2097152 at most"),
    ],
    ids=["bytes", "binary", "escape", "huge"],
)
def test_a_text_file_that_is_not_one(run: Run, two_notes: Path, ending: str, raw: bytes, why: str) -> None:
    assert f"a.{ending}{why}" in refused(run, two_notes, f"a.{ending}", raw)


def test_a_page_so_deep_that_a_part_of_it_would_be_lost(run: Run, two_notes: Path) -> None:
    page = b"<div>" * 400 + b"deep" + b"</div>" * 400
    assert "a.html:1: is nested too deeply" in refused(run, two_notes, "a.html", page)


def test_markdown_so_deep_that_its_reader_leaves_it_out_is_told(run: Run, two_notes: Path) -> None:
    file = two_notes.parent / "a.md"
    file.write_text("# Claw dead\n\n1. Look.\n\n" + "> " * 120 + "deep\n", "utf-8")
    ran = run("corpus", "import", str(file), "--area", "cab", "--corpus", str(two_notes))
    assert (ran.code, "a.md:5: holds a word that was not read: > >" in ran.err) == (0, True)


@pytest.mark.parametrize("name", ["a.doc", "a.docm", "a.exe", "a"])
def test_a_file_of_no_kind_that_is_read(run: Run, two_notes: Path, name: str) -> None:
    assert f"{name}:1: is none of .docx, .html, .htm, .md, .markdown, .csv" in refused(run, two_notes, name, b"a")


def test_a_table_of_questions_that_ends_in_a_quotation(run: Run, two_notes: Path) -> None:
    assert "a.csv:1: is no table of questions" in refused(run, two_notes, "a.csv", b'a,"' + b"b" * 140_000)


def test_a_folder_a_pipe_and_nothing(run: Run, two_notes: Path) -> None:
    for name in ("a.docx", "a.html"):
        (two_notes.parent / name).mkdir()
        assert run("corpus", "import", str(two_notes.parent / name), "--corpus", str(two_notes)).code == 3
        assert run("corpus", "import", str(two_notes.parent / f"no{name}"), "--corpus", str(two_notes)).code == 3


def test_one_bad_file_among_good_ones_and_nothing_is_written(run: Run, two_notes: Path) -> None:
    (two_notes.parent / "good.md").write_text("# Claw dead\n\n1. Look.\n", "utf-8")
    (two_notes.parent / "bad.md").write_bytes(b"\xff")
    (two_notes.parent / "bad.html").write_bytes(b"\xff")
    before = sorted(two_notes.rglob("*"))
    names = [str(two_notes.parent / name) for name in ("good.md", "bad.md", "bad.html")]
    ran = run("corpus", "import", *names, "--area", "cab", "--corpus", str(two_notes))
    assert (ran.code, len(ran.err.splitlines())) == (3, 2)
    assert sorted(two_notes.rglob("*")) == before


def test_a_note_too_long_for_a_note_takes_all_others_back(run: Run, two_notes: Path) -> None:
    text = "# Claw dead\n\n1. Look.\n\n# Claw bent\n\n## Cause\n\n" + "Much to say. " * 6000
    assert "cab/cab-claw-bent.md:1: file has" in refused(run, two_notes, "a.md", text.encode())


def test_what_a_file_links_to_is_not_opened(run: Run, two_notes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    secret = two_notes.parent / "secret.txt"
    secret.write_text("sesame", "utf-8")
    parts = dict(good())
    rels = "word/_rels/document.xml.rels"
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/image"
    link = f'<Relationship Id="rId99" Type="{kind}" Target="file://{secret}" TargetMode="External"/></Relationships>'
    drawing = (
        '<w:p><w:r><w:drawing><wp:inline xmlns:wp="http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing">'
        '<a:graphic xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main"><a:graphicData><pic:pic'
        ' xmlns:pic="http://schemas.openxmlformats.org/drawingml/2006/picture"><pic:blipFill><a:blip'
        ' xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" r:link="rId99"/></pic:blipFill>'
        "</pic:pic></a:graphicData></a:graphic></wp:inline></w:drawing></w:r></w:p></w:body>"
    )
    parts[rels] = parts[rels].replace(b"</Relationships>", link.encode())
    parts["word/document.xml"] = parts["word/document.xml"].replace(b"</w:body>", drawing.encode())
    file = two_notes.parent / "a.docx"
    file.write_bytes(packed(parts))
    page = two_notes.parent / "b.html"
    page.write_text(f"<link href='{secret}'><h1>Belt cut</h1><p>Look<img src='file://{secret}'></p>", "utf-8")
    opened: list[str] = []
    real = io.open

    def watched(name: object, *arguments: object, **more: object) -> object:
        opened.append(str(name))
        return real(name, *arguments, **more)  # type: ignore[call-overload]

    monkeypatch.setattr("builtins.open", watched)
    monkeypatch.setattr("io.open", watched)
    ran = run("corpus", "import", str(file), str(page), "--area", "cab", "--corpus", str(two_notes))
    assert ran.code == 0
    assert str(file) in opened
    assert not any("secret" in name for name in opened)
    assert all("sesame" not in path.read_text("utf-8") for path in two_notes.rglob("*.md"))
