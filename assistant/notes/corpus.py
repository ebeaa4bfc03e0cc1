"""A corpus folder -> `Corpus`: notes with their phrases and example questions, and what belongs to all of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence, Set
from pathlib import Path
from typing import NamedTuple

from assistant.errors import Fault, NotesError
from assistant.model import Corpus, Example, Note
from assistant.notes.drafts import released
from assistant.notes.figures import figures_in, with_figures
from assistant.notes.files import corpus_digest, corpus_files
from assistant.notes.hazards import read_hazards
from assistant.notes.kept import Kept
from assistant.notes.phrases import phrases_path, read_phrases
from assistant.notes.reader import read_note
from assistant.notes.shared import READ_SHARED, numbered_lines
from assistant.notes.text import leads_out, read_text
from assistant.notes.trade import foreign_faults, language_in
from assistant.progress import Progress, counted, silent

__all__ = [
    "ParsedCorpus",
    "beside",
    "link_faults",
    "note_files",
    "parse_again",
    "parse_corpus",
    "read_corpus",
    "read_released",
]

_OUTWARD = "is a link that leads out of the folder of notes"
_OTHER_ID = re.compile(r"id '([a-z0-9-]+)' is not the file name")
_ELSEWHERE = "the file must lie in the folder"
_EXAMPLE_STEPS = re.compile(r"\[(\d+(?:, ?\d+)*)\]\s*")
_parsed_note = Kept(read_note)


class ParsedCorpus(NamedTuple):
    """A folder as far as it could be read, with the faults of the rest; ``corpus`` has no digest.

    ``lines`` maps the path of each note that could be read to the lines of its file.
    """

    corpus: Corpus
    faults: tuple[Fault, ...]
    lines: Mapping[str, tuple[str, ...]]


def read_corpus(root: Path, progress: Progress = silent) -> Corpus:
    """Read the whole folder.

    Raises
    ------
    NotesError
        With the faults of all files, so that one look mends them all.
    """
    parsed = parse_corpus(root, progress=progress)
    faults = [*parsed.faults, *link_faults(parsed.corpus.notes, parsed.lines, parsed.faults)]
    if faults:
        raise NotesError(faults)
    return parsed.corpus._replace(digest=corpus_digest(root))


def read_released(root: Path) -> Corpus:
    """Read the whole folder and return what a pack for reps is made of: all but the drafts.

    Raises
    ------
    NotesError
        With the faults of all files, those of drafts too; or if every note is a draft.
    """
    return released(read_corpus(root))


def parse_corpus(root: Path, through: Callable[[str], str] = str, progress: Progress = silent) -> ParsedCorpus:
    """Read what can be read of the folder; where links lead is for `link_faults` to say.

    Parameters
    ----------
    through
        What is done to the text of each note before it is read, lines for lines.

    Raises
    ------
    NotesError
        If there is no such folder, or no note in it.
    """
    if not root.is_dir():
        raise NotesError([Fault(str(root), 1, "no such folder of notes")])
    files = tuple(corpus_files(root))
    outward = {path for path in files if leads_out(path, root)}
    told = counted(files, progress, "reading notes")
    notes, lines, figures, faults = _notes_at(told, root, through, outward, lambda: files)
    faults += _twice(notes)
    faults += _phrases_led_nowhere(notes, root, faults)
    faults += _strays(files, root)
    rest = Corpus(())
    ids = _known(notes, faults)
    for name, read in READ_SHARED.items():
        if root / name in outward:
            continue
        try:
            rest = read(rest, root, ids)
        except NotesError as error:
            faults += error.faults
    if not notes and not any(fault.path.endswith(".md") for fault in faults):
        raise NotesError([Fault(str(root), 1, "no note in this folder: assistant corpus new writes one")])
    if rest.trade.stations:
        faults += foreign_faults(notes, lines, rest.trade)
    notes.sort(key=lambda note: note.id)
    corpus = rest._replace(notes=tuple(notes), figures=figures)
    return ParsedCorpus(corpus, tuple(sorted(faults)), lines)


def parse_again(
    root: Path, corpus: Corpus, changed: Collection[str], through: Callable[[str], str] = str
) -> ParsedCorpus:
    """Read anew the notes of some paths and return what `parse_corpus` would, but for the lines of all other notes.

    Parameters
    ----------
    corpus
        The folder as it was read, without a fault. Since then no file came or went, and none has changed but notes of
        the paths ``changed``, their phrases and their questions.
    """
    paths = [root / shown for shown in sorted(changed)]
    outward = {file for path in paths for file in note_files(path) if leads_out(file, root)}
    again, lines, figures, faults = _notes_at(
        paths, root, through, outward, lambda: [root / note.path for note in corpus.notes]
    )
    notes = sorted((*(note for note in corpus.notes if note.path not in changed), *again), key=lambda note: note.id)
    faults += _phrases_led_nowhere(notes, root, faults)
    if corpus.trade.stations:
        faults += foreign_faults(again, lines, corpus.trade)
    shown_by = {figure.digest for note in notes for figure in note.figures}
    figures = {digest: raw for digest, raw in {**corpus.figures, **figures}.items() if digest in shown_by}
    return ParsedCorpus(corpus._replace(notes=tuple(notes), figures=figures), tuple(sorted(faults)), lines)


def note_files(note: Path) -> tuple[Path, Path, Path]:
    """Return where a note, its example questions and its phrases lie, be they there or not."""
    return note, note.with_suffix(".questions.txt"), phrases_path(note)


def _notes_at(
    paths: Iterable[Path],
    root: Path,
    through: Callable[[str], str],
    outward: Set[Path],
    files: Callable[[], Sequence[Path]],
) -> tuple[list[Note], dict[str, tuple[str, ...]], dict[str, bytes], list[Fault]]:
    """Return the notes among some files with all that belongs to them, their lines, their pictures, and all faults."""
    notes: list[Note] = []
    lines: dict[str, tuple[str, ...]] = {}
    figures: dict[str, bytes] = {}
    faults = [Fault(path.relative_to(root).as_posix(), 1, _OUTWARD) for path in outward]
    read_figure = figures_in(root)
    language, hazards = language_in(root), _keys_of_hazards(root)
    for path in paths:
        if path.suffix != ".md" or not outward.isdisjoint(note_files(path)):
            continue
        shown = path.relative_to(root).as_posix()
        try:
            text = through(read_text(path, shown))
            note, drawn = with_figures(_parsed_note(text, shown, language, *hazards), text, read_figure)
            examples = _read_examples(path.with_suffix(".questions.txt"), root, len(note.steps))
            phrases = read_phrases(path, root)
        except NotesError as error:
            faults += _unless_taken(error.faults, path, files())
        else:
            notes.append(note._replace(examples=examples, phrases=phrases))
            lines[shown] = tuple(text.split("\n"))
            figures |= drawn
    return notes, lines, figures, faults


def beside(path: Path) -> tuple[Note, dict[str, tuple[str, ...]]]:
    """Read one note that is in no folder of notes, with its phrases and questions, and the lines of its files.

    The paths are those that it would have in a folder.

    Raises
    ------
    NotesError
        If one of them cannot be read.
    """
    shown = f"{path.stem.partition('-')[0]}/{path.name}"
    text = read_text(path, str(path))
    bare = read_note(text, shown, language_in(path.parent.parent))
    read_figure = figures_in(path.parent)
    note, _ = with_figures(bare, text, lambda figure: read_figure(Path(figure).name))
    texts = {shown: tuple(text.split("\n"))}
    for file in (path.with_suffix(".questions.txt"), phrases_path(path)):
        if file.exists():
            texts[f"{shown.partition('/')[0]}/{file.name}"] = tuple(read_text(file, str(file)).split("\n"))
    examples = _read_examples(path.with_suffix(".questions.txt"), path.parent, len(note.steps))
    return note._replace(examples=examples, phrases=read_phrases(path, path.parent)), texts


def _keys_of_hazards(root: Path) -> tuple[str, ...]:
    """Return the keys of the hazards; none of a table that cannot be read, which is told where it is read."""
    try:
        return tuple(hazard.key for hazard in read_hazards(root))
    except NotesError:
        return ()


def _read_examples(path: Path, root: Path, steps: int) -> tuple[Example, ...]:
    shown = path.relative_to(root).as_posix()
    examples, faults = [], []
    for number, line in numbered_lines(path, root):
        named = _EXAMPLE_STEPS.match(line)
        chosen = tuple(int(n) for n in named[1].split(",")) if named else ()
        question = line[named.end() :] if named else line
        if not question:
            faults.append(Fault(shown, number, "steps without a question"))
        unknown = [n for n in chosen if not 1 <= n <= steps]
        faults += [Fault(shown, number, f"names step {n}, which the note does not have") for n in unknown]
        examples.append(Example(question, chosen))
    if faults:
        raise NotesError(faults)
    return tuple(examples)


def link_faults(
    notes: Iterable[Note], lines: Mapping[str, Sequence[str]], earlier: Iterable[Fault] = ()
) -> list[Fault]:
    """Return a fault for every link to a note that is neither read nor named by an ``earlier`` fault."""
    notes = tuple(notes)
    known = _known(notes, earlier)
    return [
        Fault(
            note.path, _line_of(target, lines.get(note.path, ())), f"leads to the note '{target}', which does not exist"
        )
        for note in notes
        for target in dict.fromkeys((*note.see_also, *note.links))
        if target not in known
    ]


def _phrases_led_nowhere(notes: Iterable[Note], root: Path, earlier: Iterable[Fault]) -> list[Fault]:
    """Return a fault for every ``not_this`` that names a note which is neither read nor named by an earlier fault."""
    notes = tuple(notes)
    known = _known(notes, earlier)
    unknown = [
        (phrases_path(Path(note.path)).as_posix(), line, other)
        for note in notes
        for line, other in note.phrases.not_this
        if other and other not in known
    ]
    return [
        Fault(
            shown,
            _line_of(other, read_text(root / shown, shown).split("\n")),
            f"'{line}' names the note '{other}', which does not exist",
        )
        for shown, line, other in unknown
    ]


def _known(notes: Iterable[Note], earlier: Iterable[Fault]) -> set[str]:
    return {note.id for note in notes} | {Path(fault.path).name.split(".")[0] for fault in earlier}


def _line_of(id: str, lines: Sequence[str]) -> int:
    """Return the first line that names a note."""
    named = re.compile(rf"(?<![a-z0-9-]){re.escape(id)}(?![a-z0-9-])")
    return next((n for n, line in enumerate(lines, start=1) if named.search(line)), 1)


def _twice(notes: list[Note]) -> list[Fault]:
    first: dict[str, str] = {}
    return [
        Fault(note.path, 1, f"the id '{note.id}' is taken by {first[note.id]}")
        for note in notes
        if first.setdefault(note.id, note.path) != note.path
    ]


def _unless_taken(faults: Sequence[Fault], path: Path, files: Sequence[Path]) -> list[Fault]:
    """Return the faults of a note; of an id that another file is named after, that one is told instead."""
    told = []
    for fault in faults:
        named = _OTHER_ID.match(fault.message)
        taken = named[1] if named else path.stem if fault.message.startswith(_ELSEWHERE) else ""
        other = next((file for file in files if file.name == f"{taken}.md" and file != path), None)
        if other is not None:
            where = f"{other.parent.name}/{other.name}"
            message = f"the id '{taken}' is taken by {where}: give this note an id and a file of its own"
            fault = fault._replace(message=message)
        told.append(fault)
    return list(dict.fromkeys(told))


def _strays(files: Sequence[Path], root: Path) -> list[Fault]:
    beside = {".questions.txt": "example questions", ".phrases.yaml": "phrases"}
    return [
        Fault(path.relative_to(root).as_posix(), 1, f"{kind} without their note")
        for path in files
        for ending, kind in beside.items()
        if path.name.endswith(ending) and not path.with_name(path.name.replace(ending, ".md")).exists()
    ]
