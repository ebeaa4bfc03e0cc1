"""Whether the files of a corpus have changed; every question asks it, so that it loads and looks at little."""

from __future__ import annotations

import os

__all__ = ["corpus_stamp"]

_KINDS = (".md", ".txt", ".yaml", ".svg", ".png", ".jpg", ".jpeg")


def corpus_stamp(root: str | os.PathLike[str]) -> str:
    """Return names, sizes and times of all files: equal stamps mean unchanged notes.

    Of a link it is those of the file that it leads to, with the time of the link itself.
    """
    lines: list[str] = []
    folders = [(os.fspath(root), "")]
    while folders:
        folder, name = folders.pop()
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.append((entry.path, f"{name}{entry.name}/"))
                elif entry.name.endswith(_KINDS):
                    state = _state(entry.stat(follow_symlinks=False))
                    target = f" {_target(entry.path)}" if entry.is_symlink() else ""
                    lines.append(f"{name}{entry.name} {state}{target}")
    return "\n".join(sorted(lines))


def _state(status: os.stat_result) -> str:
    return f"{status.st_size} {status.st_mtime_ns} {status.st_ctime_ns} {status.st_ino}"


def _target(link: str) -> str:
    try:
        return _state(os.stat(link))
    except OSError:
        return "nowhere"
