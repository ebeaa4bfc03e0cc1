"""Disc drives hold lasers."""

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
    has,
    mentions,
    said,
    steps_like,
    warned_before,
)


def opened_drive(notes: Notes) -> list[str]:
    part = r"(?:drive|console|shell|housing|(?:console|drive) cover|cover of the (?:drive|console))"
    return advice(
        notes,
        rf"\b(?:open|unscrew|pry open|take apart|remove) (?:up )?(?:the|its) (?:\w+ )?{part}\b(?! (?:menu|door|"
        rf"lid|from))",
    )


def defeated_switch(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:hold|tape|press|wedge|bypass|bridge|defeat|block|trick)\b[^.]*\b(?:lid|safety|interlock|"
        r"door) switch\b|"
        r"\b(?:tape|wedge|weigh|hold) (?:down )?(?:the|its) (?:lid|cover)\b",
    )


def look_into_the_drive(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:look|peer|stare|watch)\b[^.]*\b(?:into|at) the (?:open drive|drive|laser|lens of the drive|pickup)\b",
        "before",
        "steps",
        "choices",
        "fails",
        "why",
    )


def class_one_when_open(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\bclass (?:1|I|one)\b")
        and not has(one.text, r"\b(?:only (?:with|while)|shut|closed|intact)\b")
    ]


def dark_lens_called_dead(notes: Notes) -> list[str]:
    dead = r"\b(?:no (?:red )?(?:light|glow)|dark lens)\b[^.]*\b(?:is (?:dead|off|broken)|means? that)\b"
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, dead) and not has(one.text, r"\b(?:does not mean|tells you nothing|infrared)\b")
    ]


def wrong_wavelength(notes: Notes) -> list[str]:
    good = ((775, 795), (630, 655), (400, 410))
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if any(not any(low <= value <= high for low, high in good) for value in figures(one.text, "nm"))
    ]


def hands_in_a_live_drive(notes: Notes) -> list[str]:
    found = []
    for note, step in steps_like(
        notes, r"^(?:sweep|brush|blow|wipe|lift|look|press)\b[^.]*\b(?:well|inside of the lid|hub|disc compartment)\b"
    ):
        if has_power(note, step) or not has(" ".join(m.text for m in note.safety), r"\blaser\b|\bfly apart\b"):
            found.append(at(note, step.text, step))
    return found


def open_drive_worked_on(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, r"\bcover is off\b|\bswitch is (?:held|wedged|taped)\b")
        if branch.note != "safety-laser"
    ]


def open_drive_kept_in_service(notes: Notes) -> list[str]:
    return [
        at(note, "an opened drive is withdrawn, with a warning before the first step near it")
        for note in about(notes, r"\b(?:drive cover|lid switch)\b")
        if note.action not in {"withdraw", "escalate"}
        or not any(warned_before(note, step, r"\blaser\b") for step in note.steps[:2])
    ]


def refitted_cover(notes: Notes) -> list[str]:
    return advice(
        notes, r"\b(?:refit|screw on|put back|snap on)\b[^.]*\b(?:drive cover|cover of the drive|cover, the wedge)\b"
    )


def pointed_at_people(notes: Notes) -> list[str]:
    return mentions(notes, r"\blaser\b[^.]*\b(?:harmless|toy|cannot hurt)\b")


def test_no_drive_or_console_is_opened() -> None:
    """21 CFR 1040.10(f)(1) (restated)."""
    assert opened_drive(all_notes()) == []


def test_no_safety_switch_is_defeated() -> None:
    """21 CFR 1040.10(f)(2) and (g) (from memory)."""
    assert defeated_switch(all_notes()) == []


def test_nobody_looks_into_a_drive() -> None:
    """IEC 60825-1:2014 (restated)."""
    assert look_into_the_drive(all_notes()) == []


def test_class_1_holds_only_with_the_housing_shut() -> None:
    """IEC 60825-1:2014 (restated; embedded class from memory)."""
    assert class_one_when_open(all_notes()) == []


def test_a_dark_lens_is_not_called_dead() -> None:
    """ECMA-130 (1996): the CD wavelength is infrared (restated)."""
    assert dark_lens_called_dead(all_notes()) == []


def test_wavelengths_are_those_of_the_disc_kinds() -> None:
    """ECMA-130 (1996) and ECMA-267 (2001) (restated); 405 nm (from memory)."""
    assert wrong_wavelength(all_notes()) == []


def test_the_plug_is_out_before_hands_go_into_the_compartment() -> None:
    """21 CFR 1040.10(h)(2)(ii) (restated) and 29 CFR 1910.147(a)(2)(iii)(A) (restated)."""
    assert hands_in_a_live_drive(all_notes()) == []


def test_a_drive_found_open_goes_to_the_laser_note() -> None:
    """21 CFR 1040.10(f)(1) (restated)."""
    assert open_drive_worked_on(all_notes()) == []


def test_an_opened_drive_is_withdrawn() -> None:
    """21 CFR 1040.10(f)(1) (restated)."""
    assert open_drive_kept_in_service(all_notes()) == []


def test_the_cover_of_a_drive_is_not_refitted_by_a_rep() -> None:
    """21 CFR 1040.10(h)(2)(ii) (restated)."""
    assert refitted_cover(all_notes()) == []


def test_no_laser_is_called_harmless() -> None:
    """IEC 60825-1:2014 (restated)."""
    assert pointed_at_people(all_notes()) == []
