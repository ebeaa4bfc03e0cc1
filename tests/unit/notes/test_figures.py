"""Pictures in notes: the line that names one, its file, and what is refused of it.

What an SVG could do: W3C, Scalable Vector Graphics (SVG) 2, chapters on linking and scripting; entities that grow:
OWASP, XML External Entity Prevention Cheat Sheet; what hides behind the end of a picture, and pictures that unfold:
common practice (all from memory).
"""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageFile

from assistant.errors import NotesError
from assistant.model import Figure, Note
from assistant.notes.corpus import beside, parse_corpus, read_corpus
from assistant.notes.figures import MOST_BYTES, MOST_SIDE, cleaned
from assistant.notes.reader import read_note
from assistant.notes.signing import signed, state_of
from assistant.notes.stamp import corpus_stamp
from assistant.notes.svg import SvgError, cleaned_svg
from tests.making import NOTE_PATH, NOTE_TEXT, line_of

SVG = "http://www.w3.org/2000/svg"
STEP = "2. Unplug the pad.\n"
LINE = "![The plug at the back](pad-plug.svg)"
FORM = "it must read ![what it shows](name.svg), the file beside the note"


def drawn(inside: str = "<rect width='5' height='5'/>", head: str = "") -> bytes:
    return f'{head}<svg xmlns="{SVG}" viewBox="0 0 10 10">{inside}</svg>'.encode()


def with_line(line: str, step: str = STEP) -> str:
    return NOTE_TEXT.replace(step, f"{step}\n   {line}\n\n")


def figured(root: Path, line: str = LINE, raw: bytes | None = None) -> Path:
    (root / NOTE_PATH).write_text(with_line(line), "utf-8")
    if raw is not None:
        (root / "pad/pad-plug.svg").write_bytes(raw)
    return root


def picture(kind: str, size: tuple[int, int] = (6, 4), **more: object) -> bytes:
    written = io.BytesIO()
    Image.new("RGB", size, "red").save(written, kind, **more)
    return written.getvalue()


def faults(root: Path) -> list[str]:
    return [str(fault) for fault in parse_corpus(root).faults]


def note_of(text: str) -> Note:
    return read_note(text, NOTE_PATH)


def test_pictures_are_taken_out_of_the_step_and_keep_their_order() -> None:
    text = with_line(f"{LINE}\n   ![Its *dark* lamp](lamp-2.jpeg)").replace(
        "- Have a wired pad in the bag.", "- Have a wired pad in the bag.\n\n  ![A wired pad](a.png)"
    )
    note = note_of(text)
    assert note.figures == (
        Figure("a.png", "A wired pad", 0, line_of(text, "(a.png)")),
        Figure("pad-plug.svg", "The plug at the back", 2, line_of(text, "pad-plug")),
        Figure("lamp-2.jpeg", "Its dark lamp", 2, line_of(text, "lamp-2")),
    )
    plain = note_of(NOTE_TEXT)
    assert [step._replace(line=0) for step in note.steps] == [step._replace(line=0) for step in plain.steps]
    assert note.before_you_start == plain.before_you_start
    assert note_of(with_line("And pull it.\n   " + LINE)).steps[1].text == "Unplug the pad. And pull it."


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("![](pad-plug.svg)", "a picture needs words for whoever does not see it: ![what it shows](name.svg)"),
        ("![ \u00a0 ](pad-plug.svg)", "a picture needs words for whoever does not see it: ![what it shows](name.svg)"),
        ("![x](../pad-plug.svg)", f"'../pad-plug.svg' leaves the folder of the note: {FORM}"),
        ("![x](/etc/pad-plug.svg)", f"'/etc/pad-plug.svg' leaves the folder of the note: {FORM}"),
        ("![x](..%2fpad-plug.svg)", f"'..%2fpad-plug.svg' leaves the folder of the note: {FORM}"),
        ("![x](..\\\\pad.svg)", f"'..%5Cpad.svg' leaves the folder of the note: {FORM}"),
        ("![x](http://a.invalid/x.svg)", f"a picture from elsewhere is not fetched: {FORM}"),
        ("![x](//a.invalid/x.svg)", f"a picture from elsewhere is not fetched: {FORM}"),
        ("![x](data:image/png;base64,AA)", f"a picture from elsewhere is not fetched: {FORM}"),
        ("![x](javascript:alert(1))", "a picture must read ![what it shows](name.svg), the file beside the note"),
        (
            "![x](Plug.gif)",
            "'Plug.gif' is no name of a picture: small letters, digits, hyphens, then .svg, .png, .jpg or .jpeg",
        ),
        ('![x](pad-plug.svg "t")', "a picture has no title beside the words in its brackets"),
        ("See ![x](pad-plug.svg)", "a picture stands on a line of its own"),
        ("[![x](pad-plug.svg)](../pad/pad-other.md)", "a picture stands on a line of its own"),
        ("![a&#8238;b](pad-plug.svg)", "holds a control character (U+202E)"),
        (
            "- If a: ![x](pad-plug.svg)",
            "a picture stands under a step, or under an item of 'Before you start'",
        ),
    ],
)
def test_a_line_that_names_no_picture_is_told(line: str, message: str) -> None:
    text = with_line(line)
    with pytest.raises(NotesError) as raised:
        note_of(text)
    assert f"{NOTE_PATH}:{line_of(text, line)}: {message}" in str(raised.value).split("\n")


def test_a_file_that_is_missing_or_a_link_or_a_folder_is_told(two_notes: Path) -> None:
    at = f"{NOTE_PATH}:{line_of(with_line(LINE), LINE)}"
    assert faults(figured(two_notes)) == [f"{at}: there is no file pad/pad-plug.svg"]
    file = two_notes / "pad/pad-plug.svg"
    (two_notes / "pad/real.txt").write_bytes(drawn())
    file.symlink_to("real.txt")
    assert faults(two_notes) == [f"{at}: pad/pad-plug.svg:1: is a link: put the file itself there"]
    file.unlink()
    file.mkdir()
    assert faults(two_notes) == [f"{at}: pad/pad-plug.svg:1: not a file that can be read"]
    file.rmdir()
    file.write_bytes(drawn())
    assert faults(two_notes) == []


def test_a_picture_is_of_the_corpus_as_any_file_of_it(two_notes: Path) -> None:
    corpus = read_corpus(figured(two_notes, raw=drawn()))
    (figure,) = next(note for note in corpus.notes if note.id == "pad-demo").figures
    assert corpus.figures == {figure.digest: cleaned_svg(drawn())}
    stamp = corpus_stamp(two_notes)
    (two_notes / "pad/pad-plug.svg").write_bytes(drawn("<circle r='3'/>"))
    other = read_corpus(two_notes)
    assert other.digest != corpus.digest
    assert corpus_stamp(two_notes) != stamp
    assert set(other.figures).isdisjoint(corpus.figures)
    assert beside(two_notes / NOTE_PATH)[0].figures == other.notes[0].figures


def test_a_signature_is_stale_once_the_picture_is_another(two_notes: Path) -> None:
    note = read_corpus(figured(two_notes, raw=drawn())).notes[0]
    path = two_notes / NOTE_PATH
    path.write_text(signed(path.read_text("utf-8"), "Ina", "2026-11-28", 3, [note.figures[0].digest]), "utf-8")
    assert state_of(read_corpus(two_notes).notes[0]) == "signed"
    (two_notes / "pad/pad-plug.svg").write_bytes(drawn("<circle r='3'/>"))
    assert state_of(read_corpus(two_notes).notes[0]) == "stale"


REFUSED = {
    "script": (drawn("<script>alert(1)</script>"), "element 'script' has no place"),
    "script of another case": (drawn("<SCRIPT>alert(1)</SCRIPT>"), "element 'SCRIPT' has no place"),
    "event": (drawn("<rect onload='alert(1)'/>"), "attribute 'onload' would run a script"),
    "event of another case": (drawn("<rect OnClick='alert(1)'/>"), "attribute 'OnClick' would run a script"),
    "event in a namespace": (drawn("<rect xmlns:e='urn:e' e:onload='a()'/>"), "attribute 'onload' would run a script"),
    "foreign object": (drawn("<foreignObject><p/></foreignObject>"), "element 'foreignObject' has no place"),
    "link": (drawn("<a href='javascript:alert(1)'><rect/></a>"), "element 'a' has no place"),
    "picture": (drawn("<image href='http://a.invalid/x'/>"), "element 'image' has no place"),
    "what is used twice": (drawn("<g id='a'/><use href='#a'/>"), "element 'use' has no place"),
    "reference": (drawn("<rect href='http://a.invalid/'/>"), "attribute 'href' leads elsewhere"),
    "older reference": (
        drawn("<rect xmlns:x='http://www.w3.org/1999/xlink' x:href='#a'/>"),
        "attribute 'href' leads elsewhere",
    ),
    "address": (drawn("<rect fill='url(http://a.invalid/x#y)'/>"), "attribute 'fill' may name nothing but a part"),
    "address in a style": (drawn("<rect style='fill: URL( //a.invalid )'/>"), "attribute 'fill' may name nothing but"),
    "address in disguise": (drawn("<rect fill='u\\72l(http://a.invalid)'/>"), "attribute 'fill' may name nothing but"),
    "escape": (drawn("<rect fill='\\75 rl'/>"), "attribute 'fill' holds a character that has no place there"),
    "style sheet": (drawn("<style>@import 'http://a.invalid'</style>"), "element 'style' has no place"),
    "animation": (drawn("<rect><set attributeName='x' to='1'/></rect>"), "element 'set' has no place"),
    "filter": (drawn("<filter id='f'/>"), "element 'filter' has no place"),
    "picture in the picture": (drawn(f"<svg xmlns='{SVG}'/>"), "element 'svg' has no place"),
    "document type": (drawn(head="<!DOCTYPE svg>"), "holds a document type"),
    "growing entities": (
        drawn("<text>&b;</text>", "<!DOCTYPE svg [<!ENTITY a 'aaaa'><!ENTITY b '&a;&a;&a;'>]>"),
        "holds a document type",
    ),
    "outer entity": (
        drawn("<text>&a;</text>", "<!DOCTYPE svg [<!ENTITY a SYSTEM 'file:///etc/hostname'>]>"),
        "holds a document type",
    ),
    "unknown entity": (drawn("<text>&nbsp;</text>"), "is no SVG: undefined entity"),
    "instruction": (drawn(head="<?xml-stylesheet href='http://a.invalid/x.css'?>"), "holds an instruction"),
    "control character": (drawn("<text>a\u202eb</text>"), "holds a control character (U+202E)"),
    "no viewBox": (f'<svg xmlns="{SVG}"/>'.encode(), "the element svg needs a viewBox"),
    "no namespace": (b'<svg viewBox="0 0 1 1"/>', "is no SVG: it does not begin with an element svg"),
    "page": (b"<html><body>x</body></html>", "is no SVG: it does not begin with an element svg"),
    "nothing": (b"", "is no SVG: no element found"),
    "bytes": (b"\x89PNG\r\n\x1a\n\xff", "not valid UTF-8"),
    "other encoding": (drawn().decode().encode("utf-16"), "not valid UTF-8"),
    "cut off": (drawn()[:-4], "is no SVG: unclosed token"),
    "page behind it": (drawn() + b"<script>alert(1)</script>", "is no SVG: junk after document element"),
    "depth": (drawn("<g>" * 50 + "</g>" * 50), "has more than 5000 elements, or 40 in one another"),
    "number": (drawn("<g/>" * 5001), "has more than 5000 elements, or 40 in one another"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_drawing_that_could_act_or_fetch_is_refused(two_notes: Path, name: str) -> None:
    raw, message = REFUSED[name]
    found = faults(figured(two_notes, raw=raw))
    assert len(found) == 1
    assert f": pad/pad-plug.svg:1: {message}" in found[0]
    assert found[0].isprintable()


def test_a_drawing_keeps_what_is_seen_and_loses_the_rest() -> None:
    raw = drawn(
        "<!-- a -->\n<metadata><x/></metadata><e:view xmlns:e='urn:e'><script/></e:view>"
        "<defs><linearGradient id='g'><stop offset='0' style='stop-color:#fff;x:y'/></linearGradient></defs>"
        "<g transform='translate(1 2) rotate(3)' class='c' xml:space='preserve'>"
        "<rect width='5' fill='url(#g)' data-x='1'/><text x='1'>a &lt;b&gt; &amp; c</text></g>",
        '<?xml version="1.0" encoding="UTF-8"?>\n',
    )
    assert cleaned_svg(raw).decode() == (
        f'<svg xmlns="{SVG}" viewBox="0 0 10 10"><defs><linearGradient id="g">'
        '<stop offset="0" stop-color="#fff"></stop></linearGradient></defs>'
        '<g transform="translate(1 2) rotate(3)"><rect width="5" fill="url(#g)"></rect>'
        '<text x="1">a &lt;b&gt; &amp; c</text></g></svg>\n'
    )


@given(
    st.recursive(
        st.text(st.sampled_from("<>&'\"a \n=/#()\\;:-!x\u00e9"), max_size=12),
        lambda inner: st.tuples(
            st.sampled_from(["g", "rect", "text", "script", "a", "style", "x:y", "svg", "title"]),
            st.sampled_from(["", " onload='a'", " fill='url(#a)'", " style='fill:url(b)'", " href='#a'", " d='M0 0'"]),
            st.lists(inner, max_size=3),
        ),
        max_leaves=8,
    )
)
def test_whatever_is_let_through_is_a_drawing_of_known_parts(tree: object) -> None:
    def written(node: object) -> str:
        if not isinstance(node, tuple):
            return str(node)
        name, attributes, inner = node
        return f"<{name}{attributes}>{''.join(map(written, inner))}</{name}>"

    try:
        clean = cleaned_svg(drawn(written(tree)))
    except SvgError as error:
        assert str(error).isprintable()
        return
    names = {element.tag.removeprefix(f"{{{SVG}}}") for element in ElementTree.fromstring(clean).iter()}  # noqa: S314
    keys = {key for element in ElementTree.fromstring(clean).iter() for key in element.attrib}  # noqa: S314
    assert names <= {"svg", "g", "rect", "text", "title"}
    assert keys <= {"viewBox", "fill", "d"}
    assert cleaned_svg(clean) == clean


def test_a_long_value_takes_no_long_time() -> None:
    for value in ("a" * 250_000, "url(#a)" + " " * 250_000 + "!", "(" * 9000, "0" * 250_000, "1 , " * 60_000):
        for raw in (drawn(f"<rect fill='{value}'/>"), drawn().replace(b"0 0 10 10", value.encode())):
            try:
                cleaned_svg(raw)
            except SvgError as error:
                assert len(str(error)) < 200


def test_a_photograph_is_saved_anew_without_what_is_not_seen() -> None:
    exif = Image.Exif()
    exif[0x0110] = "a device"
    exif[0x0112] = 6
    jpeg = picture("JPEG", exif=exif.tobytes(), comment=b"a place") + b"PK\x03\x04<script>alert(1)</script>"
    clean = cleaned(jpeg, "pad/a.jpg")
    assert not any(word in clean for word in (b"a device", b"a place", b"Exif", b"script", b"PK\x03\x04"))
    assert Image.open(io.BytesIO(clean)).size == (4, 6)
    png = picture("PNG") + b"<script>alert(1)</script>"
    assert b"script" not in cleaned(png, "pad/a.png")
    with Image.open(io.BytesIO(cleaned(png, "pad/a.png"))) as seen:
        assert (seen.size, seen.convert("RGB").getpixel((0, 0))) == ((6, 4), (255, 0, 0))


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def unfolding(side: int) -> bytes:
    """Return a small PNG that says that it has so many pixels a side."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("name", "raw", "message"),
    [
        ("a.png", unfolding(50_000), f"has more than {MOST_SIDE} pixels on a side"),
        ("a.png", unfolding(MOST_SIDE + 1), f"has more than {MOST_SIDE} pixels on a side"),
        ("a.png", unfolding(100), "is damaged, or no PNG that can be read"),
        ("a.png", picture("PNG", (200, 200))[:150], "is damaged, or no PNG that can be read"),
        ("a.png", picture("JPEG"), "is no PNG, as its name says"),
        ("a.png", b"GIF89a", "is no PNG, as its name says"),
        ("a.png", drawn(), "is no PNG, as its name says"),
        ("a.jpg", picture("PNG"), "is no JPEG, as its name says"),
        ("a.jpeg", picture("JPEG", (200, 200))[:-300], "is damaged, or no JPEG that can be read"),
        ("a.jpg", b"\xff\xd8\xff<script>alert(1)</script>", "is damaged, or no JPEG that can be read"),
        ("a.svg", picture("PNG"), "not valid UTF-8"),
        ("a.svg", drawn("<!--" + "a" * MOST_BYTES + "-->"), f"has more than {MOST_BYTES} bytes"),
    ],
    ids=lambda value: value if isinstance(value, str) else f"{len(value)} bytes",
)
@pytest.mark.parametrize("lenient", [False, True], ids=["strict", "lenient"])  # WeasyPrint makes Pillow lenient for all
def test_a_file_that_is_not_what_its_name_says_is_refused(
    name: str, raw: bytes, message: str, lenient: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", lenient)
    with pytest.raises(NotesError) as raised:
        cleaned(raw, f"pad/{name}")
    assert str(raised.value) == f"pad/{name}:1: {message}"


@given(st.binary(max_size=60), st.sampled_from(["a.png", "a.jpg", "a.svg"]), st.integers(0, 400))
def test_any_bytes_are_refused_or_a_picture(noise: bytes, name: str, cut: int) -> None:
    whole = {"a.png": picture("PNG"), "a.jpg": picture("JPEG"), "a.svg": drawn()}[name]
    for raw in (noise, whole[:cut] + noise + whole[cut:], whole[:cut]):
        try:
            clean = cleaned(raw, name)
        except NotesError as error:
            assert str(error).startswith(f"{name}:")
        else:
            assert clean


@pytest.mark.parametrize("box", ["... ... ... ...", "0 0 0 9", "0 0 9 0", "0 0 9", "0 0 1.2.3 9", "0 0 . 9", "a b c d"])
def test_a_drawing_needs_a_box_of_numbers_that_holds_something(box: str) -> None:
    with pytest.raises(NotesError):
        cleaned(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"><path d="M0 0"/></svg>'.encode(), "pad/a.svg")


@pytest.mark.parametrize("box", ["0 0 9 9", "-1,-1, 9.5 .5", "0,0,400,220", "0 0 10. 0.01"])
def test_a_box_may_be_written_as_svg_has_it(box: str) -> None:
    drawn = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"><path d="M0 0"/></svg>'
    assert b"viewBox" in cleaned(drawn.encode(), "pad/a.svg")


def test_a_picture_that_grows_when_it_is_saved_anew_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = picture("PNG", (200, 200))
    assert cleaned(raw, "pad/grown.png")
    monkeypatch.setattr("assistant.notes.figures.MOST_BYTES", len(raw))
    monkeypatch.setattr(Image.Image, "save", lambda _self, file, *_, **__: file.write(b"1" * (len(raw) + 1)))
    with pytest.raises(NotesError, match=r"pad/larger\.png:1: has more than \d+ bytes when it is saved anew"):
        cleaned(raw, "pad/larger.png")
