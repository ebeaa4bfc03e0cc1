"""Plain lines held out: how often a note's own short line finds it when the program has not seen that line.

Five packs are compiled, each without a fifth of the plain lines of all notes, and asked these. Run it from the
repository: ``python eval/bench/plain_lines.py``.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from assistant.answering.retrieve import Retriever
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.settings import default_settings
from assistant.evaluation.statistics import Share
from assistant.evaluation.tuning import FOLDS, fold_of
from assistant.model import Corpus
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack


def without(corpus: Corpus, fold: int) -> Corpus:
    """Return the corpus without the plain lines of one fold."""
    return corpus._replace(
        notes=tuple(
            note._replace(
                phrases=note.phrases._replace(plain=tuple(x for x in note.phrases.plain if fold_of(x) != fold))
            )
            for note in corpus.notes
        )
    )


def main() -> None:
    """Print the share of lines whose note comes first, and is among the first three."""
    corpus, settings = read_corpus(Path("corpus")), default_settings()
    first = three = asked = 0
    for fold in range(FOLDS):
        print(f"fold {fold + 1} of {FOLDS}", file=sys.stderr)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "fold.pack")
            compile_corpus(without(corpus, fold), settings, path)
            with Pack(path) as pack:
                retriever = Retriever(pack)
                for note in corpus.notes:
                    for line in note.phrases.plain:
                        if fold_of(line) == fold:
                            found = [pack.note_ids[number] for number in retriever(line).scores.order[:3]]
                            asked += 1
                            first += found[:1] == [note.id]
                            three += note.id in found
    print(f"first: {Share(first, asked)}\namong the first three: {Share(three, asked)}")


if __name__ == "__main__":
    main()
