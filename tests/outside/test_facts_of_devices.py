"""Headsets, cells, heat, power, wheels, touch, signals, pests and headphones."""

from __future__ import annotations

import pytest

from tests.outside.facts import Fact, agrees, leads, never, only, order, says, unsaid, wherever
from tests.outside.flow import powered_steps
from tests.outside.world import Notes, at, has, mentions, minutes_in, said, steps_like, warned_before

_PRACTICE = "Common practice"
_CHARGE = "Trade reference on lithium-ion charging: 0 to 45 C (restated)"
_RODENTS = "CDC, clean up after rodents, US (read)"
_UTILITY = "Utility safety page, Canada (restated): 10 to 15 minutes; county page, US (read)"


def age_in_years(notes: Notes) -> list[str]:
    headsets = [note for note in notes if note.id.startswith("vr-") or note.id == "safety-headset-user"]
    return mentions(headsets, r"\b(?:under|over|from|below|at least) (?:\d+|ten|twelve|thirteen)\b(?! percent)")


def fitted_unasked(notes: Notes) -> list[str]:
    found = []
    for note in (note for note in notes if note.id == "safety-headset-user"):
        helped = [step for _, step in steps_like([note], r"\bput the headset on\b")]
        asked = [step.n for _, step in steps_like([note], r"\bhealth questions\b|\bask for the age\b")]
        if (
            not helped
            or len(asked) < 2
            or max(asked) > helped[0].n
            or not warned_before(note, helped[0], r"\bseizure\b")
        ):
            found.append(at(note, "asks for age and health, and warns, before the headset goes on"))
    return found


def wheel_reached_under_power(notes: Notes) -> list[str]:
    reaching = r"\b(?:behind the rim|round its shaft|caught there|under and behind each pedal)\b"
    return [at(note, step.text, step) for note in notes for step in powered_steps(note) if has(step.text, reaching)]


def wheel_powered_unwarned(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like([n for n in notes if n.id.startswith("wheel-")], r"^plug\b[^.]*\bstation in\b")
        if not warned_before(note, step, r"\bturn by itself\b")
    ]


def short_wait_for_power(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"\bwait until the power\b[^.]*\bheld\b")
        if not minutes_in(step.text) or min(minutes_in(step.text)) < 10
    ]


def colour_with_a_meaning(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\b(?:red|amber|orange|white|blue|yellow|green) (?:lamp|light|blink\w*)\b[^.]*\bmeans?\b")
    ]


HEADSETS = [
    Fact(
        "no age in years: the box of the headset and the store decide",
        "Makers' limits differ: 10, 12, 13 (restated); no public body sets one",
        (age_in_years, says("safety-headset-user", r"\bbox\b[^.]*\bdecides?\b", "why")),
        {"id": "safety-headset-user", "station": "[vr]", "why": "Nobody under 13 may wear it."},
    ),
    Fact(
        "age, guardian and health are asked, and the warning stands, before the headset goes on",
        "Health warnings of devices (restated); WCAG 2.2, 2.3.1 (read)",
        fitted_unasked,
        {"id": "safety-headset-user", "steps": "Help the person to put the headset on.\nAsk the health questions."},
    ),
    Fact(
        "who feels sick sits, headset off, gets no second turn and does not drive",
        "User warning lists (restated); ISO 9241-394 (from memory)",
        (
            says("safety-headset-user", r"\bheadset\b[^.]*\boff\b", "steps"),
            says("safety-headset-user", r"\bno second turn\b[^.]*\bnot drive\b", "result"),
            never(r"\b(?:play|go) on\b[^.]*\b(?:sick|dizzy)\b|\bgive\b[^.]*\bsecond turn\b"),
        ),
        {"id": "safety-headset-user", "steps": "Give the person a second turn."},
    ),
    Fact(
        "red or itching skin: off, rinsed, cushion and wipe told",
        "CPSC recall of face seals, July 2021, US (restated)",
        (
            says("safety-headset-user", r"\bskin\b[^.]*\bwater\b", "steps"),
            says("safety-headset-user", r"\bcushion\b[^.]*\bwipe\b", "steps"),
        ),
        {"id": "safety-headset-user", "steps": "Rub the skin with a disinfectant wipe."},
    ),
    Fact(
        "figures of skin burns are no rule for a headset",
        "ISO 13732-1:2006, scope (restated): not for the head",
        unsaid(r"\b(?:headset|face)\b[^.]*\b(?:43|48|51) C\b|\bISO 13732\b"),
        {"why": "A headset may reach 48 C on the face."},
    ),
    Fact(
        "a burnt spot in a headset is not cleaned, repaired or flashed away",
        "Trade pages on headset care (restated)",
        (
            never(r"\b(?:polish|clean|repair|flash|run)\b[^.]*\b(?:burnt spot|spot away|flashing pictures)\b"),
            says("vr-burnt-screen", r"\bcannot be cleaned\b", "fails"),
        ),
        {"id": "vr-burnt-screen", "steps": "Run flashing pictures for an hour."},
    ),
    Fact(
        "no play without a whole wrist strap, pulled beforehand",
        "Device manuals (from memory)",
        (
            order("vr-controller", r"^pull each wrist strap\b", r"\bheadset on\b"),
            never(r"\b(?:knot|tape|sew|glue|tie)\b[^.]*\b(?:wrist )?strap\b(?! and| of the display)"),
        ),
        {"id": "vr-controller", "steps": "Knot the torn strap.\nTry the headset on."},
    ),
]
CELLS = [
    Fact(
        "lithium cells charge from 0 to 45 C wherever it is told",
        _CHARGE,
        (
            only(r"\b(?:take charge|charged|charging)\b", "C", {0, 45}),
            unsaid(r"\blithium cells?\b[^.]*\bcharged?\b[^.]*\bfrom (?!0 )-?\d+\b"),
        ),
        {"why": "A lithium cell is charged from -10 to 60 C."},
    ),
    Fact(
        "nothing hot is cooled with water, ice, a freezer or a spray",
        "Common practice; " + _CHARGE,
        never(r"\b(?:cool|chill|lay|put|wrap)\b[^.]*\b(?:with water|in water|ice|freezer|fridge|wet cloth|spray)\b"),
        {"steps": "Put the hot handheld in a freezer."},
    ),
    Fact(
        "a hot, bulging or hissing device leads to the one note for it",
        "NFPA tips on lithium-ion cells, US (restated)",
        leads(r"\b(?:bulges?|hiss(?:es)?)\b|^(?!.*\badapter\b).*\bgrows hot\b", {"safety-swollen-cell"}, {"power-hum"}),
        {"steps": "Look.\n- If it bulges or hisses: go to step 1."},
    ),
    Fact(
        "gloves and glasses before the cover of a leaking cell",
        "Home-care pages on leaked alkaline cells (restated): take the stricter",
        order(
            "pad-cells",
            r"\bdisposable gloves and the safety glasses\b",
            r"\bopen the cell cover\b",
            r"\bwash your hands\b",
        ),
        {"id": "pad-cells", "steps": "Open the cell cover.\nPut on the disposable gloves and the safety glasses."},
    ),
    Fact(
        "what leaks from an alkaline cell is no acid, and no household acid goes on it",
        "Home-care pages on leaked alkaline cells (restated): potassium hydroxide, an alkali",
        (
            unsaid(r"\b(?:battery|cell) acid\b"),
            never(r"\b(?:wipe|dab|clean|scrape|treat)\b[^.]*\b(?:vinegar|lemon|crust off)\b"),
        ),
        {"steps": "Wipe the cell acid away with vinegar."},
    ),
    Fact(
        "only a cell marked as rechargeable is charged",
        "IEC 60086-5 (from memory)",
        (
            never(r"\bcharge\b[^.]*\b(?:alkaline|primary|not marked|not rechargeable|AA cells?)\b"),
            says(
                "pad-cells",
                r"\bnever\b[^.]*\bcharge a cell that is not marked as rechargeable\b",
            ),
        ),
        {"id": "pad-cells", "steps": "Charge the alkaline cells overnight."},
    ),
    Fact(
        "a cell cover ends up screwed tight, or the device is taken away",
        "16 CFR 1263 by UL 4200A-2023, US (restated)",
        wherever(r"\b(?:screw|close)\b[^.]*\bcell cover\b|\bscrew the cover on\b", r"\btight\b"),
        {"steps": "Close the cell cover."},
    ),
    Fact(
        "no cell is thrown away, and ends are taped",
        "49 CFR 173.185(d), US (read); Waste Batteries Regulations 2009, UK (read)",
        wherever(r"^put each (?:old|loose) cell\b", r"\binsulating tape\b"),
        {"steps": "Put each old cell into a clear bag."},
    ),
]
POWER = [
    Fact(
        "after a cut: off at the outlet, wait, then one station after another, the display first",
        _UTILITY,
        order(
            "power-outage",
            r"\bswitch every dark station off\b",
            r"\bheld for\b",
            r"\bnext station\b",
            r"\bdisplay before\b",
        ),
        {"id": "power-outage", "steps": "Switch the next station on.\nSwitch every dark station off."},
    ),
    Fact(
        "the power has held for ten minutes at least",
        _UTILITY,
        short_wait_for_power,
        {"steps": "Wait until the power has held for two minutes."},
    ),
    Fact(
        "never all stations at one switch, never a candle, never a generator",
        "County emergency page, US (read); inrush (inference)",
        never(
            r"\b(?:switch|start|turn)\b[^.]*\b(?:all|every) (?:the )?(?:stations?|devices?)\b[^.]*\bat once\b|"
            r"\bcandles?\b|\b(?:feed|run)\b[^.]*\b(?:generator|vehicle)\b"
        ),
        {"steps": "Switch all stations on at once."},
    ),
    Fact(
        "what hums is not held, wrapped or opened, and what stays hot leads to the safety note",
        "ESFI tips, US (read): the stricter of two",
        (
            says("power-hum", r"\bnever\b[^.]*\bhold\b", "before"),
            says("power-hum", r"\bstill hot: go to\b", "choices"),
            never(r"\b(?:hold|grip|wrap|press)\b[^.]*\b(?:humming|buzzing|part that hums)\b"),
        ),
        {"id": "power-hum", "steps": "Hold the humming adapter for ten seconds."},
    ),
    Fact(
        "standby is not off",
        "IEC 60417-5009 and IEEE 1621 (read: scope; restated)",
        unsaid(r"\bstandby\b[^.]*\b(?:means off|no power|safe to touch|dead)\b", r"\bnot\b"),
        {"why": "In standby the console is dead and safe to touch."},
    ),
    Fact(
        "a colour has no meaning of its own, and the standard on colours is for machines",
        "IEC 60073:2002 (restated); makers' lists (from memory)",
        (colour_with_a_meaning, unsaid(r"\bIEC 60073\b", r"\bmade for machines\b")),
        {"why": "A red lamp means too hot, says IEC 60073."},
    ),
    Fact(
        "a signal is written down before anything is pressed",
        "NAVEDTRA 14191, six steps, US (restated)",
        order(
            "console-signals", r"\bwrite down the lamp\b", r"\bcount the blinks\b", r"\bletter for letter\b", r"^wake\b"
        ),
        {"id": "console-signals", "steps": "Wake the console.\nWrite down the lamp."},
    ),
    Fact(
        "twenty minutes of patience before a failed update is cut, and two tries",
        "Common practice",
        (
            order(
                "console-update-failed", r"\btwenty minutes\b", r"\bletter for letter\b", r"\bhold the power button\b"
            ),
            says("console-update-failed", r"\btwo (?:failed )?tries\b", "fails"),
        ),
        {"id": "console-update-failed", "steps": "Hold the power button until the lamp goes out."},
    ),
]
WORK = [
    Fact(
        "nobody reaches behind a rim or a pedal under power",
        "PUWER 1998 regulation 19, UK (read: heading); 29 CFR 1910.147(a)(2)(iii)(A), US (restated)",
        wheel_reached_under_power,
        {"steps": "Look behind the rim with the torch."},
    ),
    Fact(
        "a powered wheel comes with its warning, hands off, thumbs outside",
        "Makers' practice, no standard found (from memory)",
        (
            wheel_powered_unwarned,
            never(
                r"\b(?:hold|grip|steady|keep)\b[^.]*\b(?:wheel|rim)\b[^.]*\b(?:while|as|"
                r"until) it (?:starts|calibrates|turns|stops)"
            ),
        ),
        {"id": "wheel-broken", "steps": "Plug the station in.\nHold the rim while it calibrates."},
    ),
    Fact(
        "a touch display starts with nobody near it, and is calibrated last, with a bare dry finger",
        "Device practice: controllers take a baseline at the start (from memory)",
        (
            says("screen-touch", r"\bnobody\b[^.]*\bfront\b", "steps"),
            order("screen-touch", r"\bbare, dry finger\b", r"\boff the frame\b", r"\btouch lead\b", r"\bcalibration\b"),
        ),
        {"id": "screen-touch", "steps": "Start the calibration with a glove on."},
    ),
    Fact(
        "droppings, nests and mould are never swept, blown, vacuumed or wiped by a rep",
        _RODENTS,
        (
            never(
                r"\b(?:sweep|vacuum|brush|blow|wipe|dust|clean|scrape|paint|touch)\b[^.]*\b(?:droppings|nests?|mould|"
                r"insects)\b"
            ),
            says("cab-pests", r"\bnever\b[^.]*\bvacuum\b", "before"),
        ),
        {"id": "cab-pests", "steps": "Vacuum the mouse droppings."},
    ),
    Fact(
        "no spray, poison, bait, trap or bleach in a rep's hand",
        "7 USC 136j(a)(2)(G), US (from memory)",
        never(
            r"\b(?:use|spray|lay|set|put|mix)\b[^.]*\b(?:insect spray|insecticide|fogger|poison|bait|traps?|bleach)\b"
        ),
        {"steps": "Spray some insecticide behind the cabinet."},
    ),
    Fact(
        "gloves on before, hands washed after",
        _RODENTS,
        order("cab-pests", r"\bput on disposable gloves\b", r"\bbarrier\b", r"\bpest firm\b", r"\bwash your hands\b"),
        {"id": "cab-pests", "steps": "Wash your hands.\nPut on disposable gloves."},
    ),
    Fact(
        "a lost screw is searched for before power, and screws are counted",
        "PUWER 1998 regulation 4, UK (from memory); common practice",
        order("cab-screws", r"\bsearch the floor\b", r"\bplug the station in\b", r"\bcount the torn screws\b"),
        {"id": "cab-screws", "steps": "Plug the station in.\nSearch the floor."},
    ),
    Fact(
        "no screw is drilled, hammered, glued or left out",
        _PRACTICE,
        never(r"\b(?:drill|hammer|glue|saw)\b[^.]*\bscrews?\b|\bleave\b[^.]*\bscrews? out\b"),
        {"steps": "Drill the screw out."},
    ),
    Fact(
        "headphones start from the lowest volume after every change",
        "WHO-ITU H.870 and the 2025 standard for play (restated)",
        (
            wherever(r"^raise the volume\b[^.]*\b(?:ears?|heads?|headphones)\b", r"\bslowly\b"),
            says("phones-none", r"\blowest volume\b", "steps"),
            says("phones-pair", r"\bfrom its lowest\b", "steps"),
        ),
        {"id": "phones-none", "steps": "Raise the volume to its end, with the headphones on your head."},
    ),
    Fact(
        "nothing sharp or sticky goes into a socket",
        _PRACTICE,
        never(
            r"\b(?:push|put|poke|dig|use)\b[^.]*\b(?:pin|knife|tweezers|needle|glue)\b[^.]*\b(?:into|in|from) (?:a|the|"
            r"its) socket\b"
        ),
        {"steps": "Push a pin into the socket."},
    ),
    Fact(
        "cushions: cleaned, disinfected, wet for the time of the label, dry, and no spray",
        "CDC cleaning guidance and head lice pages, US (restated)",
        (
            order(
                "phones-hygiene",
                r"\bcleaning wipe\b",
                r"\bdisinfectant wipe\b",
                r"\b(?:wet|contact) time on the label\b",
                r"\bplug in\b",
            ),
            never(r"\b(?:spray|wash|soak|boil)\b[^.]*\b(?:headphones?|cushions?)\b"),
        ),
        {"id": "phones-hygiene", "steps": "Spray the headphones."},
    ),
]
FACTS = [*HEADSETS, *CELLS, *POWER, *WORK]


@pytest.mark.parametrize("fact", FACTS, ids=str)
def test_the_notes_agree(fact: Fact) -> None:
    agrees(fact)
