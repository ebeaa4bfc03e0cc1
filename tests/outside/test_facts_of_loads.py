"""What can fall, roll or crush, and how much room people need."""

from __future__ import annotations

import pytest

from tests.outside.facts import Fact, agrees, leads, never, only, order, says, unsaid, wherever
from tests.outside.world import Notes, at, choices_like, first_step, has, said

_INCH = "in|inch|inches"
_TIP_OVER = (
    "Australian first aid: off as soon as safe; UK trainers: not after 15 minutes (restated): the handler decides"
)
_ANCHOR = "CPSC anchoring advice, US (restated)"
_PLAN = "NIOSH 94-110, US (restated); common practice"
_CROWD = "OSHA crowd management fact sheet, US (restated)"
_ADA = "2010 ADA Standards"


def power_before_anchor(notes: Notes) -> list[str]:
    found = []
    for note in (note for note in notes if note.id == "cab-install"):
        anchored = next((s.n for s in note.steps for b in s.branches if b.note == "cab-anchor"), None)
        played = first_step(note, r"^(?:play|start|plug the station|switch)\b") or len(note.steps)
        if anchored is None or anchored >= played:
            found.append(at(note, "anchored before it gets power"))
    return found or ([] if any(note.id == "cab-install" for note in notes) else ["no cab-install"])


def deaths_without_year(notes: Notes) -> list[str]:
    years = {"217": "2013", "459": "2018"}
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\btip-overs?\b")
        for number, year in years.items()
        if has(one.text, rf"\b{number}\b") and year not in one.text
    ]


def heavy_display_lifted(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, r"\bover \d+ kg\b")
        if not has(branch.condition, r"\bover (?:23 kg \(51 lb\)|10 kg \(22 lb\))") or branch.note != "visit-escalate"
    ]


TIPPING = [
    Fact(
        "everybody back, then the call, then helpers, then the barrier",
        _TIP_OVER,
        order("safety-tip-over", r"\beverybody back\b", r"\bemergency number\b", r"\bsend others\b", r"\bbarrier\b"),
        {"id": "safety-tip-over", "steps": "Send others for help.\nCall the local emergency number."},
    ),
    Fact(
        "nobody lifts, tilts or moves before the call handler says so",
        _TIP_OVER,
        (
            says("safety-tip-over", r"\b(?:nobody|never)\b[^.]*\blifts?\b"),
            says("safety-tip-over", r"\bnever\b[^.]*\bcatch\b", "before"),
            never(
                r"\b(?:lift|tilt|roll|slide|drag|pull|move)\b[^.]*\b(?:cabinet|weight|display)\b[^.]*\b(?:off|from) "
                r"(?:the|a) (?:person|child)\b|\b(?:lift|pull|drag|move)\b[^.]*\b(?:crushed|trapped|caught) "
                r"(?:person|child)"
            ),
        ),
        {"id": "safety-tip-over", "steps": "Lift the cabinet off the person."},
    ),
    Fact(
        "nobody holds, catches or straightens what leans",
        "NIOSH and OSHA, struck-by advice, US (inference)",
        never(
            r"\b(?:catch|straighten|prop|support|steady|hold)\b[^.]*\b(?:leaning|falling|tipping) "
            r"(?:cabinet|display|rack)\b"
            r"|\b(?:catch|straighten) (?:the|a) (?:cabinet|display|rack)\b"
        ),
        {"steps": "Steady the leaning cabinet."},
    ),
    Fact(
        "the barrier stands further out than the cabinet is high",
        "NIOSH and OSHA, struck-by advice, US (inference)",
        wherever(r"\bbarrier\b[^.]*\bround the cabinet\b|\bbarrier, further\b", r"\bfurther out than\b[^.]*\bhigh\b"),
        {"steps": "Set a barrier round the cabinet."},
    ),
    Fact(
        "what leans leads to the one note for it",
        "CPSC anchoring advice, US (restated): one way for every place",
        leads(r"\b(?:cabinet leans|begins to lean|it leans, or rolls|cabinet or display leans)\b", {"safety-tip-over"}),
        {"steps": "Look.\n- If the cabinet leans: the work is done."},
    ),
    Fact(
        "deaths by tip-over are told with their years",
        "CPSC tip-over report, February 2024, US (read): 217 from 2013 to July 2023; 459 to 2018 is older",
        deaths_without_year,
        {"why": "CPSC in the US counted 217 deaths by tip-over."},
    ),
    Fact(
        "no rep makes a hole in a wall or a floor",
        "Control of Asbestos Regulations 2012, UK (from memory); common practice",
        never(r"\b(?:drill|hammer|screw|nail)\b[^.]*\b(?:hole|wall|floor|plasterboard)\b"),
        {"steps": "Drill a hole into the wall."},
    ),
    Fact(
        "both ends of a strap are checked, plastic ties are changed",
        "AHFA report on CPSC data, US (restated): half failed at wall or furniture end; plastic grew brittle",
        (
            says("cab-anchor", r"\bboth ends\b", "steps"),
            says("cab-anchor", r"\bthin plastic\b", "choices"),
            never(r"\b(?:fit|use|tie)\b[^.]*\b(?:zip tie|plastic (?:tie|strap))\b"),
        ),
        {"id": "cab-anchor", "steps": "Fit a plastic tie."},
    ),
    Fact(
        "ASTM F3096-23 tests the strap and not the wall",
        "ASTM F3096-23, section 1.2, US (restated)",
        unsaid(r"\bASTM F3096\b", r"\bF3096-23\b[^.]*\bnot how it sits in the wall\b"),
        {"why": "The US standard ASTM F3096-17 proves that the wall holds."},
    ),
    Fact(
        "an anchor is proved by a light pull, the display by its own",
        _ANCHOR,
        order(
            "cab-anchor",
            r"\bstep back\b",
            r"\banchor of the cabinet\b",
            r"\bstrap of the display\b",
            r"\bpull the top\b",
        ),
        {"id": "cab-anchor", "steps": "Pull the top.\nAsk everybody to step back."},
    ),
    Fact(
        "of four castors three carry: each takes a third of the whole",
        "Castor makers' method, n minus 1 (restated)",
        unsaid(r"\bcastors?\b[^.]*\b(?:quarter|fourth|half) of\b"),
        {"why": "Each of the four castors carries a quarter of the weight."},
    ),
    Fact(
        "no cabinet is lifted, tipped or jacked up",
        _PLAN,
        never(
            r"\b(?:lift|tip|tilt|jack up|raise|carry)\b (?:up )?(?:the|a|one (?:side|end|corner) of the) "
            r"(?:whole )?cabinet\b"
        ),
        {"steps": "Tilt the cabinet to look underneath."},
    ),
    Fact(
        "no wedge of wood or card under a cabinet",
        "Common practice",
        (
            never(r"\b(?:put|push|lay|place|slide)\b[^.]*\b(?:wood|card|book|paper|wedge)\b[^.]*\bunder\b"),
            says("cab-castor", r"\bnever\b[^.]*\bunder\b", "before"),
        ),
        {"id": "cab-castor", "steps": "Push a wedge of card under the foot."},
    ),
]
HANDLING = [
    Fact(
        "a display over 23 kg (51 lb) is not for reps",
        "NIOSH 94-110 (revised 2021), US (read): the best posture, taken here as the limit",
        heavy_display_lifted,
        {"steps": "Look.\n- If it weighs over 40 kg: go to step 1."},
    ),
    Fact(
        "dead, photographed, unplugged, held, and then unscrewed",
        "29 CFR 1910.147(a)(2)(iii)(A), US (restated); common practice (hang test from memory)",
        order(
            "screen-swap",
            r"\bphoto\b",
            r"\bpull every plug\b",
            r"\bsecond person to hold\b",
            r"\btake out the lower fixings\b",
        ),
        {"id": "screen-swap", "steps": "Take out the lower fixings.\nAsk the second person to hold it."},
    ),
    Fact(
        "a display keeps the screws that are made for it",
        "VESA mount standard, by trade pages (restated): a screw too long breaks the inside",
        never(r"\b(?:use|fit|take)\b[^.]*\b(?:longer|any|other) (?:fixing )?screws?\b"),
        {"steps": "Use a longer screw."},
    ),
    Fact(
        "a station is anchored before it gets power",
        _ANCHOR,
        power_before_anchor,
        {
            "id": "cab-install",
            "steps": "Play the demo.\nAnchor it.\n- If it is firm: do [cab-anchor](../cab/cab-anchor.md), "
            "then go to step 2.",
        },
    ),
    Fact(
        "data first, display off by two, the strap to the wall last",
        "NIST SP 800-88, US (restated); NIOSH 94-110, US (restated); common practice (from memory)",
        order(
            "cab-remove",
            r"\bbarrier\b",
            r"\baccounts\b",
            r"\bshut down\b",
            r"\bwith two people\b",
            r"\bstrap to the wall off\b",
        ),
        {"id": "cab-remove", "steps": "Take the strap to the wall off.\nLook for accounts."},
    ),
    Fact(
        "wiping data is checked and recorded",
        "NIST SP 800-88 Rev. 1 (2014), US (restated)",
        unsaid(r"\bNIST SP 800-88\b", r"\bcheck\b[^.]*\brecord\b"),
        {"why": "The US guide NIST SP 800-88 asks for nothing more."},
    ),
    Fact(
        "18 in (450 mm) stay free below a sprinkler",
        "NFPA 13; 29 CFR 1910.159(c)(10), US (from memory)",
        (only(r"\bsprinklers?\b", _INCH, {18}), only(r"\bsprinklers?\b", "mm", {450, 457})),
        {"why": "Keep 10 in (254 mm) free below a sprinkler."},
    ),
    Fact(
        "no artwork over a vent, a sprinkler, an exit sign or a detector",
        "29 CFR 1910.37, US (restated); common practice (from memory)",
        (
            never(
                r"\b(?:fit|hang|stick|fix|put|lay)\b[^.]*\b(?:over|across|on) (?:a|the) (?:vent|"
                r"exit sign|sprinkler|detector)"
            ),
            leads(r"\bwould (?:cover|hide)\b", {"visit-escalate"}),
        ),
        {"steps": "Fix it over a vent.\n- If it would hide an exit sign: go to step 1."},
    ),
    Fact(
        "exit ways are never under 28 in wide",
        "29 CFR 1910.36(g)(2), US (restated)",
        unsaid(r"\bexit (?:way|route|access)s?\b[^.]*\b(?:[1-9]|1\d|2[0-7]) in\b"),
        {"why": "An exit way of 24 in is enough."},
    ),
]
ROOM = [
    Fact(
        "clear floor of 30 by 48 in (760 by 1220 mm)",
        _ADA + " 305.3, US (restated)",
        (
            only(r"\b(?:clear|free) floor\b|\bunder \d+ by\b", _INCH, {30, 48}),
            only(r"\b(?:free|clear) floor\b", "mm", {760, 1220}),
        ),
        {"why": "A free floor of 24 in by 36 in (600 to 900 mm) will do."},
    ),
    Fact(
        "reach is measured wherever people of all heights play",
        _ADA + " 308.2.1 and 308.3.1, US (restated)",
        (
            says("cab-install", r"\b15 to 48 in\b", "choices"),
            only(r"\babove the floor\b|\bheights?\b", _INCH, {15, 48}),
        ),
        {"id": "cab-install", "steps": "Measure how high it is above the floor: 54 in at most."},
    ),
    Fact(
        "a wheelchair is not pushed and a guide dog not touched unasked, and no person is lifted",
        "28 CFR 36.303, US (from memory); common practice",
        (
            never(r"\b(?:push|lift|move|touch|stroke|hold)\b[^.]*\b(?:wheelchair|guide dog)\b"),
            says("visit-access", r"\bnever\b[^.]*\blift a person\b", "before"),
            says("visit-access", r"\bspeak to the person\b", "before"),
        ),
        {"id": "visit-access", "steps": "Push the wheelchair to the shelf."},
    ),
    Fact(
        "the person is asked before anything is changed",
        "Equality Act 2010 section 20, UK (from memory)",
        order("visit-access", r"^ask the person what would help\b", r"\bmeasure\b", r"\bcaptions\b"),
        {"id": "visit-access", "steps": "Measure the floor.\nAsk the person what would help."},
    ),
    Fact(
        "criteria of the web guideline stand with their topics",
        "WCAG 2.2, 1.2.2 captions, 1.4.4 text, 2.3.1 flashes (read; two from memory)",
        (
            unsaid(r"\b1\.2\.2\b", r"\bcaptions\b"),
            unsaid(r"\b1\.4\.4\b", r"\b(?:larger )?text\b"),
            unsaid(r"\b2\.3\.1\b", r"\bflash\w*\b"),
        ),
        {"why": "The guideline has criteria 1.2.2, 1.4.4 and 2.3.1 for sound."},
    ),
    Fact(
        "the ways out are walked before the doors open, and the stop is agreed",
        _CROWD,
        order(
            "visit-launch",
            r"\bwho stops the event\b",
            r"\bto each exit\b",
            r"\bqueue\b",
            r"\bbarrier\b",
            r"\bhow long a turn\b",
        ),
        {"id": "visit-launch", "steps": "Mark the queue.\nWalk to each exit."},
    ),
    Fact(
        "no exit is locked or blocked, and a barrier opens by hand",
        _CROWD,
        (
            never(
                r"\b(?:lock|block|chain|wedge|tie|close off)\b[^.]*\b(?:exits?|fire doors?|way out)\b",
                "before",
                "steps",
            ),
            says("visit-launch", r"\bopens? by hand\b", "steps"),
            says("visit-launch", r"\bqueue\b[^.]*\baway from\b[^.]*\bexits\b", "steps"),
        ),
        {"id": "visit-launch", "steps": "Lock the exit while the queue waits."},
    ),
    Fact(
        "a crowd that presses ends the play, and the emergency number is named",
        _CROWD,
        (
            says("visit-launch", r"\bcrushed\b[^.]*\blocal emergency number\b", "before"),
            says("visit-launch", r"\bstop the play before the crowd is tight\b", "safety"),
        ),
        {"id": "visit-launch"},
    ),
]
FACTS = [*TIPPING, *HANDLING, *ROOM]


@pytest.mark.parametrize("fact", FACTS, ids=str)
def test_the_notes_agree(fact: Fact) -> None:
    agrees(fact)
