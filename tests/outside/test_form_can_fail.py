"""Every check on form, wording, messages and sources finds the fault that it is there for."""

from __future__ import annotations

from types import ModuleType

import pytest

from tests.outside import test_safety_messages, test_shape, test_sources, test_writing
from tests.outside.broken import broken_note
from tests.outside.test_checks_can_fail import Case, rules_of, steps, why
from tests.outside.world import Rule

TWENTY_SIX = " ".join(["word"] * 26) + "."


def message(rule: Rule, signal: str, text: str) -> Case:
    """Return a case whose fault lies in the safety message before step 1."""
    return rule, {"steps": f"> **{signal}** {text}\nLook at the lamp."}


MESSAGES = [
    message(test_safety_messages.not_three_parts, "WARNING", "It is hot, e.g. the lid. Keep off it."),
    message(
        test_safety_messages.no_way_out, "WARNING", "It is hot. It burns skin. It is hot for an hour. Keep off it."
    ),
    message(test_safety_messages.instruction_in_the_hazard, "WARNING", "Unplug the strip. It can burn. Keep off it."),
    message(test_safety_messages.notice_for_people, "NOTICE", "It is hot. It burns skin. Keep off it."),
    message(test_safety_messages.caution_for_things, "CAUTION", "It is wet. It rusts the box. Keep it dry."),
    message(test_safety_messages.danger_without_will, "DANGER", "It is live. It may kill. Keep off it."),
    message(test_safety_messages.danger_outside_safety_notes, "DANGER", "It is live. It will kill. Keep off it."),
    message(test_safety_messages.mild_warning, "WARNING", "It is wet. It may stain. Keep off it."),
    message(test_safety_messages.warning_says_will, "WARNING", "It is live. It will kill you. Keep off it."),
    message(test_safety_messages.grave_caution, "CAUTION", "It is live. It may kill. Keep off it."),
    message(test_safety_messages.long_message, "WARNING", f"It is hot. It burns skin. Keep {TWENTY_SIX}"),
    steps(test_safety_messages.two_schemes, "Important: look at the lamp."),
    steps(test_safety_messages.colour_alone, "Follow the red line."),
]
SHAPE = [
    steps(test_shape.broken_links, "Look.\n- If it is dark: go to [Nowhere](../pad/pad-nowhere.md)."),
    steps(test_shape.unreachable_steps, "Look.\n- If it is lit: go to step 3.\n- If not: go to step 3.\nWait.\nStop."),
    steps(test_shape.endless_loops, "Look.\n- If not: go to step 2.\nWait.\n- If not: go to step 1.\nStop the work."),
    steps(test_shape.choice_to_itself, "Look.\n- If it is dark: go to step 1."),
    steps(test_shape.otherwise_in_the_middle, "Look.\n- If not: go to step 1.\n- If it is lit: the work is done."),
    steps(test_shape.one_sided_choices, "Look.\n- If not: go to step 1."),
    steps(test_shape.unlisted_tools, "Look at it with the torch."),
    (test_shape.idle_tools, {"tools": "[hex key]"}),
    (test_shape.tool_and_part, {"tools": "[torch]", "parts": "[torch]"}),
    steps(test_shape.too_few_minutes, "Wait ten minutes.", minutes="5"),
    (test_shape.too_few_minutes_to_prove, {"minutes": "10", "result": "The lamp is lit for ten minutes."}),
    (test_shape.minutes_out_of_range, {"minutes": "90"}),
    (test_shape.reviewed_in_the_future, {"reviewed": "2027-06-01"}),
]
SOURCES = [
    why(test_sources.rule_without_country, "Rule 29 CFR 1910.334 says so."),
    (test_sources.source_without_country, {"sources": "[29 CFR 1910.334]"}),
    (test_sources.unknown_source, {"sources": "[a friend]"}),
    why(test_sources.unlisted_publication, "The US guide of NIOSH says so."),
    why(test_sources.wrong_edition, "The standard EN 13306:2010 says so."),
    why(test_sources.guidance_called_law, "By law, HSG107 holds."),
    why(test_sources.wrong_paragraph, "US rule 29 CFR 1910.23(c)(8) is about lamps."),
    why(test_sources.local_rules_overruled, "This note overrules the store rules."),
]
WRITING = [
    steps(test_writing.long_step, f"Look at {TWENTY_SIX}"),
    why(test_writing.long_sentence, TWENTY_SIX),
    steps(test_writing.long_choice, f"Look.\n- If {TWENTY_SIX[:-1]}: the work is done."),
    why(test_writing.semicolons, "It is dark; it is off."),
    steps(test_writing.step_without_command, "The lamp should be looked at."),
    steps(test_writing.two_instructions, "Close the lid and play the demo."),
    steps(test_writing.condition_after_the_command, "Replace the lamp in case it is dark."),
    steps(test_writing.condition_without_comma, "If it is dark replace the lamp."),
    (test_writing.number_of_steps, {}),
    (test_writing.section_lengths, {"condition": "It is dark."}),
    (test_writing.instruction_in_the_condition, {"condition": "Replace the lamp. It is dark."}),
    (test_writing.titles, {"title": "Lamp is dark."}),
    why(test_writing.not_ascii, "A caf\u00e9 is near."),
    why(test_writing.brand_like_names, "It is the new Glimmerbox."),
    (test_writing.brand_like_tools, {"tools": "[Glimmer key]"}),
    steps(test_writing.street_words_in_steps, "Look at the telly."),
    why(test_writing.doubled_words, "It is is dark."),
    why(test_writing.emergency_number_spelled_out, "Somebody must call 911."),
    steps(test_writing.vague_words, "Clean it as appropriate."),
]
CASES: list[Case] = [*MESSAGES, *SHAPE, *SOURCES, *WRITING]
BUILT_BY_HAND = {"message_after_its_step", "no_source"}


@pytest.mark.parametrize(("rule", "changes"), CASES, ids=lambda value: getattr(value, "__name__", ""))
def test_the_fault_is_found(rule: Rule, changes: dict[str, str]) -> None:
    assert rule([broken_note(**changes)]) != []


def test_a_message_after_its_step_is_found() -> None:
    text = "Look.\n> **WARNING** It is hot. It burns skin. Keep off it.\nWait."
    note = broken_note(steps=text)
    late = note._replace(safety=(note.safety[0]._replace(before_step=1),))
    assert test_safety_messages.message_after_its_step([note]) == []
    assert test_safety_messages.message_after_its_step([late]) != []


def test_a_note_without_source_is_found() -> None:
    assert test_sources.no_source([broken_note()._replace(sources=())]) != []


@pytest.mark.parametrize(
    "module",
    [test_safety_messages, test_shape, test_sources, test_writing],
    ids=lambda module: module.__name__.rpartition(".")[2],
)
def test_every_rule_has_a_broken_note(module: ModuleType) -> None:
    tried = {rule.__name__ for rule, _ in CASES if rule.__module__ == module.__name__}
    assert tried | (BUILT_BY_HAND & rules_of(module)) == rules_of(module)
