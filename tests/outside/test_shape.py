"""Links, branches, tools, parts and minutes."""

from __future__ import annotations

import datetime
import re

from assistant.model import Note
from tests.outside.world import Notes, all_notes, at, has, waits, whole_text

_THERE = (
    "wired pad, wireless pad, "
    "asset label, outlet strip, headset lead, video lead, power lead, audio lead, network lead, pad lead, light strip, "
    "fixing screws, face cushion, head strap, face cover, display lead, demo disc, plain water, distilled water, "
    "soapy water, kit bag, disc case, update stick, storage box, cleaning wipe, clear bag"
)
_ALREADY_THERE = frozenset(_THERE.split(", "))


def broken_links(notes: Notes) -> list[str]:
    ids = {note.id for note in notes}
    return [
        at(note, f"leads to {target}")
        for note in notes
        for target in (*note.see_also, *note.links)
        if target not in ids or target == note.id
    ]


def _next_steps(note: Note, n: int) -> set[int]:
    step = note.steps[n - 1]
    chosen = {branch.step for branch in step.branches if branch.step}
    closed = any(has(branch.condition, r"^if not\b") for branch in step.branches)
    if not closed and n < len(note.steps):
        chosen.add(n + 1)
    return chosen


def _ends_here(note: Note, n: int) -> bool:
    step = note.steps[n - 1]
    return n == len(note.steps) or any(branch.step is None for branch in step.branches)


def unreachable_steps(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        seen, waiting = {1}, [1]
        while waiting:
            for n in _next_steps(note, waiting.pop()) - seen:
                seen.add(n)
                waiting.append(n)
        found += [at(note, f"step {s.n} is never reached", s) for s in note.steps if s.n not in seen]
    return found


def endless_loops(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        good = {step.n for step in note.steps if _ends_here(note, step.n)}
        for _ in note.steps:
            good |= {step.n for step in note.steps if _next_steps(note, step.n) & good}
        found += [at(note, f"step {s.n} leads nowhere", s) for s in note.steps if s.n not in good]
    return found


def choice_to_itself(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note in notes
        for step in note.steps
        for branch in step.branches
        if branch.step == step.n
    ]


def otherwise_in_the_middle(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note in notes
        for step in note.steps
        for branch in step.branches[:-1]
        if has(branch.condition, r"^if not$")
    ]


def one_sided_choices(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note in notes
        for step in note.steps
        if len(step.branches) == 1
        for branch in step.branches
        if has(branch.condition, r"^if not$")
    ]


def unlisted_tools(notes: Notes) -> list[str]:
    known = {item for note in all_notes() for item in (*note.tools, *note.parts)} - _ALREADY_THERE
    known = {item for item in known if " " in item or item in {"torch", "screwdriver", "spanner", "barrier"}}
    found = []
    for note in notes:
        listed = " ".join((*note.tools, *note.parts))
        for step in note.steps:
            for item in known:
                own = re.sub(r"^(?:soft|dry|known-good|clear|step) ", "", item)
                if has(step.text, rf"\b{re.escape(item)}\b") and not has(listed, rf"\b{re.escape(own)}"):
                    found.append(at(note, f"names {item}, which is not listed", step))
    return found


def idle_tools(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        text = whole_text(note, "before", "steps")
        for item in (*note.tools, *note.parts):
            stem = re.escape(item.split()[-1].removesuffix("s").removesuffix("e")).replace("foot", "f(?:oo|ee)t")
            if not has(text, rf"\b{stem}"):
                found.append(at(note, f"lists {item}, which no step names"))
    return found


def tool_and_part(notes: Notes) -> list[str]:
    return [at(note, f"{item} is tool and part") for note in notes for item in set(note.tools) & set(note.parts)]


def too_few_minutes(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        waiting = sum(sum(waits(text)) for text in (*(s.text for s in note.steps), *(m.text for m in note.safety)))
        needed = waiting + 0.5 * len(note.steps)
        if note.minutes < needed:
            found.append(at(note, f"{note.minutes} minutes, {needed:g} needed by its steps and waits"))
    return found


def too_few_minutes_to_prove(notes: Notes) -> list[str]:
    return [
        at(note, f"{note.minutes} minutes, and the result alone takes {max(waits(note.result))}")
        for note in notes
        if waits(note.result) and note.minutes <= max(waits(note.result))
    ]


def minutes_out_of_range(notes: Notes) -> list[str]:
    return [
        at(note, f"{note.minutes} minutes")
        for note in notes
        if not 1 <= note.minutes <= 90 or note.minutes > 8 * len(note.steps)
    ]


def reviewed_in_the_future(notes: Notes) -> list[str]:
    last = datetime.date(2026, 12, 31)
    return [at(note, note.reviewed) for note in notes if datetime.date.fromisoformat(note.reviewed) > last]


def test_links_lead_to_other_notes() -> None:
    """Common practice."""
    assert broken_links(all_notes()) == []


def test_every_step_can_be_reached() -> None:
    """Common practice."""
    assert unreachable_steps(all_notes()) == []


def test_every_branch_leads_somewhere() -> None:
    """IEC/IEEE 82079-1:2019: fault location ends in a remedy (restated)."""
    assert endless_loops(all_notes()) == []


def test_no_choice_leads_to_itself() -> None:
    """Common practice."""
    assert choice_to_itself(all_notes()) == []


def test_otherwise_is_the_last_choice() -> None:
    """DOE-STD-1029-92 (1998), alternatives in one step (restated)."""
    assert otherwise_in_the_middle(all_notes()) == []


def test_otherwise_follows_another_choice() -> None:
    """DOE-STD-1029-92 (1998), alternatives in one step (restated)."""
    assert one_sided_choices(all_notes()) == []


def test_tools_in_the_steps_are_listed() -> None:
    """schema.org HowTo: tools and supplies (restated)."""
    assert unlisted_tools(all_notes()) == []


def test_listed_tools_and_parts_are_used() -> None:
    """schema.org HowTo: tools and supplies (restated)."""
    assert idle_tools(all_notes()) == []


def test_a_thing_is_a_tool_or_a_part() -> None:
    """schema.org HowTo: a tool is not consumed, a supply is (restated)."""
    assert tool_and_part(all_notes()) == []


def test_minutes_cover_steps_and_waits() -> None:
    """Common practice."""
    assert too_few_minutes(all_notes()) == []


def test_minutes_cover_the_proof() -> None:
    """Army TM 9-2350-261-20-1: verify no fault after the work (restated)."""
    assert too_few_minutes_to_prove(all_notes()) == []


def test_minutes_are_plausible() -> None:
    """Common practice."""
    assert minutes_out_of_range(all_notes()) == []


def test_no_review_lies_in_the_future() -> None:
    """Common practice."""
    assert reviewed_in_the_future(all_notes()) == []
