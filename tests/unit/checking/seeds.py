"""Corpora that are clean but for the example of one rule."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from assistant.checking.book import read_book
from assistant.checking.rule import Book, Rule
from assistant.checking.trade_words import WORDS
from assistant.notes.reader import read_note
from tests.making import TRADE_TEXT

TODAY = date(2026, 11, 28)
SHIPPED = Path(__file__).parents[3] / "corpus"
NAME = "pad-seed"
"""The note with the example; it comes after its neighbour, as a rule on pairs speaks of the second."""
EARLIER = "earlier.txt"
LAMP = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><circle cx="4" cy="4" r="3"/></svg>'
WON = "won by another note"
TO_FILL_IN = frozenset({"C613"})
"""Rules that tell what is left to the company: the shipped notes have no numbers of theirs."""

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
BARE_WIRE = """\
bare-wire:
  signal: WARNING
  hazard: A cut lead has bare wires.
  consequence: They can burn a hand.
  avoidance: Unplug it first.
  source: common practice
"""
VAPOUR = """\
vapour:
  signal: WARNING
  hazard: Alcohol gives off vapour.
  consequence: It can catch fire and burn skin.
  avoidance: Keep flames away.
  source: common practice
  before: [with alcohol]
"""
HAZARDS = {"C303": ("vapour", VAPOUR), "C306": ("bare-wire", BARE_WIRE), "C307": ("bare-wire", "")}
"""The hazard of the messages of these rules' examples, and what hazards.yaml holds beside the example."""
FORBIDDEN = """\
verbs:
  undo: [unscrew, take off]
things:
  device: [adapter, pad]
  shell: [back, cover]
harmless: [dust cover]
others: [workshop]
acts:
  cover-off:
    verbs: [undo]
    things: [shell]
    of: [device]
    why: a device is opened
    source: common practice
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
    elif place == "hazards":
        steps = "> **WARNING** A cut lead has bare wires. They can burn a hand. Unplug it first.\n\n2. Look at it."
    if steps.startswith(">"):
        front["safety_review"] = "unsigned"
        front |= {"hazards": f"[{HAZARDS[rule.code][0]}]"} if rule and rule.code in HAZARDS else {}
    if place in sections and place != "steps":
        sections[place] = (sections[place][0], example)
    mark = example.removesuffix("---") if place == "start" else ""
    lines = [f"{mark}---", f"id: {name}", *(f"{key}: {value}" for key, value in front.items()), "---", ""]
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
    (root / "trade.yaml").write_text(TRADE_TEXT, "utf-8")
    (root / "spelling.txt").write_text("# right\nvapour\n", "utf-8")
    (root / "forbidden.yaml").write_text(FORBIDDEN, "utf-8")
    (root / WORDS).write_text((SHIPPED / WORDS).read_text("utf-8"), "utf-8")
    return root


def add_example(root: Path, rule: Rule, example: str, name: str = NAME) -> str:
    """Write ``example`` into the folder and return the path of the file that holds it, below the folder."""
    area, name = ("visit", "visit-kit") if rule.code == "C612" else ("pad", name)
    path, questions, phrases = (f"{area}/{name}.{ending}" for ending in ("md", "questions.txt", "phrases.yaml"))
    (root / area).mkdir(exist_ok=True)
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
    if rule.code in ("C113", "C114") and example == rule.bad:
        begun = NEIGHBOUR.replace("id: pad-other", "id: pad-begun").replace(
            "title: Spare goes back", "title: Pad begun"
        )
        (root / "pad/pad-begun.md").write_text(begun.replace("---\n\n", "status: draft\n---\n\n", 1), "utf-8")
    if rule.code in ("C116", "C117"):
        picture = "pad/pad-stray.svg" if (rule.code, example) == ("C117", rule.bad) else "pad/pad-lamp.svg"
        (root / picture).write_text(LAMP, "utf-8")
        path = path if rule.code == "C116" or example == rule.good else picture
    if rule.code == "C115":
        (root / EARLIER).write_text(
            text.replace("A lead breaks", "A wire breaks").replace("revision: 4", "revision: 3"), "utf-8"
        )
    if rule.code == "C111" and example == rule.bad:
        (root / "pad/pad-zone.md").write_text(_sent_back(name), "utf-8")
    if rule.place == "questions":
        (root / questions).write_text(f"# asked\nthe first of {name}\n{example}\n", "utf-8")
        return questions
    if rule.code in HAZARDS:
        with (root / "hazards.yaml").open("a", encoding="utf-8") as file:
            file.write(HAZARDS[rule.code][1])
    if rule.place == "alarms":
        with (root / "alarm.yaml").open("a", encoding="utf-8") as file:
            file.write(example.replace(NAME, name) + "\n")
        return "alarm.yaml"
    if rule.place in ("vocabulary", "trade", "waivers", "hazards", "uncovered"):
        beside = f"{rule.place}.txt" if rule.place == "uncovered" else f"{rule.place}.yaml"
        with (root / beside).open("a", encoding="utf-8") as file:
            file.write(f"# {rule.code}\n{example}\n")
        return beside
    return path


def _sent_back(name: str) -> str:
    """Return a note that sends a rep on to the one with the example."""
    choice = f"   - If the form is full: go to [{FRONT['title']}](../pad/{name}.md).\n"
    text = NEIGHBOUR.replace("id: pad-other", "id: pad-zone").replace(
        "title: Spare goes back to the workshop", "title: Pad does odd things"
    )
    return text.replace("the visit report.\n", f"the visit report.\n{choice}")


def first_note(question: str) -> str | None:
    """Stand for a pack: every question finds its own note, but for the one of the example."""
    return "pad-other" if question in (WON, "is the other pad dead") else NAME


def book_of(root: Path, *, ranked: bool = False) -> Book:
    """Read the folder as of a fixed day, with the notes as they were before where a rule's example has some."""
    book = read_book(root, TODAY, first_note if ranked else None)
    if (root / EARLIER).exists():
        text = (root / EARLIER).read_text("utf-8")
        name = next(line.removeprefix("id: ") for line in text.split("\n") if line.startswith("id: "))
        book = book._replace(earlier={name: read_note(text, f"pad/{name}.md")})
    return book
