"""How long the commands of authors and QA take on the notes, beside one process of the same kind."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial

from eval.bench.figures import Figure
from eval.bench.ground import Ground
from eval.bench.measure import ASSISTANT, PYTHON, cost_of, costs, in_turn

__all__ = ["commands"]

PEER = "scikit-learn process: one linear model of the same texts"
LEARN = """
import json, sys
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.svm import LinearSVC
chunks = json.load(open(sys.argv[1]))
matrix = TfidfVectorizer(sublinear_tf=True, ngram_range=(1, 2)).fit_transform(text for _, text in chunks)
LinearSVC().fit(matrix, [note for note, _ in chunks])
"""
_MOST_RUNS = 3


def commands(ground: Ground) -> Iterator[Figure]:
    """Yield what each command costs as a whole."""
    texts = ground.work / "commands.json"
    texts.write_text(json.dumps(ground.texts), "utf-8")
    home, notes, pack = ground.home("commands"), ["--corpus", str(ground.corpus)], ["--pack", str(ground.pack)]
    labelled = ["--eval", str(ground.labelled.parent)]
    anew = ground.work / "anew.pack"
    ways = {
        PEER: [PYTHON, "-c", LEARN, str(texts)],
        "corpus compile": [ASSISTANT, *home, "corpus", "compile", *notes, "--pack", str(anew)],
        "corpus check": [ASSISTANT, *home, "corpus", "check", *notes],
        "corpus check --pack": [ASSISTANT, *home, "corpus", "check", *notes, *pack],
        "score run": [ASSISTANT, *home, "score", "run", *notes, *labelled],
        "score run --pack": [ASSISTANT, *home, "score", "run", *pack, *labelled],
        "score check": [ASSISTANT, *home, "score", "check", *notes, *labelled],
        "score gate": [ASSISTANT, *home, "score", "gate", *notes, *labelled],
    }
    calls = {way: partial(cost_of, command, cwd=ground.work, codes=(0, 1)) for way, command in ways.items()}
    yield from costs("commands", "one command", in_turn(calls, min(ground.runs, _MOST_RUNS)), PEER)
