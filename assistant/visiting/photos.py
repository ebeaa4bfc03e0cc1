"""Pictures that a rep took: copied beside the journal, and made small for the report."""

from __future__ import annotations

import base64
import hashlib
import io
import os
import secrets
import warnings
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.languages import said

__all__ = ["FOLDER", "LONG_SIDE", "MOST_BYTES", "can_make_small", "keep_photo", "small_picture"]

FOLDER = "photos"
MOST_BYTES = 30_000_000
LONG_SIDE = 320
_QUALITY = 75
_NAME_DIGITS = 16
_READ_BY_PILLOW = ("JPEG", "PNG", "WEBP")
_HEIC_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"})


def keep_photo(path: Path, home: Path) -> str:
    """Copy a picture into the folder ``photos`` of ``home`` and return the name of the copy.

    The name comes from what is in the file, so that the same picture is kept once. The copy is there whole or not at
    all, and nobody but its owner can read it.

    Raises
    ------
    UsageError
        If there is no such file, it is no picture or too large, or it cannot be copied.
    """
    data = _read(path)
    digest = hashlib.sha256(data).hexdigest()
    folder = home / FOLDER
    target = folder / f"{digest[:_NAME_DIGITS]}.{_extension(path, data)}"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        folder.chmod(0o700)
        if not (target.is_file() and hashlib.sha256(target.read_bytes()).hexdigest() == digest):
            _write_whole(target, data)
    except OSError as error:
        raise UsageError(
            said("'{name}' could not be copied: {why}", name=printable(path.name), why=error.strerror)
        ) from error
    return target.name


def _read(path: Path) -> bytes:
    """Return what is in a picture that a rep named; ``~`` is the own folder."""
    name = printable(path.name)
    with suppress(RuntimeError):
        path = path.expanduser()
    try:
        if not path.is_file():
            raise UsageError(
                said("there is no picture '{name}': type it with its folder, such as ~/pictures/station.jpg", name=name)
            )
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        told = error.strerror if isinstance(error, OSError) else said("its name is not one that a file can have")
        raise UsageError(said("'{name}' cannot be read: {why}", name=name, why=told)) from error
    if len(data) > MOST_BYTES:
        raise UsageError(
            said("'{name}' is larger than {n} MB: keep a smaller copy of it", name=name, n=MOST_BYTES // 1_000_000)
        )
    return data


def _extension(path: Path, data: bytes) -> str:
    """Return what a picture is, from its first bytes, whatever its name says."""
    if data.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "webp"
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        return "heic"
    raise UsageError(said("'{name}' is no picture: JPEG, PNG, WebP and HEIC are known", name=printable(path.name)))


def _write_whole(target: Path, data: bytes) -> None:
    part = target.with_name(f".{target.name}.{secrets.token_hex(8)}")
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    if os.name == "posix":
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def can_make_small() -> bool:
    """Tell whether small pictures can be made here: Pillow is installed."""
    return find_spec("PIL") is not None


def small_picture(path: Path) -> str:
    """Return a picture as a data URI: turned upright, at most `LONG_SIDE` pixels on the long side, JPEG.

    Nothing of the file but what is seen goes into it: no place, no device, no comment. Empty where no small picture
    can be made: without Pillow, of a HEIC picture, and of one that is damaged or too large.
    """
    if not can_make_small():
        return ""
    try:
        return "data:image/jpeg;base64," + base64.b64encode(_small(path)).decode("ascii")
    except Exception:  # Pillow tells of a damaged file by errors of any kind
        return ""


def _small(path: Path) -> bytes:
    from PIL import Image, ImageOps

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        with Image.open(path, formats=_READ_BY_PILLOW) as opened:
            opened.thumbnail((LONG_SIDE, LONG_SIDE))
            seen = ImageOps.exif_transpose(opened).convert("RGBA")
    clean = Image.new("RGB", seen.size, "white")
    clean.paste(seen, mask=seen.getchannel("A"))
    written = io.BytesIO()
    clean.save(written, "JPEG", quality=_QUALITY, optimize=True)
    return written.getvalue()
