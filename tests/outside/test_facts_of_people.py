"""Thieves, threats, unknown objects and lost children."""

from __future__ import annotations

import pytest

from tests.outside.facts import Fact, agrees, leads, never, order, says, unsaid, wherever

_THREAT = "OSHA 3153, US (restated); a city police's robbery advice, US (read)"
_CHILD = "NCMEC store programme for missing children, US (restated)"
_CALL = r"\bemergency number\b"

FACTS = [
    Fact(
        "no thief is held, nothing is refused to a robber",
        _THREAT,
        (
            never(r"\b(?:hold|grab|detain|tackle|stop|block|resist|argue with)\b[^.]*\b(?:thief|robber|person who)\b"),
            says("safety-threat", r"\blet it go\b", "steps"),
            says("safety-threat", r"\bnever\b[^.]*\bhold\b[^.]*\bchase\b", "before"),
        ),
        {"id": "safety-threat", "steps": "Hold the thief until staff come."},
    ),
    Fact(
        "away first, the call from a safe place",
        _THREAT,
        order("safety-threat", r"\bmove back\b", r"\bgo where you are safe\b", _CALL, r"\bsupport desk\b"),
        {"id": "safety-threat", "steps": "Call the local emergency number.\nMove back.\nGo where you are safe."},
    ),
    Fact(
        "an unknown object is neither touched nor moved, and no radio is used beside it",
        "ProtectUK and NaCTSO guidance, UK (read; distances restated)",
        (
            never(r"\b(?:open|move|lift|shake|kick|carry|look into)\b[^.]*\b(?:unknown|suspicious|unattended)\b"),
            says("safety-threat", r"\btouch nothing, move away, and use no phone or radio\b", "safety"),
        ),
        {"id": "safety-threat", "steps": "Open the suspicious bag."},
    ),
    Fact(
        "OSHA 3153 is advice and no standard",
        "OSHA 3153-12R (2009), cover note, US (restated)",
        unsaid(r"\bOSHA 3153\b", r"\badvice\b|\badvises\b"),
        {"why": "OSHA 3153 (US) requires that nobody resists."},
    ),
    Fact(
        "threats and people who take things lead to the one note for it",
        _THREAT,
        leads(
            r"\b(?:threatens|is taking (?:it|a device)|takes? (?:it|a device) away)\b|\bsomebody is taking\b",
            {"safety-threat"},
        ),
        {"steps": "Look.\n- If somebody threatens you: the work is done."},
    ),
    Fact(
        "the police are called at once for a missing child",
        _CHILD + ": after ten minutes; police advice: at once (restated)",
        (
            says("safety-child-alone", r"\bcalls the police\b|\bat once\b[^.]*\bpolice\b", "steps"),
            never(r"\bwait\b[^.]*\bbefore\b[^.]*\bpolice\b|\bsearch\b[^.]*\bminutes\b[^.]*\bpolice\b"),
        ),
        {"id": "safety-child-alone", "steps": "Wait ten minutes before you call the police."},
    ),
    Fact(
        "no child's name over the loudspeakers, no picture, no back room",
        _CHILD + "; child-safeguarding practice, UK (from memory)",
        (
            never(r"\b(?:announce|call out|read out|shout)\b[^.]*\bname\b"),
            never(r"\b(?:photograph|film|carry|feed)\b[^.]*\bchild\b|\btake (?:the|a) child (?:out|into|to|with)\b"),
            says("safety-child-alone", r"\bnever\b[^.]*\balone with\b", "before"),
        ),
        {"id": "safety-child-alone", "steps": "Announce the name of the child. Take the child to a back room."},
    ),
    Fact(
        "a child is handed to the duty manager and to nobody else",
        "Child-safeguarding practice, UK (from memory)",
        wherever(r"\bhand the child\b", r"\bto the duty manager, and to nobody else\b"),
        {"steps": "Hand the child to the parent."},
    ),
]


@pytest.mark.parametrize("fact", FACTS, ids=str)
def test_the_notes_agree(fact: Fact) -> None:
    agrees(fact)
