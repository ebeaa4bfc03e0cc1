"""The pack that fits the notes as they are now: compiled again by itself when they have changed."""

from __future__ import annotations

import os

from assistant.errors import MissingExtraError, PackError
from assistant.notes.stamp import corpus_stamp
from assistant.pack.checked import json_of
from assistant.pack.format import FORMAT
from assistant.pack.places import Named
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

TYPE_CHECKING = False
if TYPE_CHECKING:
    from assistant.model import Note
    from assistant.pack.places import Places

__all__ = ["compile_now", "fresh_pack", "unchanged_pack"]


def unchanged_pack(named: Named) -> Pack | None:
    """Open the pack where it is used as it is, or where no file of its notes has changed since; else return None.

    Raises
    ------
    PackError
        If the pack is refused.
    """
    if named.corpus is None:
        return Pack(named.pack)
    seen = _seen(named.pack)
    digest = seen.get("digest")
    if not digest or not os.path.isdir(named.corpus) or seen.get("stamp") != corpus_stamp(named.corpus):
        return None
    pack = Pack(named.pack)
    if pack.manifest["corpus"] == digest:
        return pack
    pack.close()
    return None


def fresh_pack(places: Places, progress: Progress = silent) -> Pack:
    """Open the pack, after compiling it where the notes have changed since.

    Raises
    ------
    PackError, NotesError
        If the pack or a note is refused.
    MissingExtraError
        If compiling is needed and its packages are not installed.
    """
    corpus, name = places.corpus, str(places.pack)
    pack = unchanged_pack(Named(str(places.home), None if corpus is None else str(corpus), name))
    if pack is not None:
        return pack
    digest = _seen(name).get("digest")
    if digest and corpus is not None and corpus.is_dir():
        from assistant.notes.files import corpus_digest

        stamp = corpus_stamp(corpus)
        if corpus_digest(corpus) == digest:
            pack = Pack(name)
            if pack.manifest["corpus"] == digest:
                _remember(name, stamp, digest)
                return pack
            pack.close()
    compile_now(places, progress)
    return Pack(name)


def compile_now(places: Places, progress: Progress = silent, *, full: bool = False) -> tuple[Note, ...]:
    """Compile the notes into the pack, whatever stands there, and return the drafts, which are left out.

    Where a pack stands there that has learned from the very same lines, what it learned is taken over, unless all is to
    be learned in ``full``; the pack is the same to the byte.
    What is remembered of the notes is how they stood before they were read: of those that change meanwhile, the next
    question sees that they did. Where they change while they are read, no digest is remembered, as it may be that of
    another text.
    """
    try:
        from assistant.compiling.compiler import compile_corpus
        from assistant.compiling.settings import default_settings
        from assistant.notes.corpus import read_corpus
        from assistant.notes.drafts import drafts, released, silenced
    except ImportError as error:
        raise MissingExtraError(
            f"compiling notes needs the package '{error.name}': pip install \".[desk]\" in the folder of the program"
        ) from error
    if places.corpus is None:
        raise PackError(f"{places.pack}:1: no folder of notes to compile; name one with --corpus")
    progress("reading notes")
    stamp = corpus_stamp(places.corpus) if places.corpus.is_dir() else ""
    corpus = read_corpus(places.corpus)
    still = corpus_stamp(places.corpus) == stamp
    for note in silenced(corpus):
        progress(f"{note} is a draft: no alarm and no sentence of harm leads to it")
    settings = default_settings()
    facts = {"labelled": str(settings.decision["labelled"])}
    before = None if full else places.pack
    compile_corpus(released(corpus), settings, places.pack, facts=facts, progress=progress, before=before)
    _remember(str(places.pack), stamp, corpus.digest if still else "")
    return drafts(corpus)


def _seen(pack: str) -> dict[str, str]:
    """Return what was remembered of the notes behind this pack; nothing where it does not hold, or the pack is gone."""
    name = _seen_name(pack)
    if not (os.path.isfile(pack) and os.path.isfile(name)):
        return {}
    try:
        with open(name, encoding="utf-8") as file:
            data = json_of(file.read())
    except (OSError, ValueError):
        return {}
    return data if isinstance(data, dict) and data.get("compiler") == _compiler() else {}


def _remember(pack: str, stamp: str, digest: str) -> None:
    import json

    record = {"stamp": stamp, "digest": digest, "compiler": _compiler()}
    try:
        with open(_seen_name(pack), "w", encoding="utf-8") as file:
            json.dump(record, file)
    except OSError:
        pass


def _seen_name(pack: str) -> str:
    return f"{pack}.seen"


def _compiler() -> str:
    """Return what besides the notes goes into a pack: its format and the settings."""
    with open(os.path.join(os.path.dirname(__file__), "settings.json"), encoding="utf-8") as file:
        return f"{FORMAT} {file.read()}"
