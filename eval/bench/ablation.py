"""Which parts of the ranking earn their place, and which settings nested cross-validation chooses.

Every variant is a pack compiled anew. It is asked the answerable questions of the tune split, and the example questions
of one fold that it has not seen. Printed are the share with the right note first, and the p of a paired randomization
test against the full ranking, adjusted by Holm over the variants. Run it from the repository:
``python eval/bench/ablation.py``.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from assistant.answering.retrieve import Retriever
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, read_questions
from assistant.evaluation.statistics import Share, holm, sign_flip
from assistant.evaluation.tuning import fold_of, without_fold
from assistant.model import Corpus, Vocabulary
from assistant.notes.corpus import read_corpus
from assistant.compiling.compiler import compile_corpus
from assistant.pack.reader import Pack
from assistant.compiling.settings import CompileSettings, default_settings

OUTER_FOLDS = 5
Asked = tuple[str, tuple[str, ...]]
Variant = tuple[str, CompileSettings, Corpus]


def hits(corpus: Corpus, settings: CompileSettings, asked: Sequence[Asked]) -> list[float]:
    """Return 1 for each question whose first note is right, else 0."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "variant.pack")
        compile_corpus(corpus, settings, path)
        with Pack(path) as pack:
            retriever = Retriever(pack)
            found = []
            for question, right in asked:
                order = retriever(question).scores.order
                found.append(float(bool(order) and pack.note_ids[order[0]] in right))
    return found


def variants(corpus: Corpus, settings: CompileSettings) -> Iterator[Variant]:
    """Yield (name, settings, corpus) with one part left out."""
    analysis = settings.analysis
    bare = corpus._replace(notes=tuple(note._replace(examples=()) for note in corpus.notes), uncovered=(), dangers=())
    few = corpus._replace(
        notes=tuple(note._replace(examples=note.examples[::4]) for note in corpus.notes),
        uncovered=corpus.uncovered[::4],
    )
    fields = settings.bm25f
    flat = replace(fields, weight=dict.fromkeys(fields.weight, 1.0))
    yield "full ranking", settings, corpus
    yield "without learned weights", replace(settings, learned_points=0), corpus
    yield "without BM25F", replace(settings, chunk_points=0), corpus
    yield "without pairs of words", replace(settings, pairs=False), corpus
    yield "without question-word list", replace(settings, analysis=analysis._replace(question_words=False)), corpus
    yield "without repair", replace(settings, analysis=analysis._replace(repair=False)), corpus
    yield "one repair a word", replace(settings, analysis=analysis._replace(second_repair_weight=0)), corpus
    yield "without vocabulary", settings, corpus._replace(vocabulary=Vocabulary())
    yield "without field weights", replace(settings, bm25f=flat), corpus
    yield "a quarter of the example questions", settings, few
    yield "without example questions", settings, bare


def grid(settings: CompileSettings) -> Iterator[tuple[str, CompileSettings]]:
    """Yield the settings that nested cross-validation chooses from."""
    fields = settings.bm25f
    for k1 in (1.2, 2.0):
        for learned in (200, 300, 500):
            for vocabulary in (0, 40):
                for alpha in (0.0003, 0.001):
                    yield (
                        f"k1 {k1}, learned {learned}, vocabulary {vocabulary}, alpha {alpha}",
                        replace(
                            settings,
                            bm25f=replace(fields, k1=k1),
                            learned_points=learned,
                            alpha=alpha,
                            analysis=settings.analysis._replace(vocabulary_weight=vocabulary),
                        ),
                    )


def tune_questions() -> list[LabelledQuestion]:
    """Return the answerable questions of the tune split."""
    questions = read_questions(Path("eval/questions.jsonl"))
    return [q for q in questions if q.split == "tune" and q.manner in ANSWERABLE]


def ablation(corpus: Corpus, settings: CompileSettings) -> None:
    """Print the table of parts."""
    labelled = [(q.question, (*q.notes, q.danger)) for q in tune_questions()]
    held = [(e.question, (note.id,)) for note in corpus.notes for e in note.examples if fold_of(e.question) == 0]
    rows = []
    for name, changed, notes in variants(corpus, settings):
        print(f"{name} ...", file=sys.stderr)
        rows.append((name, hits(notes, changed, labelled), hits(without_fold(notes, 0), changed, held)))
    full = rows[0]
    p_labelled = holm([sign_flip(full[1], row[1]) for row in rows[1:]])
    p_held = holm([sign_flip(full[2], row[2]) for row in rows[1:]])
    print(f"| variant | tune questions ({len(labelled)}) | p | unseen example questions ({len(held)}) | p |")
    print("|---|---|---|---|---|")
    for i, (name, on_labelled, on_held) in enumerate(rows):
        first = Share(int(sum(on_labelled)), len(on_labelled)).value
        second = Share(int(sum(on_held)), len(on_held)).value
        ps = ("", "") if i == 0 else (f"{p_labelled[i - 1]:.4f}", f"{p_held[i - 1]:.4f}")
        print(f"| {name} | {first:.3f} | {ps[0]} | {second:.3f} | {ps[1]} |")


def nested(corpus: Corpus, settings: CompileSettings) -> None:
    """Print what nested cross-validation by note chooses, and what the choice scores outside."""
    questions = tune_questions()
    asked = [(q.question, (*q.notes, q.danger)) for q in questions]
    table = []
    for name, changed in grid(settings):
        print(f"{name} ...", file=sys.stderr)
        table.append((name, hits(corpus, changed, asked)))
    outer = [fold_of(q.notes[0]) % OUTER_FOLDS for q in questions]
    right = 0.0
    for fold in range(OUTER_FOLDS):
        inside = [i for i, f in enumerate(outer) if f != fold]
        outside = [i for i, f in enumerate(outer) if f == fold]
        best = max(table, key=lambda row: sum(row[1][i] for i in inside))
        right += sum(best[1][i] for i in outside)
        print(f"outer fold {fold}: {best[0]}; inside {sum(best[1][i] for i in inside) / len(inside):.3f}")
    print(f"outside: {Share(int(right), len(questions))}")
    for name, found in sorted(table, key=lambda row: -sum(row[1])):
        print(f"{sum(found) / len(found):.3f}  {name}")


def main() -> None:
    """Print both tables."""
    corpus = read_corpus(Path("corpus"))
    settings = default_settings()
    ablation(corpus, settings)
    print()
    nested(corpus, settings)


if __name__ == "__main__":
    main()
