"""What safety notes do first, and what nobody does to people, glass, fire or passwords."""

from __future__ import annotations

from tests.outside.world import Notes, advice, all_notes, at, first_step, has, steps_like, whole_text, without_titles

_CAN_WAIT = (
    r"\bsupport desk\b|\b(?:visit )?report\b|^(?:write|record|photograph|take a photo|tie|hang|set an?|clean|wipe|"
    r"sweep|collect|pick up|search|put|pack|press|plug)\b"
)


def emergency_number_late(notes: Notes) -> list[str]:
    found = []
    for note, step in steps_like(notes, r"\bemergency number\b"):
        first = note.id.startswith("safety-") and first_step(note, r"\bemergency number\b") == step.n
        earlier = [one for one in note.steps if one.n < step.n and has(one.text, _CAN_WAIT)]
        if (first and earlier) or not has(step.text, r"\blocal emergency number\b"):
            found.append(at(note, step.text, step))
    return found


def life_in_danger_unanswered(notes: Notes) -> list[str]:
    deadly = r"\b(?:unconscious|not breathing|flames|swallowed a (?:cell|battery)|having a fit|cannot breathe)\b"
    return [
        at(note, "tells of danger to life and names no emergency number")
        for note in notes
        if note.id.startswith("safety-")
        and has(without_titles(whole_text(note, "title", "steps", "choices")), deadly)
        and not has(whole_text(note, "steps"), r"\bemergency number\b")
    ]


def people_not_first(notes: Notes) -> list[str]:
    people = (
        r"\b(?:keep|move|ask|send|close|take|people|everyone|everybody|somebody|person|"
        r"stop the play|every station[^.]*shut down|shoppers|child|children|crowd|first aider)\b"
    )
    found = []
    for note in notes:
        if note.id.startswith("safety-"):
            first = next(
                (s for s in note.steps if not has(s.text, r"\bemergency number\b|\bfire alarm\b")), note.steps[0]
            )
            if not has(first.text, people):
                found.append(at(note, first.text, first))
    return found


def call_before_power(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        if not note.id.startswith("safety-"):
            continue
        off = first_step(
            note,
            r"\bswitch\w* off\b|\bswitch the [\w ]+ off\b|\bunplug\b|\bisolate\b|\bcut\b[^.]*\b(?:circuit|power)\b",
        )
        call = first_step(note, r"\bcall the support desk\b|\breport\b[^.]*\bto the support desk\b")
        if off and call and call < off:
            found.append(at(note, "calls the desk before the power is off"))
    return found


def wrong_action_of_safety_notes(notes: Notes) -> list[str]:
    return [
        at(note, note.action)
        for note in notes
        if note.id.startswith("safety-")
        and note.action not in {"withdraw", "escalate", "inform"}
        and not (note.action == "adjust" and any("1910.22(a)" in source for source in note.sources))
    ]


def harmful_first_aid(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:make|let)\b[^.]*\bvomit\b|\bput\b[^.]*\bbetween (?:the|their) teeth\b|\b(?:hold|"
        r"pin) (?:the person|them|him|her) down\b|"
        r"\bgive\b[^.]*\b(?:medicine|tablet|drink)\b|\bpull (?:the person|them) (?:away|off)\b",
    )


def touched_while_live(notes: Notes) -> list[str]:
    found = advice(notes, r"\b(?:touch|grab|pull|hold|free) (?:the|a) (?:shocked )?person\b", "steps", "choices")
    for note, step in steps_like(notes, r"\bperson\b[^.]*\b(?:first aider)\b|\bfirst aider to the person\b"):
        off = first_step(note, r"\bcut\b|\bswitch off\b")
        if has(note.title, r"\bshock\b") and (off is None or off > step.n):
            found.append(at(note, step.text, step))
    return found


def bare_hands_on_glass(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:pick up|collect|gather|sweep up)\b[^.]*\b(?:glass|splinters?|shards?|pieces)\b[^.]*\b(?:by hand|"
        r"with (?:your|bare) (?:hands|fingers))\b",
    )


def broken_glass_without_gloves(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"^(?:sweep|pick up|take)\b[^.]*\b(?:loose pieces|splinters?|glass)\b")
        if not has(whole_text(note, "steps"), r"\bgloves\b")
    ]


def fire_fought(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:pour|throw|put)\b[^.]*\bwater\b[^.]*\b(?:fire|flames?|cell|battery)\b|\b(?:fight|put out|"
        r"extinguish)\b[^.]*\b(?:fire|flames?)\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def passwords_written_down(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:write|record|photograph|note|copy|send)\b[^.]*\b(?:password|"
        r"PIN)\b",
        "steps",
        "choices",
    )


def chased_thief(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:chase|follow|stop|hold|search)\b[^.]*\b(?:thief|shopper|suspect)\b",
        "steps",
        "choices",
        "before",
        "fails",
    )


def cracked_pad_kept(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:glue|tape|keep|leave|screw)\b[^.]*\b(?:cracked|split|broken) (?:pad|shell|case)\b|"
        r"\bglue\b[^.]*\b(?:stick )?cap\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def test_nothing_that_can_wait_comes_before_the_emergency_number() -> None:
    """IEC/IEEE 82079-1:2019, abnormal cases and first aid (restated)."""
    assert emergency_number_late(all_notes()) == []


def test_danger_to_life_names_the_emergency_number() -> None:
    """IEC/IEEE 82079-1:2019, abnormal cases and first aid (restated)."""
    assert life_in_danger_unanswered(all_notes()) == []


def test_safety_notes_begin_with_people() -> None:
    """Common practice: people, then power, then the call."""
    assert people_not_first(all_notes()) == []


def test_power_goes_before_the_call() -> None:
    """Common practice: people, then power, then the call."""
    assert call_before_power(all_notes()) == []


def test_safety_notes_withdraw_escalate_or_inform() -> None:
    """29 CFR 1910.334(a)(2)(ii) (restated); a floor is put right, 29 CFR 1910.22(a) (restated)."""
    assert wrong_action_of_safety_notes(all_notes()) == []


def test_no_harmful_first_aid() -> None:
    """CDC seizure first aid and poison-line guidance (from memory)."""
    assert harmful_first_aid(all_notes()) == []


def test_nobody_touches_a_person_who_may_be_live() -> None:
    """HSE electric shock guidance (from memory)."""
    assert touched_while_live(all_notes()) == []


def test_no_glass_is_picked_up_by_hand() -> None:
    """Common practice."""
    assert bare_hands_on_glass(all_notes()) == []


def test_broken_glass_needs_gloves() -> None:
    """Common practice."""
    assert broken_glass_without_gloves(all_notes()) == []


def test_no_rep_fights_a_fire() -> None:
    """29 CFR 1910.157(g) (from memory): extinguishers are for trained people."""
    assert fire_fought(all_notes()) == []


def test_no_password_is_written_down() -> None:
    """Common practice."""
    assert passwords_written_down(all_notes()) == []


def test_nobody_is_chased() -> None:
    """Common practice."""
    assert chased_thief(all_notes()) == []


def test_a_cracked_pad_is_not_patched() -> None:
    """29 CFR 1910.334(a)(2)(ii) and HSG107 (2013) (restated)."""
    assert cracked_pad_kept(all_notes()) == []
