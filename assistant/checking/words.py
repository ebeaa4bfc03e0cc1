"""Words that the rules know: commands, and what follows a leading condition."""

from __future__ import annotations

import re

__all__ = ["COMMANDS", "WATCHING", "command_of", "starts_with_command"]

_COMMANDS = """
    add adjust advise align apply arm arrange ask attach bend block blow borrow breathe bring brush call carry
    change charge check choose clamp clean clear climb close coil collect come compare complete connect copy count
    cover cut dampen decide delete disconnect do draw drop dry dry-wipe dust ease eject empty enter examine exchange
    face feel fill find fit fix fold follow free gather get give go grip guide hand hang have help hold insert
    inspect isolate judge keep label lay leave let lift light list listen load lock look loosen lower make mark
    match measure mop move name note open order pack pair pass pause peel photograph pick place play plug point
    position press print puff pull push put raise read record refuse release reload remove repeat replace report
    reset restart restore resume return rinse roll rotate run save say scan screw seal search seat secure select
    send separate set shake shift shine show shut sign silence sit skip slide soak sort spread stand start state
    stay step stick stop store stroke study support sweep swing switch take tap tell test tie tighten tilt touch trace
    transfer try turn uncover unlock unplug unroll untie update use wait wake walk warm wash watch wear weigh wipe
    withdraw work wrap wring write
"""
COMMANDS = frozenset(_COMMANDS.split())
"""The verbs with which a step of a note may begin."""
WATCHING = frozenset(["keep", "watch", "see", "listen", "let", "note", "hold", "look", "feel", "stay", "talk"])
"""Commands that are carried out while another is: two of them in one step are still one instruction."""
_LEAD_IN = re.compile(
    r"^(?:If|When|With|Where|After|Before|For|Once|As|Without|At|During|In case|From|On)\b[^,]*(?:, (?!"
    + "|".join(sorted(COMMANDS))
    + r")[^,]*)*, ",
    re.IGNORECASE,
)


def command_of(sentence: str) -> str:
    """Return the first word after any leading condition, in lower case."""
    words = _LEAD_IN.sub("", sentence, count=1).split()
    return words[0].strip(",.:").lower() if words else ""


def starts_with_command(sentence: str, *, strict: bool = False) -> bool:
    """Tell whether a sentence is an instruction; ``strict`` leaves out words that are often nouns as well."""
    words = [word.strip(",.").lower() for word in sentence.split()]
    if not words:
        return False
    if strict:
        articles = {"the", "a", "an", "it", "your", "every", "each", "all", "both", "no"}
        return words[0] in COMMANDS and len(words) > 1 and words[1] in articles
    return words[0] in {"never", "do", "always"} or command_of(sentence) in COMMANDS
