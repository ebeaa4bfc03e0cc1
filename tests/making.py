"""What tests are made from: a valid note, drawn notes, settings with which the six short notes decide plainly."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TypeVar

from hypothesis import strategies as st

from assistant.analysis.analyzer import AnalysisSettings
from assistant.compiling.settings import CompileSettings, LinearSettings, StepSettings
from assistant.model import SIGNALS, Answer, Branch, Example, Note, Review, SafetyMessage, ShownStep, Step
from assistant.notes.trade import read_trade
from assistant.ranking.bm25f import Bm25fSettings

T = TypeVar("T")
NOTE_PATH = "pad/pad-demo.md"
NOTE_TEXT = """\
---
id: pad-demo
title: Pad lamp stays dark
station: [pad]
action: replace
minutes: 6
tools: [cabinet key]
parts: [wired pad]
see_also: [pad-other]
revision: 3
reviewed: 2026-11-02
sources: [common practice]
---

## Condition

The lamp of the pad stays dark.
The pad does nothing.

## Cause

- A loose lead.
- A dead pad.

## Before you start

- Have a wired pad in the bag.

## Steps

1. Look at the lamp.
   - If the lamp is lit: the work is done.
   - If the lamp blinks: go to step 3.

> **WARNING** A cut lead has bare wires. They can burn a hand. Unplug it first.

> **NOTICE** Grit is sharp. It scratches the shell. Shake the cloth out.

2. Unplug the pad.
3. Fit the new wired pad.
   - If not: go to [Another pad](../pad/pad-other.md).

## Result

The lamp is lit.

## If it still fails

Look at [Another pad](../pad/pad-other.md).

## Why

A lead breaks inside.
"""
OTHER_TEXT = (
    NOTE_TEXT.replace("pad-other", "pad-demo", 1)
    .replace("id: pad-demo", "id: pad-other")
    .replace("title: Pad lamp stays dark", "title: Another pad")
    .replace("see_also: [pad-demo]", "see_also: []")
)
TRADE_TEXT = """\
stations: {all: any station, disc: console, pad: pad, hand: handheld, screen: display, vr: headset}
areas:
  cab: cabinet
  card: card reader
  console: console
  disc: disc or drive
  hand: handheld
  net: network
  pad: pad
  parts: spare parts
  power: power
  safety: safety
  screen: picture
  sound: sound
  visit: visit
  vr: headset
actions:
  clean: Clean
  adjust: Adjust
  replace: Replace
  escalate: Hand over
  withdraw: Take out of service
  inform: Read first
tools:
  cabinet key: {from: kit}
  hex key: {from: kit, other: [allen key]}
  trolley: {from: store}
  torch: {from: kit, other: [flashlight]}
parts:
  adapter: {from: kit, count: 2, other: [charger]}
  cable tie: {from: kit, count: 10}
  pad: {from: ordered, other: [gamepad, joypad]}
  rubber foot: {from: kit, count: 4, plural: rubber feet}
  wired pad: {from: kit, count: 2}
words:
  pad: [gamepad, joypad, controller]
  display: [TV, telly, television, monitor]
  lead: [cable]
publishers:
  CFR: US
  HSG107: UK
  IEC: international
  NIST SP: international
countries:
  US: [USA, United States]
contacts:
  support desk: {name: support desk, number: 0123 456 789}
"""
TRADE = read_trade(Path(__file__).parent / "data" / "mini")
"""The trade of the six short notes; stations, areas and actions are those of `TRADE_TEXT`."""
ACTIONS = tuple(TRADE.actions)


def write_corpus(root: Path) -> Path:
    """Write a corpus of two valid notes and return its folder."""
    (root / "pad").mkdir(parents=True)
    (root / NOTE_PATH).write_text(NOTE_TEXT, "utf-8")
    (root / "pad/pad-other.md").write_text(OTHER_TEXT, "utf-8")
    (root / "trade.yaml").write_text(TRADE_TEXT, "utf-8")
    (root / "pad/pad-demo.questions.txt").write_text("# asked\nlamp is dark\npad is dead\n", "utf-8")
    (root / "uncovered.txt").write_text("# asked\nwhen do i get paid\n", "utf-8")
    (root / "followups.txt").write_text("# about: phrase\ntime: how long\nnew: another thing\n", "utf-8")
    (root / "vocabulary.yaml").write_text('"pad": {"Gamepad": 1.0, "joypad": 0.5}\n"lead": {"cord": 0.8}\n', "utf-8")
    return root


class Told(list[str]):
    """Keeps what it is told is being done, once each."""

    def __call__(self, message: str, done: int = 0, total: int = 0, /) -> None:
        assert 0 <= done <= total or total == 0
        if message not in self:
            self.append(message)


def changed(value: T, **changes: object) -> T:
    """Return a copy of a frozen value with some fields changed."""
    if isinstance(value, tuple):
        return value._replace(**changes)  # type: ignore[attr-defined, no-any-return]
    return replace(value, **changes)  # type: ignore[type-var]


def line_of(text: str, marker: str) -> int:
    """Return the number of the first line that holds ``marker``."""
    return next(number for number, line in enumerate(text.split("\n"), start=1) if marker in line)


def plain_settings() -> CompileSettings:
    """Return settings that do not move with tuning.

    A first note three tenths above the second is answered, one nearer to no note than to any is not.
    """
    table = [[-(10**9), 100], [0, 500], [300_000, 900]]
    return CompileSettings(
        analysis=AnalysisSettings(),
        bm25f=Bm25fSettings(
            1.5,
            {"title": 2, "examples": 1, "condition": 1, "steps": 0.5, "rest": 0.3},
            {"title": 0.75, "examples": 0.5, "condition": 0.75, "steps": 0.75, "rest": 0.75},
        ),
        chunk_points=100,
        linear=LinearSettings(
            inverse_penalty=1.0, tolerance=0.0001, least_weight=10, word_texts=2, gram_texts=3, pairs=60
        ),
        steps=StepSettings(alpha=0.001, prior=1.0),
        decision={
            "bm25f_share": 500,
            "bars": {"lead": 300, "over_none": 0, "points": -1000},
            "refuse_below": 0,
            "choose_within": 300,
            "harm": {"bar": 0, "near": -600, "offered": {"points": -600, "over_none": 0}, "right": 900},
            "right": {"weights": [1000, 0, 0], "table": table},
            "covered": {"weights": [0, 1000, 0], "table": table},
            "turn": {"lead_share": 300, "leave_at": 0, "own_at": -900, "asked_at": 500, "sure_at": 300},
            "labelled": 0,
        },
    )


def answer_of(note: Note | None, **changes: object) -> Answer:
    """Return an answer that shows ``note``."""
    steps = tuple(ShownStep(s.n, s.text, False, tuple(b.text for b in s.branches)) for s in note.steps) if note else ()
    answer = Answer(
        question="q",
        read_as="q",
        decision="answer" if note else "none",
        about="procedure",
        text="text",
        note=note,
        safety=note.safety if note else (),
        steps=steps,
        options=(),
        confidence=0.5,
        why=(),
        pack="digest",
        action=TRADE.actions[note.action] if note else "",
    )
    return changed(answer, **changes)


_texts = st.text(min_size=1, max_size=20)
_tuples = partial(st.lists, max_size=3)


@st.composite
def notes(draw: st.DrawFn) -> Note:
    """Draw a note with any texts, one to six steps, and messages before any of them."""
    count = draw(st.integers(1, 6))
    branches = st.builds(
        Branch, _texts, _texts, st.none() | st.integers(1, count), st.none() | st.sampled_from(["pad-a", "pad-b"])
    )
    steps = tuple(
        Step(n, draw(_texts), tuple(draw(_tuples(branches))), draw(st.integers(0, 99))) for n in range(1, count + 1)
    )
    messages = st.builds(SafetyMessage, st.sampled_from(SIGNALS), _texts, st.integers(1, count), st.integers(0, 99))
    return Note(
        id="pad-demo",
        title=draw(_texts),
        station=("pad",),
        action=draw(st.sampled_from(ACTIONS)),
        minutes=draw(st.integers(1, 99)),
        tools=tuple(draw(_tuples(_texts))),
        parts=tuple(draw(_tuples(_texts))),
        see_also=tuple(draw(_tuples(_texts))),
        revision=draw(st.integers(1, 99)),
        reviewed="2026-11-02",
        sources=tuple(draw(st.lists(_texts, min_size=1, max_size=3))),
        condition=draw(_texts),
        steps=steps,
        safety=tuple(draw(st.lists(messages, max_size=5))),
        result=draw(_texts),
        if_it_still_fails=draw(_texts),
        cause=tuple(draw(_tuples(_texts))),
        before_you_start=tuple(draw(_tuples(_texts))),
        why=draw(st.text(max_size=20)),
        links=tuple(draw(_tuples(_texts))),
        on_failure=tuple(draw(_tuples(_texts))),
        hazards=tuple(draw(_tuples(_texts))),
        safety_review=draw(st.none() | st.builds(Review, st.text(max_size=20), _texts, st.integers(1, 99), _texts)),
        examples=tuple(draw(_tuples(st.builds(Example, _texts, _tuples(st.integers(1, count)).map(tuple))))),
        path=draw(_texts),
    )
