"""Sentences, steps and words."""

from __future__ import annotations

import re

from tests.outside.words import COMMANDS, KNOWN_CAPITALS, OTHER_WORDS, WATCHING, command_of
from tests.outside.world import Notes, all_notes, at, count_words, has, mentions, said, sentences, whole_text
from tests.shipped import CORPUS

_PROSE = ("condition", "cause", "before", "safety", "result", "fails", "why")


def long_step(notes: Notes) -> list[str]:
    return [f"{one.place}: {count_words(one.text)} words" for one in said(notes, "steps") if count_words(one.text) > 20]


def long_sentence(notes: Notes) -> list[str]:
    return [f"{one.place}: {count_words(one.text)} words" for one in said(notes, *_PROSE) if count_words(one.text) > 25]


def long_choice(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note in notes
        for step in note.steps
        for branch in step.branches
        if count_words(branch.condition) > 20
    ]


def semicolons(notes: Notes) -> list[str]:
    return mentions(notes, ";")


def step_without_command(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note in notes
        for step in note.steps
        if command_of(sentences(step.text)[0]) not in COMMANDS
    ]


def two_instructions(notes: Notes) -> list[str]:
    verbs = "|".join(sorted(COMMANDS - WATCHING, key=len, reverse=True))
    objects = r"(?:the|a|an|it|its|one|each|all|both|any|them|that|to|try|your|for|what)\b"
    second = rf"(?<!^)(?:, and (?:then )?|, then | and (?:then )?)(?:{verbs}) {objects}"
    another = rf"^(?:{'|'.join(sorted(COMMANDS))}) {objects}"
    found = []
    for note in notes:
        for step in note.steps:
            parts = sentences(step.text)
            paired = has(parts[0], rf"^(?:[^,]*, )?(?:{verbs}) and (?:{verbs})\b") or has(
                parts[0], r"^ask\b|^call\b[^,]*, and tell them\b"
            )
            doubled = has(parts[0], second) and not paired
            if doubled or has(step.text, r"\band then\b") or any(has(part, another) for part in parts[1:]):
                found.append(at(note, step.text, step))
    return found


def condition_after_the_command(notes: Notes) -> list[str]:
    late = rf"^(?:{'|'.join(sorted(COMMANDS))})\b[^,]*\b(?:in case|provided|should) (?:it|the|that|you)\b"
    return [f"{one.place}: {one.text}" for one in said(notes, "steps") if has(one.text, late)]


def condition_without_comma(notes: Notes) -> list[str]:
    return [f"{one.place}: {one.text}" for one in said(notes, "steps") if has(one.text, r"^if\b[^,]*$")]


def number_of_steps(notes: Notes) -> list[str]:
    return [at(note, f"{len(note.steps)} steps") for note in notes if not 3 <= len(note.steps) <= 10]


def section_lengths(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        sizes = (
            ("condition", note.condition, 2, 4),
            ("result", note.result, 1, 3),
            ("if it still fails", note.if_it_still_fails, 1, 3),
            ("why", note.why, 2, 5),
        )
        for name, text, least, most in sizes:
            if text and not least <= len(sentences(text)) <= most:
                found.append(at(note, f"{name} has {len(sentences(text))} sentences"))
    return found


def instruction_in_the_condition(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes, "condition")
        if one.text.split()[0].lower() in COMMANDS and has(one.text, r"^\w+ (?:the|a|your|it)\b")
    ]


def titles(notes: Notes) -> list[str]:
    return [
        at(note, note.title) for note in notes if len(note.title.split()) > 9 or note.title.endswith((".", "!", "?"))
    ]


def not_ascii(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        file = CORPUS / note.path
        text = file.read_text(encoding="utf-8") if file.is_file() else whole_text(note)
        for number, line in enumerate(text.split("\n"), start=1):
            if not line.isascii():
                found.append(f"{note.path}:{number}: {line}")
    return found


def brand_like_names(notes: Notes) -> list[str]:
    found = []
    for one in said(notes):
        words = re.findall(r"[A-Za-z][\w.-]*", one.text)
        for word in words[1:]:
            plain = word.strip(".-").removesuffix("'s")
            demo_code = re.fullmatch(r"[A-Z]{2}-\d\d", plain)
            if (
                re.search(r"[A-Z]", plain)
                and plain not in KNOWN_CAPITALS
                and not demo_code
                and not _opens(one.text, word)
            ):
                found.append(f"{one.place}: {word}")
    return found


def _opens(text: str, word: str) -> bool:
    return re.search(rf"(?:[:.] |\"){re.escape(word)}\b", text) is not None


def brand_like_tools(notes: Notes) -> list[str]:
    return [at(note, item) for note in notes for item in (*note.tools, *note.parts) if item != item.lower()]


def street_words_in_steps(notes: Notes) -> list[str]:
    return [
        f"{one.place}: say {word}: {one.text}"
        for one in said(notes, "steps", "choices")
        for pattern, word in OTHER_WORDS.items()
        if has(re.sub(r"\"[^\"]*\"|\b[a-z]+(?:-[a-z]+)+\b", "", one.text), pattern)
    ]


def doubled_words(notes: Notes) -> list[str]:
    return mentions(notes, r"\b(\w+) \1\b(?! \1)")


def emergency_number_spelled_out(notes: Notes) -> list[str]:
    return mentions(notes, r"\b(?:call|dial|ring) (?:\d{3}|nine)\b|\b(?:911|999|112)\b")


def vague_words(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes, "steps")
        if has(
            one.text, r"\b(?:as appropriate|if necessary|as needed|etc\.?|and so on|properly|adequately|some time)\b"
        )
    ]


def test_a_step_has_20_words_a_sentence_at_most() -> None:
    """ASD-STE100 Issue 9 (2025), rule 5.1 (restated)."""
    assert long_step(all_notes()) == []


def test_other_sentences_have_25_words_at_most() -> None:
    """ASD-STE100 Issue 9 (2025), rules 5.5 and 6.3 (restated)."""
    assert long_sentence(all_notes()) == []


def test_a_choice_has_20_words_at_most() -> None:
    """ASD-STE100 Issue 9 (2025), rule 5.1 (restated)."""
    assert long_choice(all_notes()) == []


def test_no_semicolon() -> None:
    """ASD-STE100 Issue 9 (2025), rule 8.1 (restated)."""
    assert semicolons(all_notes()) == []


def test_every_step_is_a_command() -> None:
    """ASD-STE100 Issue 9 (2025), rule 5.3 (restated)."""
    assert step_without_command(all_notes()) == []


def test_one_instruction_a_step() -> None:
    """ASD-STE100 Issue 9 (2025), rule 5.2 (restated): one instruction unless two are done at once."""
    assert two_instructions(all_notes()) == []


def test_the_condition_comes_first() -> None:
    """ASD-STE100 Issue 9 (2025), rule 5.4 (restated)."""
    assert condition_after_the_command(all_notes()) == []


def test_a_leading_condition_ends_in_a_comma() -> None:
    """ASD-STE100 Issue 9 (2025), rule 5.4 (restated)."""
    assert condition_without_comma(all_notes()) == []


def test_three_to_ten_steps() -> None:
    """Common practice."""
    assert number_of_steps(all_notes()) == []


def test_sections_are_short() -> None:
    """ASD-STE100 Issue 9 (2025), rule 6.6: six sentences at most; the notes allow fewer (restated)."""
    assert section_lengths(all_notes()) == []


def test_the_condition_holds_no_instruction() -> None:
    """OASIS DITA 1.3, troubleshooting topic: the condition describes."""
    assert instruction_in_the_condition(all_notes()) == []


def test_titles_are_short_and_without_a_stop() -> None:
    """Common practice."""
    assert titles(all_notes()) == []


def test_notes_are_plain_ascii() -> None:
    """Common practice."""
    assert not_ascii(all_notes()) == []


def test_no_word_looks_like_a_brand() -> None:
    """Common practice: capitals only in names of publications, units and demo codes."""
    assert brand_like_names(all_notes()) == []


def test_no_tool_or_part_looks_like_a_brand() -> None:
    """Common practice."""
    assert brand_like_tools(all_notes()) == []


def test_steps_use_one_word_for_one_thing() -> None:
    """ASD-STE100 Issue 9 (2025), rules of section 1 (from memory)."""
    assert street_words_in_steps(all_notes()) == []


def test_no_word_is_doubled() -> None:
    """Common practice."""
    assert doubled_words(all_notes()) == []


def test_no_country_number_for_emergencies() -> None:
    """Common practice: emergency numbers differ from country to country."""
    assert emergency_number_spelled_out(all_notes()) == []


def test_steps_are_not_vague() -> None:
    """IEC/IEEE 82079-1:2019: no vague terms (from memory)."""
    assert vague_words(all_notes()) == []
