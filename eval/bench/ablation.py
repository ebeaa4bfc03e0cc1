"""Which parts of the ranking earn their place.

Every variant is a pack compiled anew with one part left out, and is asked the answerable questions of the tune split.
Printed are the share with the right note first and the share answered outright and right, each with the p of a paired
randomization test against the full ranking, adjusted by Holm over the variants. Run it from the repository:
``python eval/bench/ablation.py``.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from assistant.answering.retrieve import Retriever
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.settings import CompileSettings, default_settings
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, read_questions
from assistant.evaluation.run import decided, right_first
from assistant.evaluation.statistics import holm, sign_flip
from assistant.model import Corpus, Phrases, Vocabulary
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack


class Variant(NamedTuple):
    """A name, what is compiled with what, and what is changed of the decision."""

    name: str
    corpus: Corpus
    settings: CompileSettings
    decision: Mapping[str, Any] = MappingProxyType({})


def variants(corpus: Corpus, settings: CompileSettings) -> Iterator[Variant]:
    """Yield the full ranking, then each part left out."""
    analysis, linear = settings.analysis, settings.linear
    yield Variant("full ranking", corpus, settings)
    yield Variant("without BM25F", corpus, settings, {"bm25f_share": 0})
    yield Variant("without pairs of thing and trouble", corpus, replace(settings, linear=replace(linear, pairs=0)))
    yield Variant("without phrases", _notes(corpus, phrases=Phrases()), settings)
    yield Variant("without example questions", _notes(corpus, examples=()), settings)
    yield Variant("without questions that fit several notes", corpus._replace(ambiguous=()), settings)
    yield Variant("without repair", corpus, replace(settings, analysis=analysis._replace(repair=False)))
    yield Variant("without vocabulary", corpus._replace(vocabulary=Vocabulary()), settings)
    yield Variant("without alarm words", corpus._replace(alarms=()), settings)


def _notes(corpus: Corpus, **changed: Any) -> Corpus:
    return corpus._replace(notes=tuple(note._replace(**changed) for note in corpus.notes))


def scored(variant: Variant, questions: Sequence[LabelledQuestion]) -> tuple[list[float], list[float]]:
    """Return for each question whether the first note is right, and whether it is answered outright and right."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "variant.pack")
        compile_corpus(variant.corpus, variant.settings, path)
        with Pack(path) as pack:
            pack.decision.update(variant.decision)
            retriever = Retriever(pack)
            found = decided(pack, questions, [retriever(q.question) for q in questions])
    right = [right_first(outcome) for outcome in found]
    outright = [outcome.decision == "answer" and good for outcome, good in zip(found, right, strict=True)]
    return [float(good) for good in right], [float(good) for good in outright]


def main() -> None:
    """Print the table."""
    corpus = read_corpus(Path("corpus"))
    questions = [q for q in read_questions(Path("eval/questions.jsonl")) if q.manner in ANSWERABLE]
    names, rights, outrights = [], [], []
    for variant in variants(corpus, default_settings()):
        print(f"{variant.name} ...", file=sys.stderr)
        right, outright = scored(variant, questions)
        names.append(variant.name)
        rights.append(right)
        outrights.append(outright)
    tests = [
        ["", *map("{:.4f}".format, holm([sign_flip(rows[0], row) for row in rows[1:]]))] for rows in (rights, outrights)
    ]
    print(f"| variant ({len(questions)} questions) | right first | p | outright and right | p |\n|---|---|---|---|---|")
    for name, right, p, outright, q in zip(names, rights, tests[0], outrights, tests[1], strict=True):
        print(f"| {name} | {sum(right) / len(right):.3f} | {p} | {sum(outright) / len(outright):.3f} | {q} |")


if __name__ == "__main__":
    main()
