"""How far two labellers agree who did not see one another's labels."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from assistant.errors import Fault, NotesError
from assistant.evaluation.labels import read_questions
from assistant.evaluation.statistics import cohen_kappa, kappa_interval

__all__ = ["agreement", "agreement_text"]

_NONE = "none"


def agreement(questions: Path, second: Path) -> dict[str, Any]:
    """Return kappa on the best first note, with its interval and the questions that were labelled differently.

    Parameters
    ----------
    second
        JSON lines {"question", "notes"} of the second labeller, best note first, empty for none.
    """
    first = {q.question: q for q in read_questions(questions)}
    ours: list[str] = []
    theirs: list[str] = []
    apart = []
    for line, content in enumerate(second.read_text("utf-8").splitlines(), start=1):
        try:
            record = json.loads(content)
            question, notes = record["question"], record["notes"]
        except (ValueError, KeyError, TypeError) as error:
            raise NotesError([Fault(str(second), line, "needs 'question' and 'notes'")]) from error
        label = first.get(question)
        if label is None:
            continue
        best = notes[0] if notes else _NONE
        right = label.right_first or (_NONE,)
        ours.append(best if best in right else right[0])
        theirs.append(best)
        if ours[-1] != best:
            apart.append({"question": question, "first": list(right), "second": notes})
    if not ours:
        raise NotesError([Fault(str(second), 1, "no question of the first labeller")])
    low, high = kappa_interval(ours, theirs)
    return {
        "questions": len(ours),
        "agreed": sum(a == b for a, b in zip(ours, theirs, strict=True)),
        "kappa": round(cohen_kappa(ours, theirs), 4),
        "interval": [round(low, 4), round(high, 4)],
        "apart": apart,
    }


def agreement_text(found: dict[str, Any]) -> str:
    """Return the agreement as plain lines."""
    low, high = found["interval"]
    kappa = f"Cohen's kappa {found['kappa']:.3f}, 95 % bootstrap interval [{low:.3f}, {high:.3f}]"
    lines = [f"{found['agreed']} of {found['questions']} questions labelled alike; {kappa}"]
    lines += [
        f"  {', '.join(a['first'])} | {', '.join(a['second']) or _NONE} | {a['question']}" for a in found["apart"]
    ]
    return "\n".join(lines)
