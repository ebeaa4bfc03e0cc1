"""Word lists that the analysis works with: question words, contractions."""

from __future__ import annotations

__all__ = ["CONTRACTIONS", "KEPT", "QUESTION_WORDS"]

KEPT = frozenset({"no", "not", "off", "on", "up", "down", "out", "over", "under"})
"""Function words that tell faults apart; never dropped (``on``/``off``, ``not charging``)."""

CONTRACTIONS = {
    "cant": "not",
    "cannot": "not",
    "couldnt": "not",
    "wont": "not",
    "wouldnt": "not",
    "dont": "not",
    "doesnt": "not",
    "doesn": "not",
    "didnt": "not",
    "isnt": "not",
    "arent": "not",
    "aint": "not",
    "wasnt": "not",
    "werent": "not",
    "hasnt": "not",
    "havent": "not",
    "shouldnt": "not",
}
"""Negated verbs, written without their apostrophe, all mean the one word that matters."""

QUESTION_WORDS = frozenset(
    """
    a an the this that these those there here it its itself they them their theirs he him his she her hers
    i im ive id ill me my mine myself we us our ours were weve you your yours youre
    who whom whose what whats which when where wheres why how hows
    am is are was be been being do does did doing done have has had having
    can could shall should will would may might must ought
    and or but if because as until while of at by for with about against between into through during before
    after above below to from in then than so too very just also only same such both each few more most other
    some any all again further once ever
    please help hi hello hey thanks thank ok okay tell show explain say says said
    need want like know think get got gets getting go goes going gone let lets try tried trying
    someone somebody anyone anybody something anything thing things stuff way
    now today really actually maybe yes well
    theres thats hes shes gonna wanna gotta etc s t re ve ll d m
    """.split()  # noqa: SIM905
)
"""Words that say how a question is asked and not what it is about; dropped from questions only."""
