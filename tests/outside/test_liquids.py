"""Cleaning liquids, wipes and gas dusters."""

from __future__ import annotations

from tests.outside.flow import has_power
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
    said,
    steps_like,
    warned_before,
    whole_text,
)

_ALCOHOL_STEP = r"^(?!pack\b).*\balcohol\b"
_DUSTER = r"\b(?:gas duster|canned (?:air|gas)|air duster|duster can)\b"


def sprayed_electronics(notes: Notes) -> list[str]:
    device = r"(?:display|console|pad|headset|handheld|panel|cabinet|keys?|buttons?|lens(?:es)?)"
    return advice(
        notes,
        rf"\bspray (?:it |the \w+ |a \w+ |some \w+ |\w*cleaner )?(?:on|onto|into|at|over)\b|\bspray the {device}\b|"
        r"\b(?:use|apply) (?:a |the )?(?:\w+ )?spray\b",
    )


def alcohol_without_warning(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, _ALCOHOL_STEP)
        if not warned_before(note, step, r"\b(?:vapour|fire|flame)\b")
    ]


def alcohol_under_power(notes: Notes) -> list[str]:
    return [at(note, step.text, step) for note, step in steps_like(notes, _ALCOHOL_STEP) if has_power(note, step)]


def alcohol_without_drying(notes: Notes) -> list[str]:
    return [
        at(note, "names no wait until the alcohol is gone", step)
        for note, step in steps_like(notes, _ALCOHOL_STEP)
        if not any(has(one.text, r"\bwait\b|\bdry\b") for one in note.steps[step.n :])
    ]


def alcohol_in_a_closed_cabinet(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\balcohol\b[^.]*\b(?:inside|in) (?:the|"
        r"a) (?:closed )?cabinet\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def careless_duster(notes: Notes) -> list[str]:
    wanted = (
        r"\bupright\b",
        r"\bventilat\w*|\bair (?:moves|moving)\b",
        r"\bignition\b|\bflame\b",
        r"\bnever shake\b|\bshake\b",
    )
    found = []
    for one in said(notes, "before", "steps", "choices"):
        if advises(one.text, _DUSTER):
            text = whole_text(one.note, "before", "steps", "safety")
            found += [f"{one.place}: duster without {pattern}" for pattern in wanted if not has(text, pattern)]
    return found


def compressed_air(notes: Notes) -> list[str]:
    return advice(
        notes, r"\b(?:use|blow|clean)\b[^.]*\b(?:compressor|compressed air|air line|vacuum cleaner on blow)\b"
    )


def wrong_alcohol_figures(notes: Notes) -> list[str]:
    found = []
    for one in said(notes):
        if not has(one.text, r"\bflash point\b|\bexplosive limit\b"):
            continue
        bad = [v for v in figures(one.text, "C") if v not in {11.7, 12}]
        bad += [v for v in figures(one.text, "F") if v != 53]
        bad += [v for v in figures(one.text, "percent|%") if v not in {2, 12.7}]
        if bad:
            found.append(f"{one.place}: {one.text}")
    return found


def wrong_exposure_limit(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if (has(one.text, r"\bOSHA\b") and 500 in figures(one.text, "ppm"))
        or any(v not in {400, 500, 2000} for v in figures(one.text, "ppm"))
    ]


def duster_ban_called_law(notes: Notes) -> list[str]:
    return advice(
        notes, r"\b(?:dusters?|canned (?:air|gas))\b[^.]*\b(?:banned|illegal|forbidden by law|against the law)\b"
    )


def unlabelled_bottle(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes, "before", "steps")
        if has(one.text, r"\b(?:mix|pour|fill)\b[^.]*\bbottle\b") and not has(one.text, r"\blabel\w*\b")
    ]


def cleaner_on_coatings(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:wipe|clean|dampen|rub)\b[^.]*\b(?:lens(?:es)?|panel of the display|display|screen|"
        r"acrylic)\b[^.]*\b(?:alcohol|window cleaner|glass cleaner|detergent|solvent|disinfect\w*)\b",
    )


def grit_rubbed_in(notes: Notes) -> list[str]:
    found = []
    for note in about(notes, r"\bclean\b[^.]*\b(?:display panel|lenses)\b"):
        puff, cloth = first_step(note, r"\bair puffer\b"), first_step(note, r"\b(?:wipe|stroke)\b")
        wet = first_step(note, r"\b(?:damp\w*|moist\w*|breathe)\b")
        if puff is None or cloth is None or puff > cloth or (wet is not None and wet < cloth):
            found.append(at(note, "needs air, then a dry cloth, then damp"))
    return found


def mixed_cleaners(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:mix|combine|add)\b[^.]*\b(?:bleach|ammonia|disinfectant|cleaners)\b")


def dripping_wipe(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:dripping|soaking|sopping|soaked|wet through)\b[^.]*\b(?:wipe|cloth|sponge)\b|"
        r"\bpour\b[^.]*\b(?:on|over|into)\b[^.]*\b(?:pad|display|console|station|cabinet)\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def oil_in_buttons_or_locks(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:oil|grease|lubricate|contact spray)\b[^.]*\b(?:button|key|lock|hinge|trigger|stick)\b|"
        r"\bput (?:oil|grease)\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def test_nothing_is_sprayed_on_electronics() -> None:
    """CDC guidance for electronics (2020) (restated); IEC 60529 (from memory)."""
    assert sprayed_electronics(all_notes()) == []


def test_alcohol_comes_with_a_warning_of_fire() -> None:
    """NIOSH Pocket Guide, entry 0359 (restated): flash point 11.7 C, class IB."""
    assert alcohol_without_warning(all_notes()) == []


def test_alcohol_is_used_on_a_dead_station() -> None:
    """NIOSH Pocket Guide, entry 0359 (restated)."""
    assert alcohol_under_power(all_notes()) == []


def test_alcohol_dries_off_before_power() -> None:
    """NIOSH Pocket Guide, entry 0359 (restated)."""
    assert alcohol_without_drying(all_notes()) == []


def test_no_alcohol_in_a_closed_cabinet() -> None:
    """NIOSH Pocket Guide, entry 0359 (restated): 10 mL in 0.2 cubic metres comes near the limit of 2 percent."""
    assert alcohol_in_a_closed_cabinet(all_notes()) == []


def test_a_duster_needs_four_precautions() -> None:
    """Washington State L&I advice on dusters (restated)."""
    assert careless_duster(all_notes()) == []


def test_no_compressed_air() -> None:
    """29 CFR 1910.242(b) (from memory)."""
    assert compressed_air(all_notes()) == []


def test_flash_point_and_explosive_limits_are_right() -> None:
    """NIOSH Pocket Guide, entry 0359 (restated): 53 F, 11.7 C, 2.0 and 12.7 percent."""
    assert wrong_alcohol_figures(all_notes()) == []


def test_500_ppm_is_no_osha_limit() -> None:
    """NIOSH 67-63-0 and the 1988 PEL project: OSHA 400 ppm, NIOSH short term 500 ppm."""
    assert wrong_exposure_limit(all_notes()) == []


def test_the_duster_ban_is_only_proposed() -> None:
    """89 FR 61363 (31 July 2024), a proposed rule (restated)."""
    assert duster_ban_called_law(all_notes()) == []


def test_a_filled_bottle_is_labelled() -> None:
    """29 CFR 1910.1200(f)(6) (from memory)."""
    assert unlabelled_bottle(all_notes()) == []


def test_coated_surfaces_meet_no_cleaner() -> None:
    """Common practice (from memory)."""
    assert cleaner_on_coatings(all_notes()) == []


def test_air_comes_before_the_cloth_on_panels_and_lenses() -> None:
    """Common practice."""
    assert grit_rubbed_in(all_notes()) == []


def test_cleaners_are_not_mixed() -> None:
    """CDC cleaning guidance (from memory)."""
    assert mixed_cleaners(all_notes()) == []


def test_no_cloth_drips() -> None:
    """CDC guidance for electronics (2020) (restated)."""
    assert dripping_wipe(all_notes()) == []


def test_no_oil_in_keys_or_locks() -> None:
    """Common practice."""
    assert oil_in_buttons_or_locks(all_notes()) == []
