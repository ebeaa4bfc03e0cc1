"""Fire, first aid, splashes and sharp things, as the bodies that issue the advice put it."""

from __future__ import annotations

import pytest

from tests.outside.facts import Fact, agrees, leads, never, only, order, says, unsaid
from tests.outside.world import Notes, at, first_step, has, minutes_in, steps_like

_FIRE_SERVICE = "Suffolk Fire and Rescue Service, advice in the event of fire, UK (read)"
_SPLASH = "St John Ambulance, chemical burns, UK (read); US National Capital Poison Center, eyes (read)"
_NEEDLE = "Vermont Health Department, US (read); Herefordshire Council, UK (read)"
_CPR = "AHA guidelines for CPR (2020), US (restated)"
_ALARM, _OUT, _CALL = r"\bset off the store's fire alarm\b", r"\btake everyone\b", r"\bemergency number\b"


def alarm_then_out_then_call(notes: Notes) -> list[str]:
    found = []
    for note, step in steps_like(notes, _ALARM):
        out, call = first_step(note, _OUT), first_step(note, _CALL)
        if not (out and call and step.n < out < call and has(note.steps[call - 1].text, r"\boutside\b")):
            found.append(at(note, "alarm first, then everybody out, then the call from outside", step))
    return found


def rinsed_too_briefly(notes: Notes) -> list[str]:
    rinsing = r"\brins\w+\b|\b(?:cool|running) water\b|\bwater running\b"
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, rinsing)
        if any(minutes < 20 for minutes in minutes_in(step.text))
    ]


def fit_half_told(notes: Notes) -> list[str]:
    wanted = (r"\bhard things\b", r"\btime it\b", r"\bside\b")
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"^if the person has a fit,")
        if not all(has(step.text, part) for part in wanted) and not has(step.text, _CALL)
    ]


FIRE = [
    Fact(
        "alarm before exit before telephone, wherever an alarm is set off",
        "29 CFR 1910.38(c), US (from memory); " + _FIRE_SERVICE,
        alarm_then_out_then_call,
        {
            "steps": "Call the local emergency number.\nSet off the store's fire alarm.\nTake everyone out.",
        },
    ),
    Fact(
        "people go out before anything else of the fire note, and stay out",
        _FIRE_SERVICE,
        order("safety-fire", _ALARM, _OUT, r"\bclose the doors\b", _CALL, r"\bstay outside\b"),
        {"id": "safety-fire", "steps": "Close the doors.\nTake everyone out.\nCall the local emergency number."},
    ),
    Fact(
        "nobody goes back in",
        _FIRE_SERVICE,
        (
            never(r"\b(?:go|run|step|walk|get) back (?:in|inside|into)\b|\bre-?enter\b"),
            says("safety-fire", r"\bnever go back in\b", "safety"),
        ),
        {"id": "safety-fire", "steps": "Go back in for your bag."},
    ),
    Fact(
        "nothing is fetched on the way out",
        _FIRE_SERVICE,
        (
            never(
                r"\b(?:take|fetch|collect|grab|gather|get) (?:your|the) (?:bag|bags|tools|things|belongings|kit bag)\b"
            ),
            says("safety-fire", r"\bnever\b[^.]*\bfetch\b", "before"),
        ),
        {"id": "safety-fire", "steps": "Take your bag and your tools."},
    ),
    Fact(
        "no rep uses an extinguisher",
        "29 CFR 1910.157(g), US (restated): for trained people",
        never(r"\b(?:use|take|aim|fetch|grab|empty|discharge)\b[^.]*\bextinguisher"),
        {"steps": "Use the extinguisher if the fire is small."},
    ),
    Fact(
        "no agent is named for a burning cell",
        "City fire service, US (read): extinguishers fail on it; trade pages differ (restated)",
        never(
            r"\b(?:pour|throw|put|smother|cover|drown|sink|spray|shovel)\b[^.]*\b(?:sand|foam|powder|water|"
            r"fire blanket|wet cloth|bucket)\b"
        ),
        {"steps": "Smother the burning cell with sand."},
    ),
    Fact(
        "no lift in a fire",
        "UK housing-body fire advice (restated)",
        (
            never(r"\b(?:by|use|take|in) (?:a|the) (?:lift|elevator)\b"),
            says("safety-fire", r"\b(?:never|not)\b[^.]*\blift\b", "steps"),
        ),
        {"id": "safety-fire", "steps": "Take everyone out by the lift."},
    ),
    Fact(
        "low under the smoke, doors closed and not locked",
        _FIRE_SERVICE,
        (
            says("safety-fire", r"\b(?:keep|stay) low\b", "steps"),
            says("safety-fire", r"\bclose (?:the|every|all) doors?\b", "steps"),
        ),
        {"id": "safety-fire", "steps": "Lock the doors behind you."},
    ),
    Fact(
        "the fire service hears where, what and who",
        _FIRE_SERVICE,
        says("safety-fire", r"\bwhere\b[^.]*\bwhat burns\b[^.]*\bwho\b", "steps"),
        {"id": "safety-fire", "steps": "Call the local emergency number."},
    ),
    Fact(
        "an alarm is never taken for a false one",
        "29 CFR 1910.38(c)(4), US (from memory)",
        (
            says("safety-fire", r"\bnever\b[^.]*\bfalse\b", "before"),
            never(r"\b(?:ignore|switch off|reset|silence)\b[^.]*\bfire alarm\b|\bwait\b[^.]*\bfalse alarm\b"),
        ),
        {"id": "safety-fire", "steps": "Wait to see whether it is a false alarm."},
    ),
    Fact(
        "burning clothes: down and roll",
        "UK housing-body fire advice (restated)",
        says("safety-fire", r"\bclothes burn\b[^.]*\blies down\b[^.]*\brolls\b", "fails"),
        {"id": "safety-fire", "fails": "If clothes burn, run for water."},
    ),
]
AID = [
    Fact(
        "the call comes before first aid",
        _CPR,
        order("safety-collapse", _CALL, r"\bdefibrillator\b", r"\bpress the chest\b", r"\bblows\b", r"\bclean cloth\b"),
        {"id": "safety-collapse", "steps": "Press the chest.\nCall the local emergency number."},
    ),
    Fact(
        "a single gasp is no breathing",
        _CPR,
        says("safety-collapse", r"\bgasps?\b[^.]*\bnot breath", "before"),
        {"id": "safety-collapse", "before": "Whoever gasps still breathes."},
    ),
    Fact(
        "nobody looks for a pulse",
        _CPR,
        never(r"\b(?:feel|check|look|search|take)\b[^.]*\bpulse\b"),
        {"steps": "Feel for a pulse at the neck."},
    ),
    Fact(
        "the chest is pressed 5 to 6 cm deep, 100 to 120 times a minute",
        _CPR + "; 3.8 cm is the figure before 2010",
        (
            only(r"\bchest\b|\bcompression", "cm", {5, 6}),
            only(r"\bchest\b|\bcompression", "times a minute", {100, 120}),
        ),
        {"steps": "Press the chest 3.8 cm deep, 60 times a minute."},
    ),
    Fact(
        "five blows to the back, and no thrusts without the call handler",
        "Resuscitation Council UK (2021) (restated); AHA (2025), US (read)",
        (
            unsaid(r"\bblows (?:to|on|between)\b", r"\b(?:five|5) blows\b"),
            never(r"\b(?:give|make|do|begin with)\b[^.]*\bthrusts?\b"),
        ),
        {"steps": "Give ten blows to the back. Give three thrusts."},
    ),
    Fact(
        "wherever a fit is told: hard things away, time, side",
        "CDC seizure first aid, US (read)",
        fit_half_told,
        {"steps": "If the person has a fit, clear hard things away."},
    ),
    Fact(
        "nothing is eaten or drunk by somebody who collapsed, chokes or fits",
        "CDC seizure first aid, US (read)",
        (
            says("safety-collapse", r"\bnever give\b[^.]*\bfood\b", "before"),
            never(r"\bgive\b[^.]*\b(?:food|water to drink|sugar|something to eat)\b"),
        ),
        {"id": "safety-collapse", "steps": "Give the person some food."},
    ),
    Fact(
        "blood is stopped by pressure that stays; no tourniquet is loosened, no limb raised",
        "Stop the Bleed, US (restated)",
        (
            never(
                r"\b(?:loosen|open)\b[^.]*\btourniquet\b|\braise the (?:arm|leg|limb)\b|\bpressure point\b|"
                r"\blift the cloth\b|\bpull\b[^.]*\bout of (?:it|the wound)\b"
            ),
            says("safety-collapse", r"\bpress\b[^.]*\bcloth\b", "steps"),
        ),
        {"id": "safety-collapse", "steps": "Loosen the tourniquet after fifteen minutes."},
    ),
    Fact(
        "who does not answer or breathe goes to the one note for it",
        "AHA guidelines for CPR (2020), US (restated): one way for every place",
        leads(
            r"\b(?:person|somebody|child)\b[^.]*\b(?:does not (?:answer|breathe)|has collapsed|hurt or down)\b",
            {"safety-collapse"},
        ),
        {"steps": "Look.\n- If a person does not answer: the work is done."},
    ),
]
SPLASH = [
    Fact(
        "rinsed for 20 minutes at least, wherever it is told",
        "St John Ambulance, UK (read): 20; 15 elsewhere, so 20 satisfies all",
        (rinsed_too_briefly, says("safety-splash", r"\bat least twenty minutes\b", "steps")),
        {"id": "safety-splash", "steps": "Rinse the skin with water for ten minutes."},
    ),
    Fact(
        "rinsing never waits for the call",
        _SPLASH,
        order("safety-splash", r"\bnearest tap\b", r"\bwater run\b", _CALL),
        {
            "id": "safety-splash",
            "steps": "Call the local emergency number.\nLet water run over the eye at the nearest tap.",
        },
    ),
    Fact(
        "an eye is not rubbed",
        _SPLASH,
        (never(r"\brub\b[^.]*\beyes?\b"), says("safety-splash", r"\b(?:nobody|never)\b[^.]*\brub\b", "safety")),
        {"id": "safety-splash", "steps": "Rub the eye with a cloth."},
    ),
    Fact(
        "blink, lids apart gently, contact lenses out",
        "New South Wales Poisons Information Centre, Australia (read); Missouri Poison Center, US (read)",
        (
            says("safety-splash", r"\bblink\b", "steps"),
            says("safety-splash", r"\blids apart\b", "steps"),
            says("safety-splash", r"\bcontact lenses\b", "steps"),
            never(r"\bforce\b[^.]*\b(?:lids?|eyes?)\b"),
        ),
        {"id": "safety-splash", "steps": "Force the lids open."},
    ),
    Fact(
        "only water on a person: nothing that neutralises, no ice, no fat, no drops",
        _SPLASH,
        never(
            r"\b(?:use|put|pour|drip|lay|dab|apply|neutralise|wash)\b[^.]*\b(?:vinegar|lemon|"
            r"baking soda|eye drops|butter|ice|cream|toothpaste|neutralis\w+)\b"
        ),
        {"steps": "Dab vinegar on the skin."},
    ),
    Fact(
        "an eye that met cell liquid or cleaner is seen by a doctor the same day",
        "First-aid compilations on alkali (restated)",
        says("safety-splash", r"\beye that met\b[^.]*\bdoctor the same day\b", "result"),
        {"id": "safety-splash", "result": "The eye feels well."},
    ),
    Fact(
        "whatever splashed a person leads to the one note for it",
        _SPLASH,
        leads(r"\b(?:met|in|into|hit|burns)\b[^.]*\beye\b|\ban eye burns\b|\bon the skin\b", {"safety-splash"}),
        {"steps": "Look.\n- If liquid met an eye: the work is done."},
    ),
]
SHARPS = [
    Fact(
        "no rep picks up a needle or blade",
        _NEEDLE,
        (
            never(r"\b(?:pick up|lift|take|hold|grip|collect|remove|move|push)\b[^.]*\b(?:needle|syringe|blade)s?\b"),
            says("safety-sharps", r"\bnever\b[^.]*\bpick it up\b", "before"),
        ),
        {"id": "safety-sharps", "steps": "Pick up the needle with gloves on."},
    ),
    Fact(
        "no needle is capped, bent or broken",
        _NEEDLE,
        never(r"\b(?:re-?cap|cap|bend|snap|break|cut)\b[^.]*\b(?:needle|syringe)\b"),
        {"steps": "Cap the needle before you go on."},
    ),
    Fact(
        "no needle goes into a bin, bag, pocket, drain or toilet",
        _NEEDLE,
        never(
            r"\b(?:put|drop|throw|flush|pack)\b[^.]*\b(?:needle|syringe|blade|sharp thing|it)\b[^.]*\b(?:bin|pocket|"
            r"drain|toilet)\b"
        ),
        {"steps": "Drop the needle into a bin."},
    ),
    Fact(
        "no hand goes where the eye does not see",
        "Safety training text on sharps, UK (restated)",
        (
            never(
                r"\b(?:reach|feel|put (?:a|your) (?:hand|finger)s?)\b[^.]*\b(?:gap|slot|under the (?:seat|cushion))\b"
            ),
            says("safety-sharps", r"\bno hand\b[^.]*\bgap", "steps"),
        ),
        {"id": "safety-sharps", "steps": "Feel in the gap for more."},
    ),
    Fact(
        "gloves do not stop a needle",
        "First-aid trainer on sharps, Australia (restated)",
        (
            never(
                r"\bgloves\b[^.]*\b(?:stop|keep off|protect (?:you )?from)\b[^.]*\b(?:needles?|point)\b",
                "before",
                "why",
            ),
            says("safety-sharps", r"\bneedle\b[^.]*\bthrough\b", "before"),
        ),
        {"id": "safety-sharps", "why": "Gloves stop a needle."},
    ),
    Fact(
        "a prick is washed with soap and running water, then seen by a doctor at once",
        _NEEDLE,
        order("safety-sharps", r"\bsoap and running water\b", r"\b(?:doctor|hospital)\b", r"\bbarrier\b"),
        {"id": "safety-sharps", "steps": "Cover the spot.\nSet a barrier."},
    ),
    Fact(
        "no wound is squeezed, sucked, scrubbed or bleached",
        "Advice differs between the UK, Australia and NIOSH, US (restated); their common ground",
        never(r"\b(?:squeeze|suck|scrub|bleach)\b[^.]*\b(?:wound|spot|prick|skin|finger)\b|\bmake it bleed\b"),
        {"steps": "Squeeze the wound until it bleeds."},
    ),
    Fact(
        "a needle or a prick leads to the one note for it",
        _NEEDLE,
        leads(r"\bneedle\b|\bpricked\b", {"safety-sharps"}),
        {"steps": "Look.\n- If a needle lies there: go to step 1."},
    ),
]
FACTS = [*FIRE, *AID, *SPLASH, *SHARPS]


@pytest.mark.parametrize("fact", FACTS, ids=str)
def test_the_notes_agree(fact: Fact) -> None:
    agrees(fact)
