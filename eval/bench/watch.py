"""The watch: seconds from saving one note to its findings and new figures, beside compiling and scoring all anew.

The real command runs on a copy of the notes; one note after the other is saved with a further sentence, which brings
a new word. Run it from the repository: ``python eval/bench/watch.py``.
"""

from __future__ import annotations

import argparse
import os
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--notes", type=int, default=20)
    wanted = parser.parse_args().notes
    with tempfile.TemporaryDirectory() as folder:
        notes = Path(shutil.copytree("corpus", Path(folder, "corpus")))
        paths = sorted(notes.glob("*/*.md"))
        figures, rules = zip(*_saves(notes, paths[:: max(1, len(paths) // wanted)][:wanted]), strict=True)
        began = time.monotonic()
        environment = {**os.environ, "ASSISTANT_HOME": folder, "ASSISTANT_CORPUS": str(notes)}
        subprocess.run(
            [sys.executable, "-m", "assistant", "score", "run"], env=environment, check=True, capture_output=True
        )
        whole = time.monotonic() - began
    for name, seconds in (("figures", figures), ("findings across notes", rules)):
        middle = statistics.median(seconds)
        print(f"{name}: median {middle:.2f} s, slowest {max(seconds):.2f} s of {len(seconds)} saves")
        print(f"{name}: 1/{whole / middle:.0f} of the whole")
    print(f"compiled and scored anew: {whole:.1f} s")


def _saves(notes: Path, paths: list[Path]) -> Iterator[tuple[float, float]]:
    """Yield for each save the seconds until the figures and until the last finding stood on the screen."""
    command = [sys.executable, "-m", "assistant", "corpus", "watch", "--corpus", str(notes)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        if not process.stdout or not process.stderr:
            return
        _until(process.stderr, "watching ")
        for path in paths:
            path.write_text(
                path.read_text("utf-8").replace("## Result\n\n", "## Result\n\nThe kickplate is quiet. "), "utf-8"
            )
            saved = time.monotonic()
            _until(process.stdout, "  safety note first")
            shown = time.monotonic()
            _until(process.stdout, "rules checked")
            yield shown - saved, time.monotonic() - saved
        process.send_signal(signal.SIGINT)


def _until(lines: IO[str], words: str) -> None:
    """Read up to the line that holds ``words``."""
    next(line for line in lines if words in line)


if __name__ == "__main__":
    main()
