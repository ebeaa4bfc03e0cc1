"""Care of optical discs."""

from __future__ import annotations

from assistant.model import Note, Step
from tests.outside.world import (
    Notes,
    about,
    advice,
    advises,
    all_notes,
    at,
    figures,
    first_step,
    has,
    mentions,
    said,
    steps_like,
    whole_text,
)

_OTHER_PARTS = r"\b(?:lens|well|rim of|lid|hub|latch|compartment|hands?|shelf)\b"


def _wipes_a_disc(note: Note, step: Step) -> bool:
    if not has(step.text, r"\b(?:wipe|rub|stroke|dry)\b(?! lint| soft| part)") or has(step.text, _OTHER_PARTS):
        return False
    return has(step.text, r"\bdiscs?\b") or (has(note.title, r"\bdisc\b") and has(note.title, r"\b(?:wipe|clean)\b"))


def wipe_not_radial(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note in notes
        for step in note.steps
        if _wipes_a_disc(note, step)
        and not has(step.text, r"cent(?:re|er)\b.*\b(?:edge|rim|outward)|straight outward|radial")
    ]


def circular_wiping(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:wip|rub|clean|polish|strok|buff)\w*\b[^.]*\b(?:in circles|circular\w*|round and round|in a spiral|"
        r"around the disc|round the disc|along the track)|\bbuff the\b",
    )


def paper_on_discs(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:wip(?:e|ing)|rub|clean(?:ing)?|dry|dab|take|use|polish)\b[^.]*\b(?:paper(?! clip| label)|"
        r"tissues?|kitchen roll|napkins?|lens paper)\b",
    )


def abrasives(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:toothpaste|polish(?:ing)? (?:paste|cream|compound)|scouring \w+|sandpaper|steel wool|baking soda|"
        r"peanut butter|car wax|polish (?:the|it|out))\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def disc_solvents(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:acetone|benzene|thinner|white spirit|petrol|nail polish remover)\b")


def two_rules_for_disc_liquids(notes: Notes) -> list[str]:
    liquid = r"\b(?:alcohol|methanol|detergent|soapy|window cleaner|disinfect\w*|cleaning wipe)\b"
    discs = about(notes, r"\bdisc\b")
    return [
        f"{one.place}: {one.text}"
        for one in said(discs, "before", "steps", "choices", "fails")
        if advises(one.text, liquid)
    ]


def wrong_order_on_discs(notes: Notes) -> list[str]:
    found = []
    for note in about(notes, r"\b(?:wipe|clean)\b[^.]*\bdiscs?\b"):
        stages = [
            first_step(note, r"\bair puffer\b"),
            first_step(note, r"\bwipe\b[^.]*\bdry\b|\bdry (?:lint|soft)"),
            first_step(note, r"\b(?:water|damp\w*|moist\w*|liquid)\b"),
        ]
        present = [stage for stage in stages if stage is not None]
        if stages[2] is not None and (None in stages[:2] or present != sorted(present)):
            found.append(at(note, "needs air first, a dry cloth next and liquid last"))
    return found


def disc_held_by_the_face(notes: Notes) -> list[str]:
    taking = (
        r"^(?:[^,.]*, )?(?:take|lift|hold|eject|remove|pull)\b[^.]*\b(?<!cleaning )disc\b(?! (?:case|drive|"
        r"slot))"
    )
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, taking)
        if not has(step.text, r"\b(?:edges?|rim|hole)\b|\beject\b[^.]*\b(?:at the button|by the menu)\b")
    ]


def one_side_looked_at(notes: Notes) -> list[str]:
    found = []
    for note in about(notes, r"\bdisc\b"):
        looks = [
            step
            for step in note.steps
            if has(step.text, r"^(?:look(?! for)|examine|inspect|study)\b")
            and has(
                step.text + " ".join(b.text for b in step.branches),
                r"\b(?:scratch\w*|pinholes?|scrape|scuff\w*|marked)\b",
            )
        ]
        text = " ".join(s.text for s in note.steps if has(s.text, r"^(?:look|examine|inspect|study|shine)\b"))
        both = has(text, r"\bboth (?:the printed and|sides)\b") or (
            has(text, "printed side") and has(text, "shiny side")
        )
        if looks and not both:
            found.append(at(note, "looks for damage on one side only", looks[0]))
    return found


def radial_scratch_called_worse(notes: Notes) -> list[str]:
    worse = (
        r"\b(?:radial|from the centre to the edge)\b[^.]*\bscratch\w*\b[^.]*\b(?:worse|worst|more harm|lost)\b|"
        r"\bscratch\w*\b[^.]*\b(?:radial|from the centre to the edge)\b[^.]*\b(?:worse|worst|more harm|cannot)\b"
    )
    return mentions(notes, worse)


def disc_stored_hot(notes: Notes) -> list[str]:
    found = advice(
        notes,
        r"\b(?:keep|store|leave|lay|put)\b[^.]*\bdiscs?\b[^.]*\b(?:in the (?:car|van|vehicle|sun)|on a heater|"
        r"on the dashboard)\b",
    )
    for one in said(notes):
        if has(one.text, r"\bdiscs?\b") and any(not -10 <= value <= 32 for value in figures(one.text, "C")):
            found.append(f"{one.place}: {one.text}")
    return found


def withdrawn_disc_standards(notes: Notes) -> list[str]:
    stale = r"\bISO 18938:(?!2014)\d{4}|\bISO 18925:2008"
    return [
        at(note, f"cites a withdrawn edition: {text}")
        for note in notes
        for text in (*note.sources, whole_text(note))
        if has(text, stale)
    ]


def wrong_disc_size(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\bdisc\b")
        and any(value not in {120, 15, 1.2, 0.6, 0.1} for value in figures(one.text, "mm"))
    ]


def labels_on_discs(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:stick|put|fix|attach|glue|press)\b[^.]*\b(?:label|sticker|asset label)\b[^.]*\bon (?:the |a |"
        r"each )?(?:\w+ )?disc\b(?! case)",
    )


def bent_discs(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:bend|flex|twist|pry|prise|lever)\b[^.]*\bdisc\b")


def cracked_disc_played(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:play|load|try|run|insert)\b[^.]*\b(?:cracked|chipped|broken|warped) disc\b")


def test_a_disc_is_wiped_from_the_centre_to_the_edge() -> None:
    """NIST SP 500-252 (2003), quick reference and section 6 (restated)."""
    assert wipe_not_radial(all_notes()) == []


def test_no_disc_is_wiped_in_circles() -> None:
    """NIST SP 500-252 (2003), quick reference and section 6 (restated)."""
    assert circular_wiping(all_notes()) == []


def test_no_paper_touches_a_disc_a_lens_or_a_panel() -> None:
    """NIST SP 500-252 (2003), section 6 (restated)."""
    assert paper_on_discs(all_notes()) == []


def test_nothing_abrasive_is_used() -> None:
    """NIST SP 500-252 (2003), section 6 (restated)."""
    assert abrasives(all_notes()) == []


def test_no_solvent_that_dissolves_a_disc() -> None:
    """NIST SP 500-252 (2003), section 5.1.4 (restated)."""
    assert disc_solvents(all_notes()) == []


def test_one_rule_for_liquids_on_discs_plain_water_only() -> None:
    """NIST SP 500-252 (2003), section 6, of whose liquids the notes use water alone (restated)."""
    assert two_rules_for_disc_liquids(all_notes()) == []


def test_air_comes_before_the_dry_cloth_and_liquid_last() -> None:
    """NIST SP 500-252 (2003), section 6 (restated)."""
    assert wrong_order_on_discs(all_notes()) == []


def test_a_disc_is_held_by_edge_or_hole() -> None:
    """NIST SP 500-252 (2003), quick reference (restated)."""
    assert disc_held_by_the_face(all_notes()) == []


def test_both_sides_of_a_disc_are_looked_at() -> None:
    """NIST SP 500-252 (2003), sections 5.2.2 and 5.2.3 (restated)."""
    assert one_side_looked_at(all_notes()) == []


def test_a_radial_scratch_is_never_called_the_worse_one() -> None:
    """NIST SP 500-252 (2003), section 5.2.1 (restated)."""
    assert radial_scratch_called_worse(all_notes()) == []


def test_discs_are_kept_out_of_heat() -> None:
    """ISO 18925 storage, never above 32 C (restated); NIST SP 500-252 (2003), section 5.1.1 (from memory)."""
    assert disc_stored_hot(all_notes()) == []


def test_disc_standards_are_cited_in_force() -> None:
    """ISO 18938:2014 and the catalogue status of ISO 18925 (restated)."""
    assert withdrawn_disc_standards(all_notes()) == []


def test_disc_dimensions_agree_with_the_standard() -> None:
    """ECMA-130 (1996) and ECMA-267 (2001), dimensions (from memory)."""
    assert wrong_disc_size(all_notes()) == []


def test_no_label_is_stuck_on_a_disc() -> None:
    """NIST SP 500-252 (2003), quick reference (restated)."""
    assert labels_on_discs(all_notes()) == []


def test_no_disc_is_bent_or_pried() -> None:
    """NIST SP 500-252 (2003), quick reference (restated)."""
    assert bent_discs(all_notes()) == []


def test_no_cracked_disc_is_played() -> None:
    """Common practice."""
    assert cracked_disc_played(all_notes()) == []
