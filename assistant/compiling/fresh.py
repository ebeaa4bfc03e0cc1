"""The pack that fits the notes as they are now: compiled again by itself when they have changed."""

from __future__ import annotations

import os

from assistant.compiling.program import program_digest, program_stamp
from assistant.errors import MissingExtraError, PackError
from assistant.notes.stamp import corpus_stamp
from assistant.pack.checked import json_of
from assistant.pack.format import FORMAT
from assistant.pack.places import Named
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.model import Note
    from assistant.pack.places import Places

__all__ = ["compile_now", "fresh_pack", "unchanged_pack"]

_SETTINGS = "settings.json"


def unchanged_pack(named: Named) -> Pack | None:
    """Open the pack where it is used as it is, or where no file of its notes has changed since, nor the program.

    Else return None.

    Raises
    ------
    PackError
        If the pack is refused.
    """
    if named.corpus is None:
        return Pack(named.pack)
    seen = _seen(named.pack, named.corpus)
    digest = seen.get("digest")
    if not digest or not os.path.isdir(named.corpus) or seen.get("stamp") != corpus_stamp(named.corpus):
        return None
    if seen.get("program") != program_stamp():
        return None
    pack = Pack(named.pack)
    if pack.manifest["corpus"] == digest:
        return pack
    pack.close()
    return None


def fresh_pack(places: Places, progress: Progress = silent) -> Pack:
    """Open the pack, after compiling it where the notes have changed since, or the program that compiles them.

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
    seen = _seen(name, corpus)
    digest = seen.get("digest")
    if digest and corpus is not None and corpus.is_dir():
        from assistant.notes.files import corpus_digest

        stamp, program = corpus_stamp(corpus), program_stamp()
        if seen.get("modules") == program_digest() and corpus_digest(corpus) == digest:
            pack = Pack(name)
            if pack.manifest["corpus"] == digest:
                _remember(name, {**seen, "stamp": stamp, "program": program})
                return pack
            pack.close()
    compile_now(places, progress, settings=_named_settings(name))
    return Pack(name)


def compile_now(
    places: Places, progress: Progress = silent, *, full: bool = False, settings: str = ""
) -> tuple[Note, ...]:
    """Compile the notes into the pack, whatever stands there, and return the drafts, which are left out.

    The settings are those of the file ``settings``; else those that the folder of notes holds for itself in
    ``settings.json``; else those that ship. A file that was named is remembered, and taken again for as long as it is
    there when the notes have changed.

    Where a pack stands there that has learned from the very same lines, what it learned is taken over, unless all is to
    be learned in ``full``; the pack is the same to the byte.
    What is remembered of the notes is how they stood before they were read: of those that change meanwhile, the next
    question sees that they did. Where they change while they are read, no digest is remembered, as it may be that of
    another text.
    """
    try:
        from pathlib import Path

        from assistant.compiling.compiler import compile_corpus
        from assistant.compiling.settings import corpus_settings, read_settings
        from assistant.notes.corpus import read_corpus
        from assistant.notes.drafts import drafts, released, silenced
    except ImportError as error:
        raise MissingExtraError(
            f"compiling notes needs the package '{error.name}': pip install \".[desk]\" in the folder of the program"
        ) from error
    if places.corpus is None:
        raise PackError(f"{places.pack}:1: no folder of notes to compile; name one with --corpus")
    made_by = {"program": program_stamp(), "modules": program_digest()}
    stamp = corpus_stamp(places.corpus) if places.corpus.is_dir() else ""
    corpus = read_corpus(places.corpus, progress)
    still = corpus_stamp(places.corpus) == stamp
    for note in silenced(corpus):
        progress(f"{note} is a draft: no alarm and no sentence of harm leads to it")
    named = os.path.abspath(settings) if settings else ""
    compiler = _compiler(places.corpus, named)
    taken = read_settings(Path(settings)) if settings else corpus_settings(places.corpus)
    facts = {"labelled": str(taken.decision["labelled"])}
    before = None if full else places.pack
    compile_corpus(released(corpus), taken, places.pack, facts=facts, progress=progress, before=before)
    digest = corpus.digest if still else ""
    seen = {"stamp": stamp, "digest": digest, "settings": named, "compiler": compiler}
    _remember(str(places.pack), {**seen, **made_by})
    return drafts(corpus)


def _seen(pack: str, corpus: str | os.PathLike[str] | None) -> dict[str, str]:
    """Return what was remembered of the notes behind this pack; nothing where it does not hold, or the pack is gone."""
    data = _remembered(pack) if os.path.isfile(pack) else {}
    return data if data and data.get("compiler") == _compiler(corpus, _named_in(data)) else {}


def _remembered(pack: str) -> dict[str, str]:
    """Return what was written down beside a pack, whether it still holds or not."""
    name = _seen_name(pack)
    if not os.path.isfile(name):
        return {}
    try:
        with open(name, encoding="utf-8") as file:
            data = json_of(file.read())
    except (OSError, ValueError):
        return {}
    return data if isinstance(data, dict) else {}


def _named_settings(pack: str) -> str:
    """Return the file of settings that was named when the pack was compiled; empty where none was, or it is gone."""
    name = _named_in(_remembered(pack))
    return name if os.path.isfile(name) else ""


def _named_in(data: Mapping[str, object]) -> str:
    name = data.get("settings", "")
    return name if isinstance(name, str) else ""


def _remember(pack: str, record: dict[str, str]) -> None:
    import json

    try:
        with open(_seen_name(pack), "w", encoding="utf-8") as file:
            json.dump(record, file)
    except OSError:
        pass


def _seen_name(pack: str) -> str:
    return f"{pack}.seen"


def _compiler(corpus: str | os.PathLike[str] | None, named: str) -> str:
    """Return what besides the notes goes into a pack: its format and the settings.

    These are the first that there are: those of the file that was ``named``, the folder's own, those that ship.
    """
    own = os.path.join(corpus, _SETTINGS) if corpus is not None else ""
    shipped = os.path.join(os.path.dirname(__file__), _SETTINGS)
    path = next((name for name in (named, own) if name and os.path.isfile(name)), shipped)
    try:
        with open(path, encoding="utf-8") as file:
            return f"{FORMAT} {file.read()}"
    except (OSError, ValueError):
        return ""
