"""Sound levels, headphones and flashing pictures."""

from __future__ import annotations

from tests.outside.world import (
    Notes,
    about,
    advice,
    all_notes,
    at,
    figures,
    has,
    said,
    steps_like,
    warned_before,
    whole_text,
)

_NUMBER = r"(?:\d+|one|two|four|five|six|seven|eight|nine|ten)"


def wrong_sound_levels(notes: Notes) -> list[str]:
    found = []
    for one in said(notes):
        levels = figures(one.text, "dBA|dB")
        if any(value not in {80, 85, 100} for value in levels):
            found.append(f"{one.place}: {one.text}")
        if 80 in levels and not has(one.text, r"\b40 hours\b"):
            found.append(f"{one.place}: 80 dBA without its 40 hours")
    return found


def limit_not_proved(notes: Notes) -> list[str]:
    found = []
    for note in about(notes, r"\btoo loud\b|\bvolume limit\b"):
        text = whole_text(note, "steps", "choices")
        if not has(text, r"\bset\b[^.]*\blimit\b") or not has(text, r"\bcheck the limit\b|\bstops at the limit\b"):
            found.append(at(note, "the limit is set, and then proved"))
    return found


def loud_headphones(notes: Notes) -> list[str]:
    using = r"^(?:plug in|put on|set|try|wear)\b[^.]*\bheadphones?\b"
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, using)
        if not warned_before(note, step, r"\blowest\b")
    ]


def louder_for_attention(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:set|turn|raise)\b[^.]*\bvolume\b[^.]*\b(?:as loud as|to the maximum|to full|all the way up)\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def wrong_flash_limit(notes: Notes) -> list[str]:
    found = []
    for one in said(notes):
        if has(one.text, rf"\b{_NUMBER} flashes\b"):
            found.append(f"{one.place}: {one.text}")
        if has(one.text, r"\bthree flashes\b") and not has(one.text, r"\bone second\b|\bper second\b|\ba second\b"):
            found.append(f"{one.place}: no unit of time")
    return found


def loop_without_flash_source(notes: Notes) -> list[str]:
    return [
        at(note, "cites no limit for flashes")
        for note in about(notes, r"\battract loop\b|\bflickers?\b|\bload new demo\b")
        if not any(has(source, r"\bWCAG\b|\bBT\.1702\b|\bISO 9241-391\b") for source in note.sources)
    ]


def own_loops(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:run|load|play|use|start)\b[^.]*\b(?:home-made|your own|downloaded|shopper's) (?:loop|video|"
        r"content|clip)\b",
    )


def flicker_watched(notes: Notes) -> list[str]:
    return [
        at(note, "warns too late of a seizure")
        for note in about(notes, r"\bflickers?\b")
        if not warned_before(note, note.steps[0], r"\bseizure\b|\bfit\b")
    ]


def test_sound_levels_are_the_published_ones() -> None:
    """IEC 62368-1 clause 10.6 and EN 50332 (restated): 85 dBA basic, 100 dBA cap, 80 dBA for 40 hours."""
    assert wrong_sound_levels(all_notes()) == []


def test_a_volume_limit_is_proved() -> None:
    """IEC 62368-1 clause 10.6 (restated)."""
    assert limit_not_proved(all_notes()) == []


def test_headphones_start_from_the_lowest_level() -> None:
    """Common practice."""
    assert loud_headphones(all_notes()) == []


def test_no_note_asks_for_full_volume() -> None:
    """IEC 62368-1 clause 10.6 (restated)."""
    assert louder_for_attention(all_notes()) == []


def test_three_flashes_in_one_second() -> None:
    """WCAG 2.2, success criterion 2.3.1."""
    assert wrong_flash_limit(all_notes()) == []


def test_notes_on_loops_cite_a_flash_limit() -> None:
    """WCAG 2.2, 2.3.1; ITU-R BT.1702 (2005) (restated)."""
    assert loop_without_flash_source(all_notes()) == []


def test_only_supplied_content_is_shown() -> None:
    """WCAG 2.2, 2.3.1; common practice."""
    assert own_loops(all_notes()) == []


def test_a_flickering_display_is_hidden_first() -> None:
    """WCAG 2.2, 2.3.1; IEC/IEEE 82079-1:2019 (restated)."""
    assert flicker_watched(all_notes()) == []
