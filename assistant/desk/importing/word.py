"""A Word file -> blocks: checked before it is unpacked; its pictures are not opened and its links not followed."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator

import mammoth
from lxml import etree

from assistant.desk.importing.blocks import Left, Source, kept
from assistant.desk.importing.markup import read_markup
from assistant.errors import Fault, NotesError

__all__ = ["read_word"]

_MOST_UNPACKED = 64 * 1024 * 1024
_MOST_XML = 8 * 1024 * 1024
_MOST_PARTS = 2000
_ENCRYPTED = 0x1
_OLD_OFFICE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MAIN = "word/document.xml"
_TYPES = "[Content_Types].xml"
_STYLES = """
p[style-name='Title'] => h1:fresh
p[style-name='Subtitle'] => p:fresh
p[style-name='List Number'] => ol > li:fresh
p[style-name='List Bullet'] => ul > li:fresh
"""
_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_CHOICE = "{http://schemas.openxmlformats.org/markup-compatibility/2006}Choice"
_DECLARED = re.compile(rb"""\A\s*<\?xml[^>]*?encoding\s*=\s*["']([^"']*)["']""")
_BESIDE = re.compile(r"word/(header|footer|comments)\d*\.xml")


def read_word(raw: bytes, place: str, name: str) -> Source:
    """Read a Word file; a line is the number of a paragraph.

    Raises
    ------
    NotesError
        If it is damaged, encrypted, swollen, of an older format, or holds macros or a document type.
    """
    if raw.startswith(_OLD_OFFICE):
        raise _refused(place, "is encrypted, or an older Word file; open it and save it as .docx without a password")
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            parts = _xml_parts(packed, place)
        html = _converted(raw)
        trees = {part: _tree(xml) for part, xml in parts.items() if part == _MAIN or _BESIDE.fullmatch(part)}
    except NotesError:
        raise
    except Exception as error:  # what two parsers raise over a damaged file is in no list
        raise _refused(place, f"cannot be read as a Word file ({type(error).__name__}); it may be damaged") from error
    source = read_markup(html, place, name, "paragraphs")
    lines = tuple(_paragraphs(trees[_MAIN], "t"))
    left = [*source.left, *_beside(trees, place)]
    left += [Left(place, n, "deleted text is not read", text) for n, text in _paragraphs(trees[_MAIN], "delText")]
    return source._replace(left=tuple(left), lines=lines)


def _refused(place: str, message: str) -> NotesError:
    return NotesError([Fault(place, 1, message)])


def _xml_parts(packed: zipfile.ZipFile, place: str) -> dict[str, bytes]:
    """Return the XML in the file, once it is sure that nothing in it swells, runs or leads out."""
    infos = packed.infolist()
    names = [info.filename for info in infos]
    xml = [info for info in infos if info.filename.endswith((".xml", ".rels"))]
    if any(info.flag_bits & _ENCRYPTED for info in infos):
        raise _refused(place, "is encrypted")
    if (
        len(infos) > _MOST_PARTS
        or sum(info.file_size for info in infos) > _MOST_UNPACKED
        or sum(info.file_size for info in xml) > _MOST_XML
    ):
        raise _refused(
            place, f"would unpack to over {_MOST_XML >> 20} MiB of text or {_MOST_UNPACKED >> 20} MiB in all"
        )
    if len(set(names)) != len(names) or not {_MAIN, _TYPES} <= set(names):
        raise _refused(place, "is not a Word file, or a damaged one")
    parts = {info.filename: packed.read(info) for info in xml}
    if any("vbaproject" in name.lower() for name in names) or b"macroenabled" in parts[_TYPES].lower():
        raise _refused(place, "holds macros; save it as .docx without them")
    for text in parts.values():
        declared = _DECLARED.match(text.removeprefix(b"\xef\xbb\xbf"))
        if declared and declared[1].lower() != b"utf-8":
            raise _refused(place, "holds XML that is not UTF-8")
        text.decode("utf-8")
        if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
            raise _refused(place, "holds a document type, which no Word file has")
    return parts


def _converted(raw: bytes) -> str:
    found = mammoth.convert_to_html(
        io.BytesIO(raw),
        style_map=_STYLES,
        convert_image=mammoth.images.img_element(lambda _: {}),
        ignore_empty_paragraphs=False,
        external_file_access=False,
        include_embedded_style_map=False,
    )
    return str(found.value)


def _tree(xml: bytes) -> etree._Element:
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
    return etree.fromstring(xml, parser)


def _paragraphs(tree: etree._Element, tag: str) -> Iterator[tuple[int, str]]:
    """Yield the number and the text of each paragraph that has some; of two drawings of one thing the plain one."""
    for number, paragraph in enumerate(tree.iter(f"{_W}p"), start=1):
        texts = []
        for run in paragraph.iter(f"{_W}{tag}", f"{_W}tab", f"{_W}br"):
            own = next(run.iterancestors(f"{_W}p")) is paragraph
            if own and not any(True for _ in run.iterancestors(_CHOICE)):
                texts.append((run.text or "") if run.tag == f"{_W}{tag}" else " ")
        if text := kept("".join(texts)):
            yield number, text


def _beside(trees: dict[str, etree._Element], place: str) -> Iterator[Left]:
    for part, tree in trees.items():
        if kind := _BESIDE.fullmatch(part):
            for number, text in _paragraphs(tree, "t"):
                yield Left(place, number, f"the {kind[1].removesuffix('s')} of the file has no place in a note", text)
