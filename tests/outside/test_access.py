"""Reach, routes and floors."""

from __future__ import annotations

from tests.outside.world import (
    Notes,
    about,
    advice,
    all_notes,
    at,
    choices_like,
    figures,
    has,
    mentions,
    said,
    whole_text,
)

_INCH = "in|inch|inches"


def obsolete_reach(notes: Notes) -> list[str]:
    return mentions(notes, r"\b(?:54|9) in(?:ch(?:es)?)?\b")


def wrong_reach(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\breach\b|\boutside\b")
        and any(value not in {15, 48, 44, 46} for value in figures(one.text, _INCH))
    ]


def narrow_route(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\b(?:walkway|route|aisle)\b")
        and any(value < 36 and value != 15 for value in figures(one.text, _INCH))
    ]


def move_without_measuring(notes: Notes) -> list[str]:
    return [
        at(note, "measures neither route nor reach")
        for note in about(notes, r"\bmove a station\b|\breach\b[^.]*\bwalkway\b")
        if not {36, 15, 48} <= set(figures(whole_text(note, "steps", "choices"), _INCH))
    ]


def wrong_force(notes: Notes) -> list[str]:
    return [f"{one.place}: {one.text}" for one in said(notes) if any(value != 5 for value in figures(one.text, "lbf"))]


def wrong_conversion(notes: Notes) -> list[str]:
    found = []
    pairs = ((_INCH, "mm", 25.4), ("lb", "kg", 0.4536), ("lbf", "N", 4.448))
    for one in said(notes):
        for unit, other, factor in pairs:
            left, right = figures(one.text, unit), figures(one.text, other)
            if left and right and any(abs(a * factor - b) > 0.02 * b for a, b in zip(left, right, strict=False)):
                found.append(f"{one.place}: {one.text}")
        heat, cold = figures(one.text, "F"), figures(one.text, "C")
        if heat and cold and any(abs((f - 32) / 1.8 - c) > 0.6 for f, c in zip(heat, cold, strict=False)):
            found.append(f"{one.place}: {one.text}")
    return found


def lead_left_across_the_floor(notes: Notes) -> list[str]:
    crossing = r"\blead\b[^.]*\b(?:walkway|across the (?:floor|aisle)|lies in the way|lie in the way)\b"
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, crossing)
        if branch.note not in {"safety-trip", "visit-out-of-order"} and note.id != "safety-trip"
    ]


def taped_floor_lead(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\btape\b[^.]*\blead\b[^.]*\bfloor\b|\bhide\b[^.]*\blead\b|\bunder (?:the|a) (?:mat|rug|carpet)\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def blocked_exit(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:put|place|stand|roll|park|leave|set)\b[^.]*\b(?:in front of|across|against) (?:a|"
        r"the) (?:fire )?(?:exit|extinguisher|fire door)\b",
    )


def two_handed_lock(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:fit|set|tighten)\b[^.]*\b(?:both hands to (?:open|lift)|so tight that)\b")


def wet_floor(notes: Notes) -> list[str]:
    return [
        at(note, "restores power though nothing says that the floor is dry")
        for note in about(notes, r"\b(?:liquid|drink|spill)\b")
        if not has(whole_text(note, "steps", "result"), r"\bfloor\b[^.]*\bdry\b|\bdry\b[^.]*\bfloor\b")
    ]


def test_the_1991_reach_figures_are_gone() -> None:
    """2010 ADA Standards 308.2.1 and 308.3.1; 54 and 9 in are the 1991 figures (restated)."""
    assert obsolete_reach(all_notes()) == []


def test_reach_is_15_to_48_inches() -> None:
    """2010 ADA Standards 308.2.1 and 308.3.1 (restated); 44 and 46 in over obstructions (from memory)."""
    assert wrong_reach(all_notes()) == []


def test_a_route_is_36_inches_wide() -> None:
    """2010 ADA Standards 403.5.1 (from memory)."""
    assert narrow_route(all_notes()) == []


def test_a_moved_station_is_measured() -> None:
    """2010 ADA Standards 308 (restated) and 403.5.1 (from memory)."""
    assert move_without_measuring(all_notes()) == []


def test_public_parts_need_five_pounds_of_force_at_most() -> None:
    """2010 ADA Standards 309.4 (restated)."""
    assert wrong_force(all_notes()) == []


def test_figures_in_two_units_agree() -> None:
    """NIST SP 811, conversion factors (from memory)."""
    assert wrong_conversion(all_notes()) == []


def test_a_lead_across_a_walkway_is_a_safety_matter() -> None:
    """29 CFR 1910.22(a) (restated)."""
    assert lead_left_across_the_floor(all_notes()) == []


def test_no_lead_is_taped_to_or_hidden_on_the_floor() -> None:
    """29 CFR 1910.305(g)(1)(iv) (restated)."""
    assert taped_floor_lead(all_notes()) == []


def test_exits_stay_free() -> None:
    """29 CFR 1910.22(a) (restated); common practice."""
    assert blocked_exit(all_notes()) == []


def test_nothing_for_the_public_needs_two_hands() -> None:
    """2010 ADA Standards 309.4 (restated)."""
    assert two_handed_lock(all_notes()) == []


def test_a_wet_floor_is_dried() -> None:
    """29 CFR 1910.22(a)(2) (restated)."""
    assert wet_floor(all_notes()) == []
