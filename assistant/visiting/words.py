"""The one word for each state, outcome and kind, as a rep and a shop read it."""

from __future__ import annotations

from typing import Literal

from assistant.journal.records import IncidentName, OutcomeName, Plays
from assistant.languages import said, to_say
from assistant.languages.english import LANGUAGE

__all__ = [
    "INCIDENT_NAMES",
    "INCIDENT_WORDS",
    "NUMBER_WORDS",
    "OUTCOME_WORDS",
    "State",
    "amount_of",
    "decimal",
    "outcome_word",
    "place_of",
    "state_word",
]

State = Literal["plays", "fault", "withdrawn", "not_checked"]
OUTCOME_WORDS: dict[OutcomeName, str] = {
    "mended": to_say("Mended: it works again"),
    "replaced": to_say("Replaced: a part or a whole unit was exchanged"),
    "escalated": to_say("Handed over to the support desk"),
    "withdrawn": to_say("Taken out of service"),
    "not_mended": to_say("Not mended"),
    "done": to_say("Done: nothing was to be mended"),
    "led_on": to_say("Led on: another note took over"),
}
INCIDENT_WORDS: dict[IncidentName, str] = {
    "injury": to_say("somebody was hurt"),
    "shock": to_say("an electric shock"),
    "spill": to_say("a spill"),
    "near_miss": to_say("a near miss"),
}
INCIDENT_NAMES: dict[IncidentName, str] = {
    "injury": to_say("injury"),
    "shock": to_say("shock"),
    "spill": to_say("spill"),
    "near_miss": to_say("near miss"),
}
_MOST_IN_A_WORD = 12
NUMBER_WORDS: dict[str, int] = {word: int(n) for word, n in LANGUAGE.amounts.items() if 1 <= n <= _MOST_IN_A_WORD}
_STATES: dict[State, str] = {
    "plays": to_say("plays"),
    "fault": to_say("has a fault"),
    "withdrawn": to_say("out of service"),
    "not_checked": to_say("not checked"),
}
_FAULTS: dict[Plays, str] = {
    "yes": to_say("has a fault, still plays"),
    "no": to_say("does not play"),
    "danger": to_say("out of service"),
    "": to_say("has a fault"),
}


def state_word(state: State, plays: Plays = "") -> str:
    """Return how a station stands, in words; of one with a fault also whether it can be played, where that is told.

    >>> state_word("fault", "no")
    'does not play'
    """
    word = _FAULTS[plays] if state == "fault" else _STATES[state]
    return said(word)


def place_of(station: str) -> str:
    """Return the label of a station, or that none was told.

    >>> place_of("A-0101"), place_of("")
    ('A-0101', 'no station')
    """
    return station or said("no station")


def outcome_word(outcome: OutcomeName) -> str:
    """Return an outcome in a few words.

    >>> outcome_word("not_mended")
    'not mended'
    """
    word = said(OUTCOME_WORDS[outcome]).partition(":")[0]
    return word[:1].lower() + word[1:]


def amount_of(quantity: int, part: str) -> str:
    """Return how many of a part, whose name stays as the trade has it.

    >>> amount_of(1, "bolt"), amount_of(2, "bolt")
    ('1 bolt', '2 x bolt')
    """
    return f"{quantity} {part}" if quantity == 1 else said("{quantity} x {part}", quantity=quantity, part=part)


def decimal(number: str) -> str:
    """Return a number that is written with a point as the language that is spoken writes it.

    >>> decimal("0.95")
    '0.95'
    """
    return number.replace(".", said("."))
