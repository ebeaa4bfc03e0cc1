"""Pictures are copied whole, once, for their owner alone; the small ones tell nothing but what is seen."""

from __future__ import annotations

import base64
import hashlib
import importlib.util
import io
import os
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from assistant.errors import UsageError
from assistant.visiting import photos
from assistant.visiting.photos import LONG_SIDE, MOST_BYTES, keep_photo, small_picture
from tests.unit.visiting.report_scene import DEVICE, photo

STARTS = {
    "jpg": b"\xff\xd8\xff\xe0",
    "png": b"\x89PNG\r\n\x1a\n",
    "webp": b"RIFF\x10\x00\x00\x00WEBP",
    "heic": b"\x00\x00\x00\x18ftypheic",
}
"""First bytes: ITU-T T.81, PNG 3rd edition clause 5.2, RFC 9649, ISO/IEC 23008-12 (from memory)."""


def data_of(uri: str) -> bytes:
    head, _, data = uri.partition(",")
    assert head == "data:image/jpeg;base64"
    return base64.b64decode(data)


def seen(uri: str) -> Image.Image:
    return Image.open(io.BytesIO(data_of(uri)))


@pytest.mark.parametrize("kind", STARTS)
def test_a_picture_is_known_by_its_first_bytes(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "named.txt"
    path.write_bytes(STARTS[kind] + b"rest")
    name = keep_photo(path, tmp_path / "home")
    assert name == f"{hashlib.sha256(path.read_bytes()).hexdigest()[:16]}.{kind}"
    assert (tmp_path / "home/photos" / name).read_bytes() == path.read_bytes()


def test_the_same_picture_is_kept_once_and_a_broken_copy_is_made_whole(tmp_path: Path) -> None:
    first, second = photo(tmp_path / "a.jpg"), tmp_path / "b.jpg"
    second.write_bytes(first.read_bytes())
    name = keep_photo(first, tmp_path)
    assert keep_photo(second, tmp_path) == name
    kept = tmp_path / "photos" / name
    kept.write_bytes(first.read_bytes()[:100])
    keep_photo(first, tmp_path)
    assert kept.read_bytes() == first.read_bytes()
    assert [path.name for path in (tmp_path / "photos").iterdir()] == [name]


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_only_the_owner_can_read_the_copies(tmp_path: Path) -> None:
    (tmp_path / "photos").mkdir(mode=0o755)
    name = keep_photo(photo(tmp_path / "a.jpg"), tmp_path)
    assert (tmp_path / "photos").stat().st_mode & 0o777 == 0o700
    assert (tmp_path / "photos" / name).stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "'x.jpg' is no picture: JPEG, PNG, WebP and HEIC are known"),
        (b"%PDF-1.7", "'x.jpg' is no picture"),
        (b"RIFF\x10\x00\x00\x00WAVE", "'x.jpg' is no picture"),
        (b"\x00\x00\x00\x18ftypisom", "'x.jpg' is no picture"),
    ],
)
def test_what_is_no_picture_is_refused(tmp_path: Path, data: bytes, told: str) -> None:
    (tmp_path / "x.jpg").write_bytes(data)
    with pytest.raises(UsageError, match=told):
        keep_photo(tmp_path / "x.jpg", tmp_path)
    assert not (tmp_path / "photos").exists()


@pytest.mark.parametrize("name", ["nothing.jpg", ".", "nul\0.jpg", "~nobody-of-this-name/x.jpg", "x" * 300])
def test_what_is_not_there_is_told_in_words(tmp_path: Path, name: str) -> None:
    with pytest.raises(UsageError, match=r"there is no picture|cannot be read"):
        keep_photo(tmp_path / name, tmp_path)


def test_the_own_folder_may_be_written_short(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    photo(tmp_path / "a.jpg")
    assert keep_photo(Path("~/a.jpg"), tmp_path / "home").endswith(".jpg")


def test_a_picture_may_be_so_large_and_no_larger(tmp_path: Path) -> None:
    path = tmp_path / "x.jpg"
    path.write_bytes(STARTS["jpg"])
    os.truncate(path, MOST_BYTES)
    keep_photo(path, tmp_path)
    os.truncate(path, MOST_BYTES + 1)
    with pytest.raises(UsageError, match="larger than 30 MB"):
        keep_photo(path, tmp_path)


@pytest.mark.parametrize("where", ["os.fsync", "pathlib.Path.replace"])
def test_a_copy_that_fails_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(where, full)
    with pytest.raises(UsageError, match=r"'a.jpg' could not be copied: No space left on device"):
        keep_photo(photo(tmp_path / "a.jpg"), tmp_path)
    assert list((tmp_path / "photos").iterdir()) == []


@pytest.mark.parametrize(
    ("turn", "size", "corner"),
    [(1, (320, 240), "red"), (3, (320, 240), "blue"), (6, (240, 320), "red"), (8, (240, 320), "blue")],
)
def test_a_small_picture_stands_upright_and_tells_nothing_else(
    tmp_path: Path, turn: int, size: tuple[int, int], corner: str
) -> None:
    """What the values of the tag Orientation mean: Exif 2.32, 4.6.4 A (from memory)."""
    path = photo(tmp_path / "a.jpg", turn=turn)
    assert DEVICE.encode() in path.read_bytes()
    data = data_of(small_picture(path))
    small = Image.open(io.BytesIO(data))
    assert small.size == size
    assert max(small.size) == LONG_SIDE
    pixel = small.convert("RGB").getpixel((5, 5))
    assert isinstance(pixel, tuple)
    assert (pixel[0] > pixel[2]) == (corner == "red")
    assert dict(small.getexif()) == {}
    assert not {"exif", "comment", "xmp", "icc_profile"} & set(small.info)
    assert DEVICE.encode() not in data


def test_what_is_clear_becomes_white_and_a_small_one_stays_small(tmp_path: Path) -> None:
    Image.new("RGBA", (40, 20), (0, 0, 0, 0)).save(tmp_path / "a.png")
    small = seen(small_picture(tmp_path / "a.png"))
    assert small.size == (40, 20)
    assert small.getpixel((3, 3)) == (255, 255, 255)


def png_of(width: int, height: int) -> bytes:
    """Return the head of a PNG that says it has so many points, and has none."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    lines = zlib.compress(b"\0" * 1000)
    return STARTS["png"] + chunk(b"IHDR", head) + chunk(b"IDAT", lines) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no picture",
        STARTS["heic"] + b"rest",
        STARTS["jpg"],
        png_of(10_000, 10_000),
        png_of(60_000, 60_000),
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n",
        b"GIF89a\x01\x00\x01\x00\x00\x00\x00;",
    ],
)
def test_a_damaged_or_swollen_picture_has_no_small_one(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "x").write_bytes(data)
    assert small_picture(tmp_path / "x") == ""
    assert small_picture(tmp_path / "not there") == ""


def test_any_cut_of_a_picture_is_small_or_nothing(tmp_path: Path) -> None:
    whole = photo(tmp_path / "a.jpg", (64, 48)).read_bytes()
    for cut in range(0, len(whole), 7):
        for data in (whole[:cut], whole[:cut] + b"\xff" + whole[cut + 1 :]):
            (tmp_path / "x").write_bytes(data)
            uri = small_picture(tmp_path / "x")
            assert not uri or max(seen(uri).size) <= LONG_SIDE


def test_without_pillow_there_are_no_small_pictures(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = photo(tmp_path / "a.jpg")
    monkeypatch.setattr(photos, "find_spec", lambda name: None if name == "PIL" else importlib.util.find_spec(name))
    assert not photos.can_make_small()
    assert small_picture(path) == ""
