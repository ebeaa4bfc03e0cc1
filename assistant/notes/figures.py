"""The files of the pictures of a note: looked at before anything is made of them, and rid of what is not seen."""

from __future__ import annotations

import hashlib
import io
import warnings
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

from assistant.errors import Fault, MissingExtraError, NotesError
from assistant.model import Note
from assistant.notes.signing import note_digest
from assistant.notes.svg import SvgError, cleaned_svg

__all__ = ["MOST_BYTES", "MOST_SIDE", "cleaned", "figure_path", "figures_in", "with_figures"]

MOST_BYTES = 300 * 1024
MOST_SIDE = 3000
"""Pixels on each side; twice what a display of 1080 lines shows, and 36 MB in memory."""
_FORMATS = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG"}
_BEGINS = {"PNG": b"\x89PNG\r\n\x1a\n", "JPEG": b"\xff\xd8\xff"}
_QUALITY = 90


def figure_path(note: Note, name: str) -> str:
    """Return where a picture of a note lies below the folder of notes."""
    return f"{note.id.partition('-')[0]}/{name}"


def with_figures(note: Note, text: str, read: Callable[[str], bytes]) -> tuple[Note, dict[str, bytes]]:
    """Return a note whose pictures have their digests, and the pictures as they are shown, by digest.

    Parameters
    ----------
    note
        As `read_note` returned it for this ``text``.
    read
        Returns what is in a file of this path below the folder of notes; raises `NotesError`.

    Raises
    ------
    NotesError
        If a file is missing, or is not a picture as a note may have it.
    MissingExtraError
        If the package that looks at photographs is not installed.
    """
    if not note.figures:
        return note, {}
    figures, shown, faults = [], {}, []
    for figure in note.figures:
        path = figure_path(note, figure.name)
        try:
            raw = read(path)
            digest = hashlib.sha256(raw).hexdigest()
            shown[digest] = cleaned(raw, path)
            figures.append(figure._replace(digest=digest))
        except FileNotFoundError:
            faults.append(Fault(note.path, figure.line, f"there is no file {path}"))
        except NotesError as error:
            faults += [Fault(note.path, figure.line, str(fault)) for fault in error.faults]
    if faults:
        raise NotesError(faults)
    review = note.safety_review
    if review is not None and review.by:
        digest = note_digest(text, (figure.digest for figure in figures))
        review = review._replace(fits=(review.revision, review.digest) == (note.revision, digest))
    return note._replace(figures=tuple(figures), safety_review=review), shown


def figures_in(root: Path) -> Callable[[str], bytes]:
    """Return what reads a picture below a folder; it follows no link and reads no more than a picture may have."""

    def read(shown: str) -> bytes:
        path = root / shown
        if path.is_symlink():
            raise NotesError([Fault(shown, 1, "is a link: put the file itself there")])
        if path.exists() and not path.is_file():
            raise NotesError([Fault(shown, 1, "not a file that can be read")])
        try:
            with path.open("rb") as file:
                return file.read(MOST_BYTES + 1)
        except FileNotFoundError:
            raise
        except OSError as error:
            raise NotesError([Fault(shown, 1, f"cannot be read: {error.strerror}")]) from error

    return read


@lru_cache(maxsize=64)
def cleaned(raw: bytes, shown: str) -> bytes:
    """Return a picture as it is shown: nothing of its file but what is seen.

    Parameters
    ----------
    shown
        Its path, whose ending says what it is.

    Raises
    ------
    NotesError
        If it is too large, is not what its ending says, is damaged, or could act or fetch something.
    MissingExtraError
        If the package that looks at photographs is not installed.
    """
    if len(raw) > MOST_BYTES:
        raise NotesError([Fault(shown, 1, f"has more than {MOST_BYTES} bytes")])
    kind = _FORMATS.get(Path(shown).suffix)
    if kind is None:
        try:
            return cleaned_svg(raw)
        except SvgError as error:
            raise NotesError([Fault(shown, error.line, str(error))]) from error
    if not raw.startswith(_BEGINS[kind]):
        raise NotesError([Fault(shown, 1, f"is no {kind}, as its name says")])
    return _redrawn(raw, kind, shown)


def _redrawn(raw: bytes, kind: str, shown: str) -> bytes:
    """Return a photograph, turned upright and saved anew: no place, no device, no comment, nothing behind its end."""
    try:
        from PIL import Image, ImageFile, ImageOps
    except ModuleNotFoundError as error:
        raise MissingExtraError(
            "pictures in notes need the package 'Pillow': pip install \".[desk]\" in the folder of the program"
        ) from error
    large = NotesError([Fault(shown, 1, f"has more than {MOST_SIDE} pixels on a side")])
    lenient, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False  # others switch it on for all
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(raw), formats=(kind,)) as opened:
                if max(opened.size) > MOST_SIDE:
                    raise large
                seen = ImageOps.exif_transpose(opened).convert("RGBA" if kind == "PNG" else "RGB")
        clean = Image.new(seen.mode, seen.size)
        clean.paste(seen)
        written = io.BytesIO()
        clean.save(written, kind, optimize=True, quality=_QUALITY)
    except NotesError:
        raise
    except Image.DecompressionBombError as error:
        raise large from error
    except Exception as error:  # Pillow tells of a damaged file by errors of any kind
        raise NotesError([Fault(shown, 1, f"is damaged, or no {kind} that can be read")]) from error
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = lenient
    if written.tell() > MOST_BYTES:
        raise NotesError([Fault(shown, 1, f"has more than {MOST_BYTES} bytes when it is saved anew: make it smaller")])
    return written.getvalue()
