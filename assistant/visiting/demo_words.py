"""What reps of made-up shops say: faults that notes are there for, matters that they ask about in vain, the rest."""

from __future__ import annotations

from typing import NamedTuple

__all__ = [
    "ALLOWED_BY",
    "CASES",
    "CLOSING_REMARKS",
    "NEAR_MISSES",
    "REASONS",
    "REMARKS",
    "SKIPPED",
    "SWITCHED_OFF",
    "TAKEN_BY",
    "THEMES",
    "Case",
    "Theme",
]

ALLOWED_BY = ("duty manager", "deputy of the duty manager", "head of the floor")
"""Who of a store gives permission."""
TAKEN_BY = ("desk, early shift", "desk, late shift")
"""Who takes a fault over."""
REASONS = ("no spare that fits and the checks are done", "same fault for the third time", "needs a second person")
"""Why a fault is handed over."""
REMARKS = (
    "same station as last month, says the manager",
    "staff switch it off at noon",
    "moved next to the tills since the last visit",
)
SKIPPED = ("no spare here", "done by the store")
"""Why a step is skipped."""
SWITCHED_OFF = ("too loud for the tills", "children queued into the aisle")
"""Why the staff had switched a station off."""
NEAR_MISSES = ("a child tripped over a lead, not hurt", "a panel slipped and was caught", "wet floor by the station")
CLOSING_REMARKS = ("", "", "row is tidy", "manager was not in")


class Case(NamedTuple):
    """A fault in a rep's words, the kind of station and the note for it."""

    note: str
    model: str
    condition: str


class Theme(NamedTuple):
    """One matter in several wordings, and the note that comes nearest and does not help."""

    nearest: str
    wordings: tuple[str, ...]


CASES = tuple(
    Case(*line.split("|"))
    for line in """
pad-stick-cap|pad|rubber on the left stick is chewed off
pad-stick-drift|pad|figure walks left on its own
pad-button-sticky|pad|jump button stays down
pad-housing-crack|pad|shell split under the thumb
pad-cable-damage|pad|lead of the pad is bitten through to the copper
pad-plug-bent|pad|plug of the pad is bent
pad-not-detected|pad|console says connect a pad
pad-wireless-pair|pad|cordless pad lost its console
pad-wireless-battery|pad|cordless pad dead by noon
pad-rumble|pad|no shake any more
pad-clean|pad|pad sticky with sweets
pad-tether|pad|strap of the pad cut
disc-unreadable|disc|demo stops at the loading picture
disc-clean|disc|finger marks all over the disc
disc-noise|disc|grinding from the drive
disc-stuck|disc|disc does not come out
disc-lid|disc|lid will not close
disc-missing|disc|case is empty
console-no-power|disc|console dead, display lives
console-overheat|disc|box switches off hot after an hour
console-fan-noise|disc|fan howls
console-freeze|disc|picture stands still in the second level
console-update|disc|new demo is due and the old trailer still runs
console-storage-full|disc|says storage full
hand-not-charging|hand|handheld stays at nine percent
hand-adapter-inspect|hand|adapter of the handheld rattles
hand-buttons|hand|left shoulder button of the handheld is gone
hand-screen-dark|hand|handheld plays sound and no picture
hand-power-intermittent|hand|handheld goes off when the lead moves
hand-tether|hand|security cord of the handheld hangs to the floor
screen-no-signal|screen|display says no signal
screen-wrong-input|screen|display shows the store channel
screen-flicker|screen|picture flickers every few seconds
screen-dark|screen|picture very dim
screen-clean|screen|hand prints over the whole display
sound-none|screen|no sound from the bar
sound-too-loud|screen|staff complain about the noise
sound-crackle|screen|speaker crackles
vr-hygiene|vr|face cushion is wet
vr-tracking-lost|vr|view drifts in the headset
vr-no-picture|vr|headset stays black
vr-strap|vr|strap of the headset torn
power-strip-dead|screen|whole row is dark
power-cable-route|disc|leads hang out behind the station
cab-panel-loose|disc|side panel rattles
cab-lock-key|disc|key turns and the door stays shut
""".strip().split("\n")
)
"""Faults as reps would tell them."""

THEMES = (
    Theme(
        "hand-card-slot",
        (
            "the card reader on the station takes no card",
            "card reader at the stand is dead",
            "card slot reader at the stand is broken",
            "loyalty card reader takes no card",
            "card reader for loyalty cards shows an error",
        ),
    ),
    Theme(
        "cab-seat-loose",
        (
            "a foot of the stool fell off",
            "stool wobbles, one foot gone",
            "foot of the stool is loose",
            "stool foot missing",
        ),
    ),
    Theme(
        "console-clock",
        (
            "demo speaks the wrong language",
            "game talks in another language",
            "wrong language in the demo",
            "players hear the demo in the wrong language",
        ),
    ),
    Theme(
        "disc-stuck",
        (
            "printer for the vouchers jams",
            "voucher printer has no paper",
            "paper jam in the voucher printer",
            "no vouchers come out of the printer",
        ),
    ),
    Theme(
        "cab-move",
        (
            "prize wheel at the stand sticks",
            "wheel with the prizes does not turn",
            "prize wheel spins crooked",
            "how do I fix the prize wheel",
        ),
    ),
)
"""What several shops ask about in vain."""
