"""Choosing, checking and exchanging adapters."""

from __future__ import annotations

from tests.outside.world import Notes, about, advice, all_notes, at, choices_like, has, steps_like, whole_text

_POINTS = {
    "kind of current": r"\bAC\b.*\bDC\b|\bDC\b.*\bAC\b",
    "voltage": r"\bvoltage\b",
    "current": r"\bcompare the current\b|\bamps\b",
    "polarity": r"\bpolarity\b",
    "plug size": r"\bplug\b[^.]*\b(?:size|shape)\b",
}


def missing_point(notes: Notes) -> list[str]:
    return [
        at(note, f"does not compare the {point}")
        for note in about(notes, r"\b(?:right|matching|replacement)\b[^.]*\badapter\b")
        for point, pattern in _POINTS.items()
        if not has(whole_text(note, "steps"), pattern)
    ]


def adapter_fitted_unmatched(notes: Notes) -> list[str]:
    fitting = r"^(?:fit|replace|exchange)\b[^.]*\badapter\b"
    match = r"\b(?:match\w*|specified|suits?|same (?:rating|plugs?|voltage))\b"
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, fitting)
        if not has(whole_text(note, "before", "steps", "choices"), match)
        and "power-adapter-match" not in {note.id, *note.links}
    ]


def higher_voltage(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:higher|more|greater) volt\w*\b[^.]*\b(?:faster|quicker|better|fine|ok|works)\b|"
        r"\b(?:use|fit|take|try|choose)\b[^.]*\b(?:higher|lower|other|different) volt\w*",
    )


def current_called_equal(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:amps?|current|amperage)\b[^.]*\bmust be (?:equal|the same|exactly)\b|\b(?:exactly|"
        r"only) the same (?:amps|current)\b",
    )


def lower_current(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:lower|smaller|fewer|less) (?:amps?|current)\b[^.]*\b(?:fine|enough|ok|works|do)\b")


def fit_taken_for_match(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\bif (?:the|a) plug fits[^.]*\b(?:use|go to|adapter is right|works|powers)\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def opened_adapter(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:open|unscrew|pry|repair|take apart)\b (?:up )?(?:the|an|its)\b[^.]*\b(?:adapter|power supply|"
        r"charger)\b",
    )


def hot_adapter_kept(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, r"\btoo hot to hold\b")
        if not (branch.note or "").startswith("safety-")
    ]


def damaged_adapter_tried(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:try|test|use|plug in|borrow)\b[^.]*\b(?:damaged|cracked|broken|burnt|wet) adapter\b")


def plug_sent_with_the_wrong_proof(notes: Notes) -> list[str]:
    return advice(
        notes, r"\bUSB(?:-C)?\b[^.]*\bfits\b[^.]*\b(?:so it|means that it|therefore)\b[^.]*\b(?:power|charge)s?\b"
    )


def test_the_match_has_five_points() -> None:
    """Common practice; polarity mark of IEC 60417-5926 (from memory)."""
    assert missing_point(all_notes()) == []


def test_every_exchanged_adapter_is_matched_first() -> None:
    """Common practice (from memory)."""
    assert adapter_fitted_unmatched(all_notes()) == []


def test_never_another_voltage() -> None:
    """Common practice (from memory)."""
    assert higher_voltage(all_notes()) == []


def test_amps_may_be_more() -> None:
    """Common practice (from memory)."""
    assert current_called_equal(all_notes()) == []


def test_amps_may_not_be_less() -> None:
    """Common practice (from memory)."""
    assert lower_current(all_notes()) == []


def test_a_plug_that_fits_proves_nothing() -> None:
    """IEC 60320: couplers are not keyed for voltage (restated)."""
    assert fit_taken_for_match(all_notes()) == []


def test_no_adapter_is_opened() -> None:
    """29 CFR 1910.334(a)(2)(ii) (restated): removed from service, not opened by the user."""
    assert opened_adapter(all_notes()) == []


def test_an_adapter_too_hot_to_hold_is_a_safety_matter() -> None:
    """HSG107, 3rd edition (2013): signs of overheating (restated)."""
    assert hot_adapter_kept(all_notes()) == []


def test_a_damaged_adapter_is_not_tried() -> None:
    """29 CFR 1910.334(a)(2)(ii) (restated)."""
    assert damaged_adapter_tried(all_notes()) == []


def test_a_reversible_plug_is_no_proof_of_power() -> None:
    """USB Type-C specification: current is negotiated (from memory)."""
    assert plug_sent_with_the_wrong_proof(all_notes()) == []
