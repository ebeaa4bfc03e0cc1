"""Whether a station has power at a step, on every way that leads there."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.model import Note, Step
from tests.outside.world import has

OFF = (
    r"\bisolate\b|\bunplug\b|\bpull\b[^.]*\bplug\b|\bplug\b[^.]*\bpull it out\b|\bswitch (?:it )?off\b|"
    r"\bswitch the [\w ]+ off\b|\bconsole (?:switched )?off\b|\bhandheld switched off\b"
)
_ON = (
    r"^plug (?!every)|\brestore power\b|\bpower restored\b|\bplugged in\b|\bplug (?:it|the \w+) in\b|"
    r"\bswitch the [\w ]+ on\b|\bswitch on\b|^start\b"
)
_OWN_WORDS = r"\bisolated\b|\bunplugged\b|\bpower off\b|\bswitched off\b|\bconsole off\b|\bswitched-off\b"


def powered_steps(note: Note) -> Iterator[Step]:
    """Yield the steps that some way reaches with the power on, but those that say themselves that it is off."""
    reached, waiting = set(), [(1, has(" ".join(note.before_you_start), r"^unplug\b|\bisolate\b"))]
    while waiting:
        n, off = waiting.pop()
        if (n, off) in reached:
            continue
        reached.add((n, off))
        step = note.steps[n - 1]
        off = _off_after(step, off)
        waiting += [(b.step, off or b.note == "safety-isolate") for b in step.branches if b.step]
        if n < len(note.steps) and _falls_through(step):
            waiting.append((n + 1, off))
    for step in note.steps:
        if (step.n, False) in reached and not _off_after(step, off=False) and not has(step.text, _OWN_WORDS):
            yield step


def has_power(note: Note, step: Step) -> bool:
    """Tell whether some way reaches ``step`` with the power on."""
    return any(one.n == step.n for one in powered_steps(note))


def _off_after(step: Step, off: bool) -> bool:
    if has(step.text, OFF):
        return True
    return off and not has(step.text, _ON)


def _falls_through(step: Step) -> bool:
    """Tell whether the next step may follow without a choice: one choice alone leaves the rest to go on."""
    return not step.branches or (len(step.branches) == 1 and step.branches[0].step != step.n + 1)
