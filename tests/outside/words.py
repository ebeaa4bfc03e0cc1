"""Commands, names and terms that the checks of wording know."""

from __future__ import annotations

import re

_COMMANDS = """
    add adjust advise agree align apply arm arrange ask attach bend block blow borrow breathe bring brush call carry
    change charge check choose clamp clean clear climb close coil collect come compare complete connect copy count
    cover cut dampen decide delete disconnect do draw drop dry dry-wipe dust ease eject empty enter examine exchange
    face feel fill find fit fix fold follow free gather get give go grip guide hand hang have help hold insert
    inspect isolate judge keep label lay leave let lift light list listen load lock look loosen lower make mark
    match measure mop move name note open order pack pair pass pause peel photograph pick place play plug point
    position press print puff pull push put raise read record refuse release reload remove repeat replace report
    reset rest restart restore resume return rinse roll rotate run save say scan screw seal search seat secure select
    send separate set shake shift shine show shut sign silence sit skip slide soak sort spread stand start state
    stay step stick stop store stroke study support sweep swing switch take tap tell test tie tighten tilt touch trace
    transfer try turn uncover unlock unplug unroll untie update use wait wake walk warm wash watch wear weigh wipe
    withdraw work wrap wring write
"""
COMMANDS = frozenset(_COMMANDS.split())
WATCHING = frozenset(["keep", "watch", "see", "listen", "let", "note", "hold", "look", "feel", "stay", "talk"])
_CAPITALS = """
    A AA AC ADA AM AND ANSI AS ASD ASTM Act American Australia Australian BD BT British C CAUTION CD CDC CFR CPR
    CPSC CS Celsius Class DANGER DC DVD ECMA EN EPA EU Electricity England Equality European F F3096-23 FR Friday
    GFCI GHz Guide HDMI HH HSE HSG107 I ICO ID IEC IEEE INDG236 INDG73 IPA IPX0 ISO ITU-R John July K-02-003
    H.870 Kingdom LED LEDs LEL LR6 MHz Monday N NAVEDTRA NEC NFPA NIOSH NIST NOTICE NT NZS New O OSHA PC PD PIN PM PSU
    Pocket RCD Regulation Regulations SC SP STE Saturday St Standards States Sunday TV Thursday Tuesday UK US USA
    USB USB-C USC Union United V VA VR W WARNING WCAG WHO-ITU Wednesday Work Zealand dBA
"""
KNOWN_CAPITALS = frozenset(_CAPITALS.split())
OTHER_WORDS = {
    r"\b(?:gamepad|joypad|joystick|handset)s?\b": "pad",
    r"(?<!hand )\bcontrollers?\b(?! menu)": "pad",
    r"\b(?:TV|telly|television|monitor)\b": "display",
    r"\b(?:adaptor|charger|power brick|wall wart|PSU)s?\b": "adapter",
    r"\b(?:goggles|visor)\b": "headset",
    r"\b(?:power bar|power strip|multi-plug|extension block)s?\b": "outlet strip",
    r"\bcables?\b(?! ties?)": "lead",
    r"\b(?:flashlight|lamp torch)\b": "torch",
    r"\b(?:help desk|hotline|head office)\b": "support desk",
    r"\b(?:store manager|shop manager)\b": "duty manager",
    r"\bkiosks?\b": "station",
    r"\bjoysticks?\b": "stick",
}
_LEAD_IN = re.compile(
    r"^(?:If|When|With|Where|After|Before|For|Once|As|Without|At|During|In case|From|On)\b[^,]*(?:, (?!"
    + "|".join(sorted(COMMANDS))
    + r")[^,]*)*, ",
    re.IGNORECASE,
)


def command_of(sentence: str) -> str:
    """Return the first word after any leading condition, in lower case."""
    rest = _LEAD_IN.sub("", sentence, count=1)
    return rest.split()[0].strip(",.:").lower() if rest.split() else ""


def starts_with_command(sentence: str, *, strict: bool = False) -> bool:
    """Tell whether a sentence is an instruction; ``strict`` leaves out words that are often nouns as well."""
    words = sentence.split()
    first = words[0].strip(",.").lower()
    if strict:
        articles = {"the", "a", "an", "it", "your", "every", "each", "all", "both", "no"}
        return first in COMMANDS and len(words) > 1 and words[1].lower() in articles
    if first in {"never", "do", "always"}:
        return True
    return command_of(sentence) in COMMANDS
