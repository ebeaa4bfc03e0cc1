"""The pack that fits the notes as they are now: compiled again by itself when they have changed."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path

from assistant.errors import MissingExtraError, PackError
from assistant.notes.stamp import corpus_digest, corpus_stamp
from assistant.pack.format import FORMAT
from assistant.pack.places import Places
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

__all__ = ["compile_now", "fresh_pack"]


def fresh_pack(places: Places, progress: Progress = silent) -> Pack:
    """Open the pack, after compiling it where the notes have changed since.

    Raises
    ------
    PackError, NotesError
        If the pack or a note is refused.
    MissingExtraError
        If compiling is needed and its packages are not installed.
    """
    corpus = places.corpus
    if corpus is None:
        return Pack(places.pack)
    if corpus.is_dir():
        stamp = corpus_stamp(corpus)
        seen = _seen(places.pack)
        digest = seen.get("digest") if seen.get("compiler") == _compiler() else None
        if digest and (seen.get("stamp") == stamp or corpus_digest(corpus) == digest):
            pack = Pack(places.pack)
            if pack.manifest["corpus"] == digest:
                if seen.get("stamp") != stamp:
                    _remember(places.pack, stamp, pack.manifest["corpus"])
                return pack
            pack.close()
    compile_now(places, progress)
    return Pack(places.pack)


def compile_now(places: Places, progress: Progress = silent) -> None:
    """Compile the notes into the pack, whatever stands there.

    What is remembered of the notes is how they stood before they were read: of those that change meanwhile, the next
    question sees that they did. Where they change while they are read, no digest is remembered, as it may be that of
    another text.
    """
    try:
        from assistant.compiling.compiler import compile_corpus
        from assistant.compiling.settings import default_settings
        from assistant.notes.corpus import read_corpus
    except ImportError as error:
        raise MissingExtraError(
            f"compiling notes needs the package '{error.name}': pip install 'station-assistant[desk]'"
        ) from error
    if places.corpus is None:
        raise PackError(f"{places.pack}:1: no folder of notes to compile; name one with --corpus")
    progress("reading notes")
    stamp = corpus_stamp(places.corpus) if places.corpus.is_dir() else ""
    corpus = read_corpus(places.corpus)
    still = corpus_stamp(places.corpus) == stamp
    settings = default_settings()
    facts = {"labelled": str(settings.decision["labelled"])}
    compile_corpus(corpus, settings, places.pack, facts=facts, progress=progress)
    _remember(places.pack, stamp, corpus.digest if still else "")


def _seen_path(pack: Path) -> Path:
    return pack.with_name(pack.name + ".seen")


def _seen(pack: Path) -> dict[str, object]:
    """Return what was remembered of the notes behind this pack; nothing where pack or memory are missing."""
    if not pack.is_file():
        return {}
    with suppress(OSError, ValueError):
        data = json.loads(_seen_path(pack).read_text("utf-8"))
        if isinstance(data, dict):
            return data
    return {}


def _remember(pack: Path, stamp: str, digest: str) -> None:
    record = {"stamp": stamp, "digest": digest, "compiler": _compiler()}
    with suppress(OSError):
        _seen_path(pack).write_text(json.dumps(record), "utf-8")


def _compiler() -> str:
    """Return what besides the notes goes into a pack: its format and the settings."""
    return f"{FORMAT} " + Path(__file__).with_name("settings.json").read_text("utf-8")
