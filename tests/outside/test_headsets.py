"""Headsets: hygiene, lenses, seizures and the space around."""

from __future__ import annotations

from tests.outside.world import (
    Notes,
    about,
    advice,
    all_notes,
    at,
    figures,
    first_step,
    has,
    said,
    steps_like,
    warned_before,
    whole_text,
)

_WET_TIME = r"\bcontact time\b|\bwet time\b|\b(?:leave|stay|stays|remain)\b[^.]*\bwet\b"
_NUMBER = r"\b(?:\d+|one|two|three|four|five|six|ten|fifteen|twenty|thirty|sixty|half a)\b"
_FITTING = r"\b(?:try|put|fit|set|place)\b[^.]*\bheadset on\b|\btry the demo\b|\b(?:wear|put on) the headset\b"


def disinfected_before_cleaned(notes: Notes) -> list[str]:
    found = []
    for note, step in steps_like(notes, r"\bdisinfect(?:ing|ant)? wipe\b"):
        clean = first_step(note, r"\bcleaning wipe\b")
        if clean is None or clean >= step.n:
            found.append(at(note, step.text, step))
    return found


def made_up_contact_time(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, _WET_TIME) and has(one.text, rf"{_NUMBER}[- ](?:minutes?|seconds?)")
    ]


def no_contact_time(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"\bdisinfect(?:ing|ant)? wipe\b")
        if not any(has(one.text, _WET_TIME) and has(one.text, r"\blabel\b") for one in note.steps[step.n - 1 :])
    ]


def wet_lenses(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"^(?:clean|wipe|stroke|polish)\b[^.]*\b(?:each lens|lenses|the lens)\b")
        if not has(step.text, r"\bdry\b")
    ]


def fitted_without_warning(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like([n for n in notes if "vr" in n.station], _FITTING)
        if not has(step.text, r"\bpicture off\b") and not warned_before(note, step, r"\bseizure\b")
    ]


def alone_in_the_headset(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like([n for n in notes if "vr" in n.station], _FITTING)
        if not has(step.text, r"\bpicture off\b|\bon guard\b")
        and not warned_before(note, step, r"\b(?:somebody|second person|staff member) beside\b")
    ]


def water_claims(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:water.?proof|water.?resistant|splash.?proof|rated against water|IPX?\d)\b")


def wrong_alcohol_strength(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\balcohol\b")
        and has(one.text, r"\bwipe\b")
        and any(value < 70 for value in figures(one.text, "percent|%"))
    ]


def wrong_prevalence(notes: Notes) -> list[str]:
    found = []
    for one in said(notes):
        share = has(one.text, r"\bone (?:person )?in\b|\b1 in\b") and has(one.text, r"\bflash\w*|\bseizure|\blight\b")
        ages = has(one.text, r"\b(?:seizure|flashing)\b") and has(one.text, r"\byears\b")
        known_share = r"\b(?:four to six thousand|four thousand|six thousand|4,?000|6,?000)\b"
        known_ages = r"\b(?:7 (?:to|and) 20|seven (?:to|and) twenty)\b"
        if (share and not has(one.text, known_share)) or (ages and not has(one.text, known_ages)):
            found.append(f"{one.place}: {one.text}")
    return found


def lenses_in_the_sun(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:lay|leave|store|put|keep)\b[^.]*\b(?:lenses|headset)\b[^.]*\bin(?:to)? (?:the )?(?:sun|sunlight|"
        r"window)\b",
    ) + [
        at(note, "does not keep the lenses from the sun")
        for note in about(notes, r"\bheadset lenses\b|\bdisinfect a headset\b")
        if not has(whole_text(note, "steps", "safety"), r"\bsun\b")
    ]


def unguarded_player(notes: Notes) -> list[str]:
    return [
        at(note, "keeps no free space or nobody beside the player")
        for note in about(notes, r"\bplay area\b")
        if not has(whole_text(note, "steps", "safety"), r"\barm's length\b")
        or not has(
            whole_text(note, "steps", "safety"), r"\b(?:staff member|second person) beside\b|\bon guard\b|\bto watch\b"
        )
    ]


def torn_cushion_kept(notes: Notes) -> list[str]:
    return advice(
        notes, r"\b(?:glue|tape|staple|sew|disinfect)\b[^.]*\b(?:torn|crumbling|worn) (?:cushion|foam|strap|seal)\b"
    )


def test_cleaning_comes_before_disinfecting() -> None:
    """CDC, cleaning and disinfecting guidance (restated)."""
    assert disinfected_before_cleaned(all_notes()) == []


def test_no_contact_time_is_made_up() -> None:
    """CDC, cleaning and disinfecting guidance: per label (restated)."""
    assert made_up_contact_time(all_notes()) == []


def test_a_disinfectant_gets_the_time_on_its_label() -> None:
    """CDC, cleaning and disinfecting guidance: per label (restated)."""
    assert no_contact_time(all_notes()) == []


def test_lenses_are_wiped_dry() -> None:
    """Common practice (from memory)."""
    assert wet_lenses(all_notes()) == []


def test_the_seizure_warning_stands_before_the_fitting() -> None:
    """Photosensitive seizure literature (restated); ANSI Z535.6 placement (from memory)."""
    assert fitted_without_warning(all_notes()) == []


def test_nobody_tests_a_headset_alone() -> None:
    """Common practice."""
    assert alone_in_the_headset(all_notes()) == []


def test_no_device_is_called_proof_against_water() -> None:
    """IEC 60529: IPX0 is no protection, X is not rated (from memory)."""
    assert water_claims(all_notes()) == []


def test_an_alcohol_wipe_has_70_percent_at_least() -> None:
    """CDC guidance for electronics (2020) (restated)."""
    assert wrong_alcohol_strength(all_notes()) == []


def test_prevalence_and_ages_are_the_published_ones() -> None:
    """One in 4,000 (2024 paper) or 6,000 (older), ages 7 to 20 (restated)."""
    assert wrong_prevalence(all_notes()) == []


def test_lenses_are_kept_from_the_sun() -> None:
    """Common practice."""
    assert lenses_in_the_sun(all_notes()) == []


def test_a_player_has_space_and_a_guard() -> None:
    """29 CFR 1910.22(a) (restated); common practice."""
    assert unguarded_player(all_notes()) == []


def test_a_torn_cushion_is_not_patched() -> None:
    """CDC guidance: porous and damaged surfaces cannot be disinfected (from memory)."""
    assert torn_cushion_kept(all_notes()) == []
