"""Whether the files of a corpus have changed; every question asks it, so that it loads and looks at little."""

from __future__ import annotations

import os

__all__ = ["changed_notes", "corpus_stamp"]

_KINDS = (".md", ".txt", ".yaml", ".svg", ".png", ".jpg", ".jpeg")
_OF_A_NOTE = (".questions.txt", ".phrases.yaml", ".md")


def corpus_stamp(root: str | os.PathLike[str]) -> str:
    """Return names, sizes and times of all files: equal stamps mean unchanged notes.

    Of a link it is those of the file that it leads to, with the time of the link itself. A file or a folder within it
    that goes meanwhile is none of them.
    """
    lines: list[str] = []
    folders = [(os.fspath(root), "")]
    while folders:
        folder, name = folders.pop()
        try:
            found = os.scandir(folder)
        except FileNotFoundError:
            if name:
                continue
            raise
        with found as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.append((entry.path, f"{name}{entry.name}/"))
                elif entry.name.endswith(_KINDS):
                    try:
                        state = _state(entry.stat(follow_symlinks=False))
                    except FileNotFoundError:
                        continue
                    target = f" {_target(entry.path)}" if entry.is_symlink() else ""
                    lines.append(f"{name}{entry.name} {state}{target}")
    return "\n".join(sorted(lines))


def changed_notes(before: str, after: str) -> frozenset[str] | None:
    """Return the paths of the notes of which a file differs between two stamps of a folder.

    None where more differs than that: a file came or went, or one changed that is no note's own.
    """
    old, new = (set(stamp.split("\n")) for stamp in (before, after))
    gone, came = ({line.partition(" ")[0] for line in lines} for lines in (old - new, new - old))
    notes = {_note_of(line) for line in old ^ new}
    return frozenset(notes) if gone == came and "" not in notes else None


def _note_of(line: str) -> str:
    """Return the path of the note to which the file of a line of a stamp belongs; empty where it belongs to none."""
    name, _, state = line.partition(" ")
    area, _, rest = name.partition("/")
    stem = next((rest.removesuffix(ending) for ending in _OF_A_NOTE if rest.endswith(ending)), "")
    plain = all(part.replace("-", "").isalnum() for part in (area, stem)) and state.replace(" ", "").isdigit()
    return f"{area}/{stem}.md" if plain else ""


def _state(status: os.stat_result) -> str:
    return f"{status.st_size} {status.st_mtime_ns} {status.st_ctime_ns} {status.st_ino}"


def _target(link: str) -> str:
    try:
        return _state(os.stat(link))
    except OSError:
        return "nowhere"
