"""Button cells, primary cells and rechargeable cells."""

from __future__ import annotations

from tests.outside.world import (
    Notes,
    advice,
    all_notes,
    at,
    choices_like,
    figures,
    has,
    mentions,
    said,
    steps_like,
    whole_text,
)

_SICK = r"\b(?:swollen|bulg\w+|dented|leaking|hissing|damaged|hot|smelling|puffed)\b"
_SWELLING = r"\b(?:swollen|bulges?|hiss\w*)\b|\bscreen is lifted\b|\bcell (?:may be|is) damaged\b"


def damaged_cell_used(notes: Notes) -> list[str]:
    return advice(
        notes,
        rf"\b(?:charge|press|squeeze|pierce|puncture|flatten|open|bend|heat|freeze|post|mail|"
        rf"finish the day with)\b[^.]*{_SICK}[^.]*"
        rf"\b(?:cells?|batter(?:y|ies)|packs?)\b|\bpress (?:it|the \w+) flat\b|\b(?:charge|post) it anyway\b",
    )


def swelling_not_sent_on(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, _SWELLING)
        if note.id != "safety-swollen-cell" and branch.note != "safety-swollen-cell"
    ]


def charged_unseen(notes: Notes) -> list[str]:
    found = []
    for note, step in steps_like(notes, r"^charge\b|\bon charge\b|\bseat the pad in\b"):
        looked = any(b.note == "safety-swollen-cell" for one in note.steps if one.n < step.n for b in one.branches)
        if not looked:
            found.append(at(note, step.text, step))
    return found


def bare_terminals(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(
            notes, r"^(?:put|drop|collect|pack|cover)\b[^.]*\bcells?\b[^.]*\b(?:bag|tub|box)\b"
        )
        if not has(whole_text(note, "steps"), r"\bboth (?:ends|faces)\b[^.]*\btape\b")
    ]


def swallowed_cell_waits(notes: Notes) -> list[str]:
    found = advice(notes, r"\bwait\b[^.]*\b(?:sign|symptom|pain)s?\b|\b(?:make|let)\b[^.]*\b(?:vomit|throw up)\b")
    for note, step in steps_like(notes, r"\bcell\b[^.]*\b(?:swallow\w*|stomach|mouth)\b"):
        if step.n != 1 or not has(step.text, r"\bcall the local emergency number\b"):
            found.append(at(note, step.text, step))
    return found


def wrong_burn_time(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\bswallow\w*|\btissue\b|\bgullet\b")
        and has(one.text, r"\bhours?\b")
        and not has(one.text, r"\b(?:two|2) hours\b")
    ]


def charging_temperature(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\bcharg\w+\b")
        and any(value not in {0, 45, 10, 30} for value in figures(one.text, "C|degrees Celsius"))
    ]


def charged_cold(notes: Notes) -> list[str]:
    return advice(notes, r"\bcharge (?:it|the|a)\b[^.]*\b(?:cold|frozen|freezing|straight from the van)\b")


def mixed_cells(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:mix|combine)\b[^.]*\b(?:cells|batteries)\b|\b(?:change|replace) (?:only )?(?:one|"
        r"the flat) (?:cell|battery)\b|\bone old and one new\b",
    )


def open_compartment_kept(notes: Notes) -> list[str]:
    found = advice(
        notes,
        r"\btape\b[^.]*\b(?:over|across)\b[^.]*\b(?:battery|cell|cover|gap|compartment)\b",
        "before",
        "steps",
        "choices",
        "fails",
    )
    for note, step, branch in choices_like(notes, r"\b(?:screw|cover)\b[^.]*\bmissing\b"):
        target = note.steps[branch.step - 1].text if branch.step else ""
        if has(branch.condition, r"\bno\b[^.]*\bmissing\b"):
            continue
        if has(note.title, r"\bcell\b") and not branch.note and not has(target, r"\bwithdraw\b"):
            found.append(at(note, branch.text, step))
    return found


def posted_unchecked(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"\b(?:carton|parcel)\b")
        if has(step.text, r"\b(?:fill|hand|pack|send|stick)\b")
        and not any(b.note == "safety-swollen-cell" for one in note.steps if one.n <= step.n for b in one.branches)
    ]


def paragraphs_of_the_transport_rule(notes: Notes) -> list[str]:
    damaged = r"\b(?:damaged|defective|recalled|swollen)\b"
    found = []
    for one in said(notes):
        if has(one.text, r"173\.185\(d\)") and has(one.text, damaged) and not has(one.text, r"173\.185\(f\)"):
            found.append(f"{one.place}: {one.text}")
        if has(one.text, r"173\.185\(f\)") and has(one.text, r"\bordinary disposal\b") and not has(one.text, damaged):
            found.append(f"{one.place}: {one.text}")
    return found


def cell_voltages(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\bAA\b") and any(value not in {1.5, 1.2} for value in figures(one.text, "V"))
    ]


def cells_in_the_bin(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:throw|drop|put)\b[^.]*\b(?:cells?|batter(?:y|ies))\b[^.]*\b(?:bin|rubbish|trash)\b")


def coin_cell_rule_dates(notes: Notes) -> list[str]:
    return mentions(notes, r"\b16 CFR 1263\b[^.]*\b(?!2023|2024)(?:19|20)\d\d\b")


def test_a_damaged_cell_is_never_charged_pressed_or_posted() -> None:
    """NFPA safety tips (restated); 49 CFR 173.185(f); pressing (from memory)."""
    assert damaged_cell_used(all_notes()) == []


def test_every_sign_of_swelling_leads_to_the_safety_note() -> None:
    """NFPA safety tips (restated)."""
    assert swelling_not_sent_on(all_notes()) == []


def test_a_device_is_looked_at_before_it_charges() -> None:
    """NFPA safety tips (restated)."""
    assert charged_unseen(all_notes()) == []


def test_ends_of_loose_cells_are_covered() -> None:
    """49 CFR 173.185 and disposal guidance (restated)."""
    assert bare_terminals(all_notes()) == []


def test_a_swallowed_cell_is_an_emergency_at_once() -> None:
    """16 CFR 1263 and poison-line guidance (from memory)."""
    assert swallowed_cell_waits(all_notes()) == []


def test_a_swallowed_cell_burns_within_about_two_hours() -> None:
    """Consumer Product Safety Commission, button cell guidance (restated)."""
    assert wrong_burn_time(all_notes()) == []


def test_charging_limits_are_0_and_45_c() -> None:
    """Trade reference on lithium-ion charging (restated)."""
    assert charging_temperature(all_notes()) == []


def test_a_cold_cell_warms_up_before_it_charges() -> None:
    """Trade reference on lithium-ion charging (restated)."""
    assert charged_cold(all_notes()) == []


def test_cells_are_changed_as_a_whole_set() -> None:
    """IEC 60086 user advice (restated)."""
    assert mixed_cells(all_notes()) == []


def test_an_open_cell_compartment_takes_the_gadget_out_of_service() -> None:
    """16 CFR 1263, by way of UL 4200A-2023."""
    assert open_compartment_kept(all_notes()) == []


def test_nothing_is_packed_for_the_post_before_its_cell_is_checked() -> None:
    """49 CFR 173.185(f)."""
    assert posted_unchecked(all_notes()) == []


def test_paragraph_f_is_for_damaged_cells_and_d_for_disposal() -> None:
    """49 CFR 173.185(d) and (f)."""
    assert paragraphs_of_the_transport_rule(all_notes()) == []


def test_cell_voltages_agree_with_their_kind() -> None:
    """IEC 60086: LR6 1.5 V, HR6 1.2 V (restated)."""
    assert cell_voltages(all_notes()) == []


def test_no_cell_goes_into_the_rubbish() -> None:
    """Environmental guidance on used cells (restated)."""
    assert cells_in_the_bin(all_notes()) == []


def test_dates_of_the_coin_cell_rule() -> None:
    """88 FR 65274 (21 September 2023)."""
    assert coin_cell_rule_dates(all_notes()) == []
