"""Power is off before hands go in, and mains wiring is for licensed people."""

from __future__ import annotations

from assistant.model import Note, Step
from tests.outside.flow import powered_steps
from tests.outside.world import (
    Notes,
    advice,
    all_notes,
    at,
    choices_like,
    first_step,
    has,
    names,
    said,
    steps_like,
    whole_text,
)

_HANDS_IN = (
    r"^(?:[^,.]*, )?(?:(?:exchange|replace|fit|push|free|tighten) [^.]*\b(?:power lead|outlet strip|adapter|"
    r"video lead|audio lead|"
    r"headset lead|extension lead|display|bracket|known-good lead)\b|brush [^.]*\b(?:vents?|grille)\b)"
)
_WET = (
    r"\b(?:wipe|clean|lay|take|lift)\b[^.]*\b(?:damp|moist\w*|wet|cleaning wipe|alcohol wipe|disinfect\w* wipe|"
    r"water)\b"
)
_BURNT = r"\b(?:browned|brown|scorched|melted|smells? (?:hot|burnt|of burning)|burnt smell|burning smell|smoked)\b"


def _reaches_in(text: str) -> bool:
    return has(text, _HANDS_IN) and not has(text, r"^fit an outlet strip\b[^.]*\bat the wall outlet\b")


def hands_in_under_power(notes: Notes) -> list[str]:
    return [at(note, step.text, step) for note in notes for step in powered_steps(note) if _reaches_in(step.text)]


def wet_work_under_power(notes: Notes) -> list[str]:
    return [at(note, step.text, step) for note in notes for step in powered_steps(note) if _is_wet_work(note, step)]


def _is_wet_work(note: Note, step: Step) -> bool:
    on_a_loose_disc = has(note.title, r"\bdisc\b") and (first_step(note, r"\btake the disc out\b") or step.n) < step.n
    dry_enough = has(step.text, r"\bclothes\b|\bpad with one wrung-out cleaning wipe\b")
    return has(step.text, _WET) and not on_a_loose_disc and not dry_enough


def lid_lifted_under_power(notes: Notes) -> list[str]:
    lid = r"\b(?:lift|open|raise)\b[^.]*\blid\b"
    return [at(note, step.text, step) for note in notes for step in powered_steps(note) if has(step.text, lid)]


def plug_out_of_sight(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        first = next((step for step in note.steps if has(step.text, r"\bisolate\b")), None)
        if first and not has(first.text, r"\bsight\b") and not names(first.text, "safety-isolate"):
            found.append(at(note, first.text, first))
    return found


def isolation_without_a_test(notes: Notes) -> list[str]:
    return [
        at(note, "must test that it is dead, and wait for stored energy")
        for note in notes
        if has(note.title, r"\bmaking\b[^.]*\bdead\b|\bisolat\w+")
        and not (
            has(whole_text(note, "steps"), r"\bpress the power button\b")
            and has(whole_text(note, "steps"), r"\bwait\b")
        )
    ]


def wiring_by_a_rep(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:rewire|wire|connect|change|open|unscrew|remove|replace|repair)\b[^.]*\b(?:wall outlet|"
        r"outlet cover|mains wiring|"
        r"store wiring|breaker panel|fuse box|junction box)\b|\breplace the fuse\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def unlicensed_electrician(notes: Notes) -> list[str]:
    found = [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\belectrician\b") and not has(one.text, r"\blicensed\b")
    ]
    found += [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\b(?:work|job) for\b")
        and has(one.text, r"\b(?:circuit|wall outlet|wiring|breaker panel)\b")
        and not has(one.text, r"\blicensed\b")
    ]
    for note in notes:
        text = whole_text(note)
        if has(text, r"\b(?:mains|store) wiring\b|\bwired to the mains\b") and not (
            has(text, r"\blicensed\b") or {"visit-escalate", "visit-out-of-order"} & set(note.links)
        ):
            found.append(at(note, "speaks of mains wiring and names no licensed person"))
    return found


def forced_breaker(notes: Notes) -> list[str]:
    found = advice(
        notes,
        r"\b(?:reset|switch)\b[^.]*\bbreaker\b[^.]*\b(?:again|until|repeatedly|twice)\b|\b(?:hold|tape|"
        r"wedge)\b[^.]*\bbreaker\b",
    )
    for note, step in steps_like(notes, r"\bbreaker\b[^.]*\breset\b|\breset\b[^.]*\bbreaker\b"):
        if not has(step.text, r"^ask the duty manager\b") or not has(step.text, r"\bonce\b"):
            found.append(at(note, step.text, step))
    return found


def panel_touched_by_a_rep(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(
            notes, r"\b(?:circuit|breaker|supply)\b[^.]*\b(?:cut|off|reset|panel)\b|\bcut\b[^.]*\bcircuit\b"
        )
        if has(step.text, r"\b(?:panel|circuit)\b") and not has(step.text, r"\bask\b|^make sure\b")
    ]


def burnt_plug_handled(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, _BURNT)
        if note.id not in {"safety-burning-smell", "safety-swollen-cell"}
        and branch.note != "safety-burning-smell"
        and not has(branch.condition, r"\blens\b")
    ]


def wet_outlet_handled(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, r"\b(?:outlet|plug|strip)\b[^.]*\bwet\b")
        if not note.id.startswith("safety-") and not (branch.note or "").startswith("safety-")
    ]


def shock_played_down(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, r"\b(?:tingle|shock|shocked)\b")
        if branch.note not in {"safety-shock", "safety-injury"}
    ]


def felt_for_a_shock(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:touch|feel|grab|hold)\b[^.]*\b(?:to see|to check|whether|if)\b[^.]*\b(?:live|shock|tingl\w+|bites?)\b",
    )


def opened_part(notes: Notes) -> list[str]:
    part = (
        r"(?:pad|handheld|headset|display|adapter|power supply|remote)(?:'s)?(?: (?:shell|case|cover|back|"
        r"housing))?"
    )
    return advice(
        notes,
        rf"\b(?:open|unscrew|pry open|prise open|take apart|disassemble) (?:up )?(?:the|its|a|your) (?:\w+ )?{part}\b"
        r"(?! (?:menu|door|settings|own|in the|page))(?!'s)",
    )


def power_back_while_wet(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:plug|switch|turn)\b[^.]*\b(?:on|in)\b[^.]*\b(?:while|still) (?:it is )?(?:wet|damp)\b|"
        r"\bhair ?dryer\b|\bbag of rice\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def wet_parts_touched(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:touch|hold|grip|pull|use|press|switch)\b[^.]*\bwet (?:switch|plug|strip|outlet|lead)\b")


def test_power_is_off_before_hands_go_in() -> None:
    """29 CFR 1910.147(a)(2)(iii)(A) (restated): unplugged, the plug under exclusive control."""
    assert hands_in_under_power(all_notes()) == []


def test_wet_work_is_done_on_a_dead_device() -> None:
    """Common practice; 29 CFR 1910.334(a) (restated)."""
    assert wet_work_under_power(all_notes()) == []


def test_no_lid_is_lifted_under_power() -> None:
    """29 CFR 1910.147(a)(2)(iii)(A) and 21 CFR 1040.10(f)(1) (restated)."""
    assert lid_lifted_under_power(all_notes()) == []


def test_the_plug_stays_in_sight() -> None:
    """29 CFR 1910.147(a)(2)(iii)(A) and OSHA letters of 2010 and 2012 (restated)."""
    assert plug_out_of_sight(all_notes()) == []


def test_isolation_ends_with_a_test_and_a_wait() -> None:
    """29 CFR 1910.147 (restated): stored energy and proof."""
    assert isolation_without_a_test(all_notes()) == []


def test_no_rep_works_on_mains_wiring() -> None:
    """29 CFR 1910.333 and common practice (from memory)."""
    assert wiring_by_a_rep(all_notes()) == []


def test_an_electrician_is_a_licensed_one() -> None:
    """Common practice."""
    assert unlicensed_electrician(all_notes()) == []


def test_a_breaker_is_reset_once_and_by_the_store() -> None:
    """29 CFR 1910.334(b)(2) (from memory): no re-energising by force."""
    assert forced_breaker(all_notes()) == []


def test_a_rep_does_not_go_to_the_panel() -> None:
    """Common practice."""
    assert panel_touched_by_a_rep(all_notes()) == []


def test_burn_marks_lead_to_the_safety_note() -> None:
    """HSG107, 3rd edition (2013): burn marks (restated)."""
    assert burnt_plug_handled(all_notes()) == []


def test_a_wet_outlet_leads_to_a_safety_note() -> None:
    """HSG107, 3rd edition (2013): wet or contaminated (restated)."""
    assert wet_outlet_handled(all_notes()) == []


def test_a_tingle_leads_to_the_shock_note() -> None:
    """HSG107, 3rd edition (2013) (restated)."""
    assert shock_played_down(all_notes()) == []


def test_nobody_feels_for_a_shock() -> None:
    """Common practice."""
    assert felt_for_a_shock(all_notes()) == []


def test_no_device_is_opened() -> None:
    """29 CFR 1910.334(a)(2)(ii) (restated); common practice."""
    assert opened_part(all_notes()) == []


def test_nothing_wet_gets_power() -> None:
    """HSG107, 3rd edition (2013): wet equipment (restated)."""
    assert power_back_while_wet(all_notes()) == []


def test_nobody_touches_a_wet_plug() -> None:
    """HSG107, 3rd edition (2013): wet equipment (restated)."""
    assert wet_parts_touched(all_notes()) == []
