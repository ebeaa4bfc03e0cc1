"""Signal words, the three parts of a message, and its place before the step."""

from __future__ import annotations

from assistant.model import Note, SafetyMessage
from tests.outside.words import starts_with_command
from tests.outside.world import Notes, advice, all_notes, count_words, has, sentences

_PEOPLE = (
    r"\b(?:kill(?:s|ed)?|die|death|fatal|injur\w*|hurts?|seizures?|a fit|crush(?:es|ed)?|shock\w*|burns? (?:people|"
    r"you|skin|fingers|"
    r"those)|skin|eyes?|"
    r"fingers?|thumb|face|people|person|child|children|hands?|foot|head|bones?|bruis\w*|choke)\b"
)
_GRAVE = (
    r"\b(?:kill|killed|crushed|die|death|fatal|seizure|a fit|fire|fires|flame|burns?|burn|shock|shocked|crush|break|"
    r"badly|eyes?|"
    r"eye|blind|severe|"
    r"grave|choke|bones?|hurt|injure|swallow|laser|eyesight)\b"
)


def _messages(notes: Notes, *signals: str) -> list[tuple[Note, SafetyMessage]]:
    return [(note, message) for note in notes for message in note.safety if message.signal in signals]


def _where(note: Note, message: SafetyMessage) -> str:
    return f"{note.path}:{message.line}: {message.signal} {message.text}"


def not_three_parts(notes: Notes) -> list[str]:
    everything = _messages(notes, "DANGER", "WARNING", "CAUTION", "NOTICE")
    return [_where(note, one) for note, one in everything if len(sentences(one.text)) < 3]


def no_way_out(notes: Notes) -> list[str]:
    everything = _messages(notes, "DANGER", "WARNING", "CAUTION", "NOTICE")
    return [_where(note, one) for note, one in everything if not starts_with_command(sentences(one.text)[2])]


def instruction_in_the_hazard(notes: Notes) -> list[str]:
    everything = _messages(notes, "DANGER", "WARNING", "CAUTION", "NOTICE")
    return [
        _where(note, one)
        for note, one in everything
        if any(starts_with_command(part, strict=True) for part in sentences(one.text)[:2])
    ]


def notice_for_people(notes: Notes) -> list[str]:
    return [_where(n, m) for n, m in _messages(notes, "NOTICE") if has(" ".join(sentences(m.text)[:2]), _PEOPLE)]


def caution_for_things(notes: Notes) -> list[str]:
    return [
        _where(n, m)
        for n, m in _messages(notes, "DANGER", "WARNING", "CAUTION")
        if not has(m.text, _PEOPLE) and not has(m.text, _GRAVE)
    ]


def danger_without_will(notes: Notes) -> list[str]:
    return [
        _where(n, m) for n, m in _messages(notes, "DANGER") if not has(m.text, r"\bwill\b") or not has(m.text, _GRAVE)
    ]


def danger_outside_safety_notes(notes: Notes) -> list[str]:
    return [_where(n, m) for n, m in _messages(notes, "DANGER") if not n.id.startswith("safety-")]


def mild_warning(notes: Notes) -> list[str]:
    return [_where(n, m) for n, m in _messages(notes, "WARNING") if not has(m.text, _GRAVE)]


def warning_says_will(notes: Notes) -> list[str]:
    return [
        _where(n, m)
        for n, m in _messages(notes, "WARNING", "CAUTION")
        if has(sentences(m.text)[1], r"\bwill (?:kill|die|injure)\b")
    ]


def grave_caution(notes: Notes) -> list[str]:
    grave = r"\b(?:kills?|die|death|fatal|lethal|electrocut\w*|blind for good)\b"
    return [_where(n, m) for n, m in _messages(notes, "CAUTION", "NOTICE") if has(m.text, grave)]


def message_after_its_step(notes: Notes) -> list[str]:
    return [
        _where(note, one)
        for note, one in _messages(notes, "DANGER", "WARNING", "CAUTION", "NOTICE")
        if not 1 <= one.before_step <= len(note.steps) or one.line >= note.steps[one.before_step - 1].line
    ]


def long_message(notes: Notes) -> list[str]:
    return [
        _where(note, one)
        for note, one in _messages(notes, "DANGER", "WARNING", "CAUTION", "NOTICE")
        if any(count_words(part) > 25 for part in sentences(one.text))
    ]


def two_schemes(notes: Notes) -> list[str]:
    return [
        f"{note.path}:{step.line}: {step.text}"
        for note in notes
        for step in note.steps
        if has(step.text, r"^(?:danger|warning|caution|attention|important|note)\b[:!]")
    ]


def colour_alone(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\bfollow the (?:red|green|yellow|orange) (?:steps|line|part)\b|\bonly (?:if|when) it is (?:red|green|"
        r"orange)\b",
    )


def test_a_message_has_three_sentences_at_least() -> None:
    """OASIS DITA hazard statement: kind of hazard, consequence, how to avoid (restated)."""
    assert not_three_parts(all_notes()) == []


def test_the_third_sentence_of_a_message_tells_how_to_avoid_harm() -> None:
    """OASIS DITA hazard statement (restated); IEC/IEEE 82079-1:2019 (restated)."""
    assert no_way_out(all_notes()) == []


def test_a_message_holds_no_other_instruction() -> None:
    """DOE-STD-1029-92 (1998): no action step in a warning (from memory)."""
    assert instruction_in_the_hazard(all_notes()) == []


def test_notice_is_for_things_only() -> None:
    """ANSI Z535.6-2011 (restated)."""
    assert notice_for_people(all_notes()) == []


def test_caution_and_above_are_for_people() -> None:
    """ANSI Z535.6-2011 (restated): damage to things alone is a NOTICE."""
    assert caution_for_things(all_notes()) == []


def test_danger_will_kill_or_badly_injure() -> None:
    """ANSI Z535.6-2011 (restated)."""
    assert danger_without_will(all_notes()) == []


def test_danger_is_rare() -> None:
    """ANSI Z535.6-2011 (restated)."""
    assert danger_outside_safety_notes(all_notes()) == []


def test_warning_could_kill_or_badly_injure() -> None:
    """ANSI Z535.6-2011 (restated)."""
    assert mild_warning(all_notes()) == []


def test_only_danger_says_will() -> None:
    """ANSI Z535.6-2011 (restated)."""
    assert warning_says_will(all_notes()) == []


def test_no_deadly_hazard_hides_in_a_caution() -> None:
    """ANSI Z535.6-2011 (restated)."""
    assert grave_caution(all_notes()) == []


def test_a_message_stands_before_its_step() -> None:
    """IEC/IEEE 82079-1:2019 (restated); ANSI Z535.6-2011 (from memory)."""
    assert message_after_its_step(all_notes()) == []


def test_messages_are_short() -> None:
    """ASD-STE100 Issue 9 (2025), rules 6.3 and 7.1 to 7.3 (restated)."""
    assert long_message(all_notes()) == []


def test_one_scheme_of_signal_words() -> None:
    """ANSI Z535.6-2011 and ASD-STE100 Issue 9 (2025) differ: the notes keep to the first (restated)."""
    assert two_schemes(all_notes()) == []


def test_colour_is_never_the_only_sign() -> None:
    """ISO 3864-1 with WCAG 2.2, 1.4.1 (from memory)."""
    assert colour_alone(all_notes()) == []
