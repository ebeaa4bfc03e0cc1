"""Notes and what stands beside them, questions, what the desk takes, bars and labels."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from pathlib import Path

from hypothesis import strategies as st

from assistant.answering.assistant import Assistant
from assistant.cli.output import answer_line, answer_text
from assistant.desk.taking import add_questions
from assistant.errors import AssistantError
from assistant.evaluation.bars import judge, read_bars
from assistant.evaluation.figures import Figure
from assistant.evaluation.judgements import read_judgements
from assistant.evaluation.labels import read_questions, read_talks
from assistant.notes.corpus import read_corpus
from assistant.pack.codec import note_from_json, note_to_json
from assistant.pack.reader import Pack
from tests.fuzz.bench import MINI, QUESTIONS, Bench, Target, attempt, harmless, shown, told
from tests.fuzz.drawing import changed_texts, changed_values, odd_texts, raw

__all__ = ["TARGETS", "talk"]

SHIPPED = Path(__file__).parents[2] / "corpus"
BARS = {"split": "tune", "comment": "c", "bars": [{"figure": "a", "at_least": 0.5}, {"figure": "b", "at_most": 1}]}
ASKED = {
    "id": "q1",
    "question": "stick drifts",
    "manner": "plain",
    "notes": ["a-b"],
    "split": "tune",
    "writer": "A",
    "kind": "",
    "danger": ["s-a"],
    "steps": {"a-b": [1, 2]},
}
TALK = {"id": "t1", "split": "tune", "turns": [{"question": "q", "notes": ["a-b"], "about": "procedure"}]}
JUDGED_HEAD = {"form": 1, "labeller": "A"}


def _notes(bench: Bench, drawn: dict[str, str]) -> None:
    root = bench.corpus()
    (root / drawn["file"]).write_bytes(raw(drawn["text"]))
    try:
        corpus = read_corpus(root)
    except AssistantError as error:
        told(error)
        return
    for note in corpus.notes:
        bare = note._replace(examples=(), phrases=type(note.phrases)())
        assert note_from_json(note_to_json(note)) == bare
        for text in (note.title, note.condition, note.why, *(step.text for step in note.steps)):
            harmless(text)


def _bases_beside() -> st.SearchStrategy[dict[str, str]]:
    beside = {
        "pad/pad-demo.questions.txt": sorted(MINI.rglob("*.questions.txt")),
        "pad/pad-demo.phrases.yaml": sorted(MINI.rglob("*.phrases.yaml")),
        **{name: [MINI / name] for name in ("vocabulary.yaml", "trade.yaml", "alarm.yaml", "followups.txt")},
        **{name: [SHIPPED / name] for name in ("hazards.yaml", "forbidden.yaml")},
    }
    return st.one_of(
        [
            st.builds(
                lambda text, name=name: {"file": name, "text": text},
                changed_texts([p.read_text("utf-8") for p in paths]),
            )
            for name, paths in beside.items()
        ]
    )


def _bases_of_notes() -> st.SearchStrategy[dict[str, str]]:
    texts = [path.read_text("utf-8") for root in (MINI, SHIPPED) for path in sorted(root.rglob("*.md"))]
    texts = [text for text in texts if text.startswith("---\n")]
    return (changed_texts(texts) | odd_texts).map(lambda text: {"file": "pad/pad-demo.md", "text": text})


def _questions(bench: Bench, turns: list[str]) -> None:
    with Pack(bench.pack) as pack:
        talk(Assistant(pack), turns)


def talk(assistant: Assistant, turns: Iterable[str]) -> list[str]:
    before = None
    told = []
    for turn in turns:
        answer, before = assistant.ask(turn, before)
        for width in (80, 20):
            shown(answer_text(answer, width))
        line = answer_line(answer)
        shown(line, lines=False)
        assert json.loads(line)["decision"] == answer.decision
        told.append(line)
    return told


def _taken(bench: Bench, questions: list[str]) -> None:
    """Whatever the desk takes into the notes, they can be read afterwards."""
    root = bench.corpus()
    attempt(lambda: add_questions(root, root / "pad/pad-demo.md", questions))
    read_corpus(root)


def _labels(bench: Bench, drawn: dict[str, str]) -> None:
    path = bench.fresh("labels.json")
    path.write_bytes(raw(drawn["text"]))
    reads: dict[str, Callable[[Path], object]] = {
        "bars": lambda path: [row.passed for row in judge(read_bars(path).bars, {"a": Figure(1.0, 0.9, 1.0)})],
        "questions": read_questions,
        "talks": read_talks,
        "judgements": read_judgements,
    }
    attempt(lambda: reads[drawn["kind"]](path))


def _kinds_of_labels() -> st.SearchStrategy[dict[str, str]]:
    judged = changed_values([JUDGED_HEAD]) | changed_values([ASKED]).map(
        lambda text: f"{json.dumps(JUDGED_HEAD)}\n{text}\n"
    )
    texts = {
        "bars": changed_values([BARS]),
        "questions": changed_values([ASKED]),
        "talks": changed_values([TALK]),
        "judgements": judged,
    }
    changed = {
        kind: changed_texts([json.dumps(base)])
        for kind, base in (("bars", BARS), ("questions", ASKED), ("talks", TALK))
    }
    return st.one_of(
        [
            st.builds(lambda text, kind=kind: {"kind": kind, "text": text}, drawn | changed.get(kind, drawn))
            for kind, drawn in texts.items()
        ]
    )


TARGETS = (
    Target("notes", _bases_of_notes(), _notes),
    Target("beside-notes", _bases_beside(), _notes),
    Target("questions", st.lists(odd_texts | changed_texts(QUESTIONS), min_size=1, max_size=3), _questions),
    Target("taken", st.lists(odd_texts, min_size=1, max_size=4), _taken),
    Target("labels", _kinds_of_labels(), _labels),
)
