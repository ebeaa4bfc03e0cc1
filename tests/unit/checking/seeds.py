"""Corpora that are clean but for the example of one rule."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from assistant.checking.book import read_book
from assistant.checking.rule import Book, Rule

TODAY = date(2026, 11, 27)
NAME = "pad-seed"
"""The note with the example; it comes after its neighbour, as a rule on pairs speaks of the second."""
WON = "won by another note"

FRONT = {
    "title": "Pad lamp stays dark",
    "station": "[pad]",
    "action": "replace",
    "minutes": "12",
    "tools": "[cabinet key]",
    "parts": "[]",
    "see_also": "[pad-other]",
    "revision": "1",
    "reviewed": "2026-11-02",
    "sources": "[common practice]",
}
SECTIONS = {
    "condition": ("Condition", "The lamp of the pad stays dark. The pad does nothing."),
    "steps": ("Steps", ""),
    "result": ("Result", "The lamp is lit."),
    "fails": ("If it still fails", "Call the support desk."),
    "why": ("Why", "A lead breaks inside. Nobody sees it."),
}
NEIGHBOUR = """\
---
id: pad-other
title: Spare goes back to the workshop
station: [pad]
action: inform
minutes: 8
tools: []
parts: []
see_also: []
revision: 1
reviewed: 2026-11-02
sources: [common practice]
---

## Condition

A worn spare came out of a console this morning. It has to travel.

## Steps

1. Wrap the spare in soft foam.
2. Carry the old spare pad out to the van with the help of the duty manager.
3. Write its number in the visit report.

## Result

The parcel is on its way.

## If it still fails

Ask the carrier for another van.
"""
RING = NEIGHBOUR.replace("id: pad-other", "id: pad-zero")
ALARM = """\
pad-other:
  words: [smoke]
  not: [smoke test]
"""
_ENDING = ("Play one demo loop.", "Close the door of the cabinet.")


def note_text(name: str, rule: Rule | None = None, example: str = "") -> str:
    """Return a note that holds ``example`` where ``rule`` says that its examples stand."""
    place = rule.place if rule else ""
    front = dict(FRONT)
    sections = dict(SECTIONS)
    steps = ""
    if place == "note":
        front["title"] = example
        front |= {"station": "[pad]", "action": "inform"} if example.startswith("Other") else {}
    elif place == "front":
        front |= dict(line.split(": ", 1) for line in example.split("\n"))
    elif place == "line":
        sections["why"] = ("Why", example)
    elif place == "steps":
        steps = example
    elif place in sections:
        sections[place] = (sections[place][0], example)
    lines = ["---", f"id: {name}", *(f"{key}: {value}" for key, value in front.items()), "---", ""]
    for key, (heading, text) in sections.items():
        lines += [f"## {heading}", "", _all_steps(steps) if key == "steps" else text, ""]
    return "\n".join(lines)


def _all_steps(example: str) -> str:
    last = max((int(n) for n in re.findall(r"^(\d+)\. ", example, re.MULTILINE)), default=1)
    ending = [f"{n}. {text}" for n, text in enumerate(_ENDING, start=last + 1)]
    gap = ["", example] if example.startswith(">") else [example]
    return "\n".join(
        ["1. Open the cabinet with the cabinet key.", *gap, *ending]
        if example
        else ["1. Open the cabinet with the cabinet key.", *ending]
    )


def phrases_text(name: str, title: str, *lines: str) -> str:
    """Return phrases with plain lines enough, which hold the words of ``title`` and no line of another note."""
    return "\n".join(["plain:", *(f"- {title} {name} {n}" for n in range(15)), *lines, ""])


def write_frame(root: Path) -> Path:
    """Write what stands beside the note with the example, and return the folder."""
    (root / "pad").mkdir(parents=True)
    (root / "pad/pad-other.md").write_text(NEIGHBOUR, "utf-8")
    (root / "pad/pad-other.questions.txt").write_text("is the other pad dead\n", "utf-8")
    (root / "pad/pad-other.phrases.yaml").write_text(
        phrases_text("pad-other", "spare goes back to the workshop"), "utf-8"
    )
    (root / "alarm.yaml").write_text(ALARM, "utf-8")
    return root


def add_example(root: Path, rule: Rule, example: str, name: str = NAME) -> str:
    """Write ``example`` into the folder and return the path of the file that holds it, below the folder."""
    path, questions, phrases = f"pad/{name}.md", f"pad/{name}.questions.txt", f"pad/{name}.phrases.yaml"
    text = note_text(name, rule, example)
    if rule.code == "C706" and example == rule.bad:
        text = NEIGHBOUR.replace("id: pad-other", f"id: {name}")
    (root / path).write_bytes(text.encode())
    plain = (example,) if rule.place == "plain" else ()
    whole = f"# heard\n{example}\n" if rule.place == "phrases" else phrases_text(name, FRONT["title"], *plain)
    (root / phrases).write_text(whole, "utf-8")
    if rule.place in ("phrases", "plain"):
        return phrases
    if rule.code == "C104" and example == rule.bad:
        (root / "pad/pad-zero.md").write_text(
            RING.replace("Ask the carrier for another van.", f"See [{name}](../pad/{name}.md)."), "utf-8"
        )
    if rule.place == "questions":
        (root / questions).write_text(f"# asked\nthe first of {name}\n{example}\n", "utf-8")
        return questions
    if rule.place in ("vocabulary", "waivers", "uncovered"):
        beside = f"{rule.place}.txt" if rule.place == "uncovered" else f"{rule.place}.yaml"
        with (root / beside).open("a", encoding="utf-8") as file:
            file.write(f"# {rule.code}\n{example}\n")
        return beside
    return path


def first_note(question: str) -> str | None:
    """Stand for a pack: every question finds its own note, but for the one of the example."""
    return "pad-other" if question in (WON, "is the other pad dead") else NAME


def book_of(root: Path, *, ranked: bool = False) -> Book:
    """Read the folder as of a fixed day."""
    return read_book(root, TODAY, first_note if ranked else None)
