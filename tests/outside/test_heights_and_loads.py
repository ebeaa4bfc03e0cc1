"""Ladders, lifting and moving."""

from __future__ import annotations

from tests.outside.flow import has_power
from tests.outside.world import (
    Notes,
    about,
    advice,
    all_notes,
    at,
    choices_like,
    figures,
    first_step,
    has,
    said,
    steps_like,
    warned_before,
    whole_text,
)


def climbed_uninspected(notes: Notes) -> list[str]:
    look = r"\b(?:look over|inspect|check)\b[^.]*\bladder\b"
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"^climb\b")
        if (first_step(note, look) or step.n) >= step.n
    ]


def climbed_without_barrier(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"^climb\b")
        if (first_step(note, r"\bbarrier\b") or step.n) >= step.n
    ]


def climbed_carelessly(notes: Notes) -> list[str]:
    found = []
    for note, step in steps_like(notes, r"^climb\b"):
        if not has(step.text, r"\bfac(?:e|ing)\b") or not has(step.text, r"\bone hand\b|\bthree points\b"):
            found.append(at(note, step.text, step))
        if not warned_before(note, step, r"\bfall\b"):
            found.append(at(note, "no warning of a fall before the climb", step))
    return found


def ladder_not_fully_open(notes: Notes) -> list[str]:
    found = advice(notes, r"\blean (?:the|a) (?:step )?ladder\b")
    for note, step in steps_like(notes, r"^climb\b"):
        if not has(whole_text(note, "steps"), r"\bopen the step ladder fully\b"):
            found.append(at(note, step.text, step))
    return found


def stood_on_furniture(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:stand|climb|step|get)\b (?:up )?on(?:to)?\b[^.]*\b(?:chair|stool|crate|box|shelf|seat|cabinet)\b|"
        r"\buse (?:a|the) (?:chair|stool|crate)\b",
    )


def top_step_used(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:stand|climb|step|work)\b[^.]*\b(?:on|from|to) the (?:top step|top of the ladder|"
        r"cap)\b",
    )


def reached_from_the_floor(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, r"\babove shoulder height\b|\bout of reach from the floor\b")
        if branch.note not in {"safety-ladder", "visit-escalate"}
    ]


def display_lifted_alone(notes: Notes) -> list[str]:
    lifting = r"^(?:exchange|lower|lift|carry|take down|hang)\b[^.]*\bdisplay\b(?!'s| lead| remote)"
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, lifting)
        if not has(step.text + " " + " ".join(note.before_you_start), r"\btwo people\b|\bsecond person\b")
        and not warned_before(note, step, r"\btwo people\b|\bsecond person\b")
    ]


def station_moved_alone(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"^(?:roll|push|move|shift) the (?:station|cabinet)\b")
        if not has(step.text, r"\btwo people\b|\bone person at each end\b|^push\b[^.]*\blightly\b")
    ]


def wrong_lifting_limit(notes: Notes) -> list[str]:
    found = advice(
        notes,
        r"\b(?:kg|lb)\b[^.]*\b(?:always fine|always safe|safe for anyone|may be lifted alone)\b|\b(?:anybody|"
        r"anyone) (?:can|may) lift\b",
    )
    for one in said(notes):
        if has(one.text, r"\blift\w*\b") and (
            any(v not in {51, 50} for v in figures(one.text, "lb")) or any(v != 23 for v in figures(one.text, "kg"))
        ):
            found.append(f"{one.place}: {one.text}")
    return found


def move_under_power(notes: Notes) -> list[str]:
    found = []
    for note in about(notes, r"\bmove a station\b|\bmoving a station\b"):
        roll = first_step(note, r"^(?:roll|push|carry)\b")
        if (
            roll is None
            or has_power(note, note.steps[roll - 1])
            or not has(whole_text(note, "steps", "choices"), r"\bexit\b")
        ):
            found.append(at(note, "isolates first, and keeps exits free"))
    return found


def test_the_ladder_is_inspected_before_the_climb() -> None:
    """29 CFR 1910.23(b)(9) (restated)."""
    assert climbed_uninspected(all_notes()) == []


def test_a_barrier_stands_before_the_climb() -> None:
    """29 CFR 1910.23(c)(7) (from memory)."""
    assert climbed_without_barrier(all_notes()) == []


def test_the_climb_is_face_on_with_a_hand_on_the_ladder() -> None:
    """29 CFR 1910.23(b)(11) and (12) (restated)."""
    assert climbed_carelessly(all_notes()) == []


def test_a_step_ladder_is_open_and_not_leaned() -> None:
    """OSHA QuickCard on portable ladders (restated); 29 CFR 1910.23(c)(3) (from memory)."""
    assert ladder_not_fully_open(all_notes()) == []


def test_nobody_stands_on_furniture() -> None:
    """29 CFR 1910.23 (restated); common practice."""
    assert stood_on_furniture(all_notes()) == []


def test_the_top_step_is_no_step() -> None:
    """29 CFR 1910.23(c)(8) (restated)."""
    assert top_step_used(all_notes()) == []


def test_high_work_goes_to_the_ladder_note() -> None:
    """29 CFR 1910.23 (restated)."""
    assert reached_from_the_floor(all_notes()) == []


def test_a_display_is_lifted_by_two() -> None:
    """NIOSH 94-110 (revised 2021) (restated); 29 CFR 1910.23(b)(13) (from memory)."""
    assert display_lifted_alone(all_notes()) == []


def test_a_station_is_moved_by_two() -> None:
    """NIOSH 94-110 (revised 2021) (restated)."""
    assert station_moved_alone(all_notes()) == []


def test_the_lifting_guide_starts_from_51_lb() -> None:
    """NIOSH 94-110 (revised 2021): 51 lb or 23 kg at best."""
    assert wrong_lifting_limit(all_notes()) == []


def test_a_station_moves_unplugged_and_past_free_exits() -> None:
    """29 CFR 1910.22(a) (restated) and common practice."""
    assert move_under_power(all_notes()) == []
