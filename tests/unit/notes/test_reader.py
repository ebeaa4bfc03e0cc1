"""One note's Markdown -> `Note`, and every fault with its line."""

from __future__ import annotations

import re

import pytest

from assistant.errors import NotesError
from assistant.model import Branch, Review, SafetyMessage, Step
from assistant.notes.reader import SECTIONS, read_note
from tests.making import NOTE_PATH, NOTE_TEXT, line_of


def faults_of(text: str, path: str = NOTE_PATH) -> list[str]:
    with pytest.raises(NotesError) as raised:
        read_note(text, path)
    return str(raised.value).split("\n")


def test_every_field_and_section_is_read() -> None:
    note = read_note(NOTE_TEXT, NOTE_PATH)
    assert (note.id, note.title, note.station, note.action) == (
        "pad-demo",
        "Pad lamp stays dark",
        ("pad",),
        "replace",
    )
    assert (note.minutes, note.revision, note.reviewed) == (6, 3, "2026-11-02")
    assert (note.tools, note.parts, note.see_also) == (("cabinet key",), ("wired pad",), ("pad-other",))
    assert note.sources == ("common practice",)
    assert note.condition == "The lamp of the pad stays dark. The pad does nothing."
    assert note.cause == ("A loose lead.", "A dead pad.")
    assert note.before_you_start == ("Have a wired pad in the bag.",)
    assert note.result == "The lamp is lit."
    assert note.if_it_still_fails == 'Look at "Another pad".'
    assert note.why == "A lead breaks inside."
    assert note.links == ("pad-other", "pad-other")
    assert note.on_failure == ("pad-other",)
    assert (note.hazards, note.safety_review) == ((), None)
    assert note.examples == ()
    assert note.path == NOTE_PATH


def test_steps_have_numbers_lines_and_the_kinds_of_choice() -> None:
    note = read_note(NOTE_TEXT, NOTE_PATH)
    assert note.steps == (
        Step(
            1,
            "Look at the lamp.",
            (
                Branch("If the lamp is lit", "If the lamp is lit: the work is done."),
                Branch("If the lamp blinks", "If the lamp blinks: go to step 3.", step=3),
            ),
            line_of(NOTE_TEXT, "1. Look"),
        ),
        Step(2, "Unplug the pad.", (), line_of(NOTE_TEXT, "2. Unplug")),
        Step(
            3,
            "Fit the new wired pad.",
            (Branch("If not", 'If not: go to "Another pad".', note="pad-other"),),
            line_of(NOTE_TEXT, "3. Fit"),
        ),
    )


@pytest.mark.parametrize(
    ("ending", "shown", "step", "note"),
    [
        ("go to step 2.", "go to step 2.", 2, None),
        ("Go to [Another pad](../pad/pad-other.md).", 'Go to "Another pad".', None, "pad-other"),
        (
            "do [Another pad](../pad/pad-other.md), then go to step 1.",
            'do "Another pad", then go to step 1.',
            1,
            "pad-other",
        ),
        ("The work is done.", "The work is done.", None, None),
    ],
)
def test_a_choice_goes_to_a_step_leaves_comes_back_or_ends(
    ending: str, shown: str, step: int | None, note: str | None
) -> None:
    read = read_note(NOTE_TEXT.replace(f"{LINK}.", ending), NOTE_PATH)
    assert read.steps[2].branches == (Branch("If not", f"If not: {shown}", step, note),)
    assert read.links == ((note, "pad-other") if note else ("pad-other",))
    assert read.on_failure == ("pad-other",)


def test_each_note_for_the_case_that_it_still_fails_is_named_once() -> None:
    again = "Look at [a pad](../pad/pad-other.md), then [it](../disc/disc-a.md), or [that](../pad/pad-other.md)."
    note = read_note(NOTE_TEXT.replace("Look at [Another pad](../pad/pad-other.md).", again), NOTE_PATH)
    assert note.on_failure == ("pad-other", "disc-a")


def test_hazards_and_review_are_read() -> None:
    text = NOTE_TEXT.replace("---\n\n## C", "hazards: [bare-wire, grit]\nsafety_review: unsigned\n---\n\n## C")
    note = read_note(text, NOTE_PATH)
    assert (note.hazards, note.safety_review) == (("bare-wire", "grit"), Review())


def test_safety_messages_belong_to_the_step_after_them() -> None:
    assert read_note(NOTE_TEXT, NOTE_PATH).safety == (
        SafetyMessage(
            "WARNING",
            "A cut lead has bare wires. They can burn a hand. Unplug it first.",
            2,
            line_of(NOTE_TEXT, "**WARNING**"),
        ),
        SafetyMessage(
            "NOTICE", "Grit is sharp. It scratches the shell. Shake the cloth out.", 2, line_of(NOTE_TEXT, "**NOTICE**")
        ),
    )


@pytest.mark.parametrize("signal", ["DANGER", "WARNING", "CAUTION", "NOTICE"])
def test_every_signal_word_is_known(signal: str) -> None:
    note = read_note(NOTE_TEXT.replace("**WARNING**", f"**{signal}**"), NOTE_PATH)
    assert note.safety[0].signal == signal


@pytest.mark.parametrize("name", ["Cause", "Before you start", "Why"])
def test_optional_sections_may_be_left_out(name: str) -> None:
    head, _, rest = NOTE_TEXT.partition(f"## {name}\n")
    _, mark, tail = rest.partition("## ")
    note = read_note(head + mark + tail, NOTE_PATH)
    assert not {"Cause": note.cause, "Before you start": note.before_you_start, "Why": note.why}[name]


def test_emphasis_code_and_wrapped_lines_become_plain_text() -> None:
    text = NOTE_TEXT.replace("The lamp is lit.\n", "The *lamp* `is`\nvery **lit**.\n")
    assert read_note(text, NOTE_PATH).result == "The lamp is very lit."


def test_markup_of_pages_is_only_text() -> None:
    text = NOTE_TEXT.replace("The lamp is lit.\n", "The <b>lamp</b> is lit.\n")
    assert read_note(text, NOTE_PATH).result == "The <b>lamp</b> is lit."


ENDINGS = (
    "go to step N.', 'go to' with a link to a note, 'do' with a link and ', then go to step N.', or 'the work is done.'"
)
LINK = "go to [Another pad](../pad/pad-other.md)"
FAULTS = [
    (
        "## Cause",
        "## Reasons",
        "## Reasons",
        f"unknown section 'Reasons': allowed are {', '.join('## ' + s for s in SECTIONS)}",
    ),
    (
        "## Cause",
        "### Cause",
        "### Cause",
        f"unknown section 'Cause': allowed are {', '.join('## ' + s for s in SECTIONS)}",
    ),
    ("## Why", "## Result", "A lead breaks", None),
    ("## Cause", "## Why", "## Before you", "section 'Before you start' must stand before 'Why'"),
    ("The lamp is lit.\n", "", "---", "section 'Result' is empty"),
    ("## Condition\n", "Hello.\n\n## Condition\n", "Hello.", "text before the first section"),
    ("1. Look", "Hello.\n\n1. Look", "Hello.", "text between the steps belongs to no step"),
    ("1. Look", "- Hello.\n\n1. Look", "- Hello.", "steps must be a numbered list"),
    ("2. Unplug", "4. Unplug", "4. Unplug", "step 4 stands where step 2 is due"),
    ("3. Fit", "5. Fit", "5. Fit", "step 5 stands where step 3 is due"),
    ("3. Fit", "2. Fit", "2. Fit", "step 2 stands where step 3 is due"),
    ("2. Unplug the pad.", "2.", "2.", "step 2 is empty"),
    ("go to step 3.", "go to step 4.", "1. Look", "step 1 leads to step 4, which does not exist"),
    ("go to step 3.", "go to step 0.", "1. Look", "step 1 leads to step 0, which does not exist"),
    (
        "If the lamp blinks: go",
        "When it blinks: go",
        "When it",
        f"a choice must read 'If ...: {ENDINGS}",
    ),
    (
        "go to step 3.",
        "give up.",
        "give up.",
        f"a choice must end in '{ENDINGS}",
    ),
    *(
        (LINK, ending, ending, f"a choice must end in '{ENDINGS}")
        for ending in (
            "see [Another pad](../pad/pad-other.md)",
            "go to pad-other",
            'go to "Another pad"',
            "do [Another pad](../pad/pad-other.md)",
            "do [Another pad](../pad/pad-other.md), then go to step two",
            "do [Another pad](../pad/pad-other.md), then the work is done",
            'do "Another pad", then go to step 2',
            "go to [Another pad](../pad/pad-other.md) or [it](../pad/pad-other.md)",
        )
    ),
    (
        LINK,
        "do [Another pad](../pad/pad-other.md), then go to step 4",
        "3. Fit",
        "step 3 leads to step 4, which does not exist",
    ),
    (
        "(../pad/pad-other.md).\n\n## Result",
        "(pad-other.md).\n\n## Result",
        "(pad-other.md)",
        "link 'pad-other.md' is not of the form ../area/id.md",
    ),
    (
        "A lead breaks",
        "![x](../pad/pad-other.md) A lead",
        "![x]",
        "a picture stands under a step, or under an item of 'Before you start'",
    ),
    (
        "> **WARNING** A",
        "> **BEWARE** A",
        "**BEWARE**",
        "a safety message must begin with one of DANGER, WARNING, CAUTION, NOTICE in bold",
    ),
    *(
        (
            old,
            f"{indent}{sign} {rest}",
            f"{sign} ",
            f"this line begins with '{sign}', which is no bullet: begin it with '- '",
        )
        for sign in "\u2022\u2013\u2014\u00b7\u25e6\u25aa\u2023"
        for old, indent, rest in (
            ("   - If the lamp blinks: go to step 3.", "   ", "If the lamp blinks: go to step 3."),
            ("The pad does nothing.", "", "The pad does nothing."),
            ("- A dead pad.", "", "A dead pad."),
            ("A lead breaks inside.", "  ", "A lead breaks inside."),
        )
    ),
    (
        "They can burn a hand. ",
        "",
        "**WARNING**",
        "a safety message needs three sentences: hazard, consequence, how to avoid it",
    ),
    ("## Why\n", "## Why\n\n> **NOTICE** A. B. C.\n", "> **NOTICE** A.", "a safety message stands outside the steps"),
    ("## Result\n", "> **NOTICE** A. B. C.\n\n## Result\n", "> **NOTICE** A.", "a safety message has no step after it"),
    (
        "2. Unplug the pad.\n",
        "2. Unplug the pad.\n\n   > **NOTICE** A. B. C.\n",
        "> **NOTICE** A.",
        "a safety message stands before its step, not in it",
    ),
    ("A lead breaks", "```\nx\n```\n\nA lead breaks", "```", "code blocks and rules have no place in a note"),
    (
        "2. Unplug the pad.\n",
        "2. Unplug the pad.\n\n   ```\n   x\n   ```\n",
        "```",
        "code blocks and rules have no place in a note",
    ),
    ("- A loose lead.", "- A loose lead.\n\n      x = 1\n", "x = 1", "code blocks and rules have no place in a note"),
    (
        "A lead breaks inside.",
        "A lead breaks inside.\n\n***\n",
        "***\n".strip(),
        "code blocks and rules have no place in a note",
    ),
    ("A lead breaks", "A&#8238; lead breaks", "A&#8238;", "holds a control character (U+202E)"),
    ("A lead breaks", "A&#xFE0F; lead breaks", "A&#xFE0F;", "holds an emoji variation selector (U+FE0F)"),
]


@pytest.mark.parametrize(("old", "new", "marker", "message"), FAULTS)
def test_fault_in_the_body(old: str, new: str, marker: str, message: str | None) -> None:
    assert old in NOTE_TEXT
    text = NOTE_TEXT.replace(old, new, 1) if old != "## Why" else NOTE_TEXT.replace(old, new)
    if message is None:
        line, message = line_of(text, marker) - 2, "section 'Result' stands twice"
    elif message.endswith("is empty") and message.startswith("section"):
        line = text.split("\n").index("---", 1) + 2
    else:
        line = line_of(text, marker)
    assert f"{NOTE_PATH}:{line}: {message}" in faults_of(text)


@pytest.mark.parametrize("name", ["Condition", "Steps", "Result", "If it still fails"])
def test_needed_section_is_missed(name: str) -> None:
    head, _, rest = NOTE_TEXT.partition(f"## {name}\n")
    _, mark, tail = rest.partition("## ")
    first = NOTE_TEXT.split("\n").index("---", 1) + 2
    assert faults_of(head + mark + tail) == [f"{NOTE_PATH}:{first}: section '{name}' is missing"]


def test_section_steps_without_steps() -> None:
    head, _, rest = NOTE_TEXT.partition("1. Look")
    text = head + rest[rest.index("## Result") :]
    first = NOTE_TEXT.split("\n").index("---", 1) + 2
    assert faults_of(text) == [f"{NOTE_PATH}:{first}: section 'Steps' has no numbered step"]


def test_id_must_be_the_file_name_and_its_area_the_folder() -> None:
    assert faults_of(NOTE_TEXT, "pad/pad-else.md") == [
        "pad/pad-else.md:2: id 'pad-demo' is not the file name 'pad-else'"
    ]
    assert faults_of(NOTE_TEXT, "disc/pad-demo.md") == ["disc/pad-demo.md:2: the file must lie in the folder 'pad'"]


def test_front_matter_must_stand_first_and_end() -> None:
    assert faults_of("# Hello\n") == [f"{NOTE_PATH}:1: front matter is missing: the first line must be '---'"]
    assert faults_of("") == [f"{NOTE_PATH}:1: front matter is missing: the first line must be '---'"]
    assert faults_of("---\nid: pad-demo\n") == [f"{NOTE_PATH}:1: front matter has no closing '---'"]


def test_all_faults_come_at_once_in_the_order_of_lines() -> None:
    text = NOTE_TEXT.replace("minutes: 6", "minutes: 0").replace("2. Unplug", "5. Unplug").replace("## Why", "## Wy")
    found = faults_of(text)
    lines = [int(fault.split(":")[1]) for fault in found]
    assert lines == sorted(lines)
    assert {line_of(text, "minutes"), line_of(text, "5. Unplug"), line_of(text, "## Wy")} <= set(lines)


@pytest.mark.parametrize(
    ("quote", "told"),
    [
        ("> belt_nip", "there is no hazard 'belt_nip' in hazards.yaml: did you mean 'belt-nip'?"),
        ("> Belt-Nip", "there is no hazard 'Belt-Nip' in hazards.yaml: did you mean 'belt-nip'?"),
        ("> zither", "there is no hazard 'zither' in hazards.yaml"),
        ("> belt-nip", "a safety message must begin with one of DANGER, WARNING, CAUTION, NOTICE in bold"),
        ("> Warning", "a safety message must begin with one of DANGER, WARNING, CAUTION, NOTICE in bold"),
        ("> belt nip", "a safety message must begin with one of DANGER, WARNING, CAUTION, NOTICE in bold"),
    ],
)
def test_a_slip_in_the_key_of_a_hazard_is_told_as_that(quote: str, told: str) -> None:
    text = re.sub(r"> \*\*WARNING.*", quote, NOTE_TEXT)
    with pytest.raises(NotesError) as raised:
        read_note(text, NOTE_PATH, "en", "belt-nip", "hot-roll")
    assert [str(fault) for fault in raised.value.faults] == [f"{NOTE_PATH}:{line_of(text, quote)}: {told}"]


def test_where_nobody_knows_the_hazards_none_is_missed() -> None:
    faults = faults_of(re.sub(r"> \*\*WARNING.*", "> belt_nip", NOTE_TEXT))
    assert [fault.partition(": ")[2].partition(" one of")[0] for fault in faults] == [
        "a safety message must begin with"
    ]
