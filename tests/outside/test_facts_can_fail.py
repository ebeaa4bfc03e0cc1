"""Every check of a published fact finds the note that gets the fact wrong."""

from __future__ import annotations

import pytest

from tests.outside import (
    test_facts_of_devices,
    test_facts_of_first_aid,
    test_facts_of_loads,
    test_facts_of_people,
    test_facts_of_privacy,
)
from tests.outside.broken import broken_note
from tests.outside.facts import Fact, can_fail, leads, never, only, order, says, unsaid, wherever

FACTS = [
    *test_facts_of_devices.FACTS,
    *test_facts_of_first_aid.FACTS,
    *test_facts_of_loads.FACTS,
    *test_facts_of_people.FACTS,
    *test_facts_of_privacy.FACTS,
]


@pytest.mark.parametrize("fact", FACTS, ids=str)
def test_the_wrong_note_is_found(fact: Fact) -> None:
    can_fail(fact)


def test_each_fact_has_a_name_of_its_own() -> None:
    assert len({fact.name for fact in FACTS}) == len(FACTS)


def test_a_good_note_passes_each_kind_of_check() -> None:
    good = broken_note(
        id="safety-good",
        steps="Keep 36 in free.\nNever lift it.\nSet a barrier, high enough.\n"
        "- If it leans: go to [Cabinet leans](../safety/safety-tip-over.md).",
    )
    rules = (
        never(r"\blift\b"),
        unsaid(r"\b54 in\b"),
        only(r"\bfree\b", "in", {36}),
        says("safety-good", r"\bbarrier\b", "steps"),
        order("safety-good", r"\bkeep\b", r"\bbarrier\b"),
        leads(r"\bleans\b", {"safety-tip-over"}),
        wherever(r"\bbarrier\b", r"\bhigh\b"),
    )
    assert [found for rule in rules for found in rule([good])] == []


def test_a_note_that_is_gone_is_found() -> None:
    assert says("safety-gone", r"\bbarrier\b")([broken_note()]) == ["there is no note safety-gone"]
