"""The one word for each state, outcome and kind, as a rep and a shop read it."""

from __future__ import annotations

from typing import Literal

from assistant.journal.records import IncidentName, OutcomeName, Plays

__all__ = [
    "INCIDENT_WORDS",
    "NUMBER_WORDS",
    "OUTCOME_WORDS",
    "State",
    "amount_of",
    "counted",
    "outcome_word",
    "state_word",
]

State = Literal["plays", "fault", "withdrawn", "not_checked"]
OUTCOME_WORDS: dict[OutcomeName, str] = {
    "mended": "Mended: it works again",
    "replaced": "Replaced: a part or a whole unit was exchanged",
    "escalated": "Handed over to the support desk",
    "withdrawn": "Taken out of service",
    "not_mended": "Not mended",
    "done": "Done: nothing was to be mended",
    "led_on": "Led on: another note took over",
}
INCIDENT_WORDS: dict[IncidentName, str] = {
    "injury": "somebody was hurt",
    "shock": "an electric shock",
    "spill": "a spill",
    "near_miss": "a near miss",
}
_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
NUMBER_WORDS: dict[str, int] = {"a": 1, "an": 1} | {word: number for number, word in enumerate(_NUMBERS, start=1)}
_STATES: dict[State, str] = {
    "plays": "plays",
    "fault": "has a fault",
    "withdrawn": "out of service",
    "not_checked": "not checked",
}
_FAULTS: dict[Plays, str] = {
    "yes": "has a fault, still plays",
    "no": "does not play",
    "danger": "out of service",
    "": "has a fault",
}


def state_word(state: State, plays: Plays = "") -> str:
    """Return how a station stands, in words; of one with a fault also whether it can be played, where that is told.

    >>> state_word("fault", "no")
    'does not play'
    """
    return _FAULTS[plays] if state == "fault" else _STATES[state]


def outcome_word(outcome: OutcomeName) -> str:
    """Return an outcome in a few words.

    >>> outcome_word("not_mended")
    'not mended'
    """
    return OUTCOME_WORDS[outcome].partition(":")[0].lower()


def counted(number: int, one: str, many: str = "") -> str:
    """Return how many of a thing there are.

    >>> counted(1, "picture"), counted(2, "story", "stories")
    ('1 picture', '2 stories')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def amount_of(quantity: int, part: str) -> str:
    """Return how many of a part, whose name stays as the trade has it.

    >>> amount_of(1, "pad"), amount_of(2, "pad")
    ('1 pad', '2 x pad')
    """
    return f"{quantity} {part}" if quantity == 1 else f"{quantity} x {part}"
