"""English."""

from __future__ import annotations

from assistant.languages import Language

__all__ = ["LANGUAGE"]

_CONTRACTIONS = {
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

_QUESTION_WORDS = frozenset(
    """
    a an the this that these those there here it its itself they them their theirs he him his he she her hers
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

LANGUAGE = Language(
    code="en",
    stemmer="english",
    folds={},
    kept=frozenset({"no", "not", "off", "on", "up", "down", "out", "over", "under"}),
    question_words=_QUESTION_WORDS,
    contractions=_CONTRACTIONS,
    negations=("un", "non", "dis"),
    joints=("",),
    parting="but|and then|so then",
    common=1000,
    picks={
        "first": 1,
        "1st": 1,
        "one": 1,
        "second": 2,
        "2nd": 2,
        "two": 2,
        "third": 3,
        "3rd": 3,
        "three": 3,
        "fourth": 4,
        "4th": 4,
        "four": 4,
    },
    places={"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8},
    numbers={
        "one": 1,
        "two": 2,
        "three": 3,
        "four": 4,
        "five": 5,
        "six": 6,
        "seven": 7,
        "eight": 8,
        "nine": 9,
        "ten": 10,
    },
    counting=frozenset({"step", "number", "no", "nr"}),
    alone="one",
    pick_filler=frozenset("the it is option number no nr one i mean meant that this please ok yes a".split()),  # noqa: SIM905
    other=frozenset({"other", "another", "different"}),
    last=frozenset({"last", "bottom"}),
    before=frozenset({"previous", "prior", "before", "earlier", "back"}),
    again=frozenset({"again", "repeat", "same", "this", "that", "reread"}),
    end=frozenset({"last", "final"}),
    counted=r"\bhow many\b|\bnumber of steps\b",
    wait=(
        r"\b(?:\d+|two|three|five|ten|fifteen|twenty|thirty|sixty)\s+(?:second|minute|hour|day)s?\b"
        r"|\bwait\b|\bdry\b|\bcool\b|\buntil\b"
    ),
    amounts={
        "a": 1,
        "an": 1,
        "one": 1,
        "two": 2,
        "three": 3,
        "four": 4,
        "five": 5,
        "six": 6,
        "seven": 7,
        "eight": 8,
        "nine": 9,
        "ten": 10,
        "eleven": 11,
        "twelve": 12,
        "fifteen": 15,
        "twenty": 20,
        "thirty": 30,
        "forty": 40,
        "sixty": 60,
        "half a": 0.5,
        "half an": 0.5,
    },
    units={"second": 1, "minute": 60, "hour": 3600},
    waits={
        "lead": "for|wait|after|until|within",
        "about": "at least |about ",
        "plural": "s",
        "never": r"within\b|\w+ an? second\b",
    },
    all_steps=r"\b(?:all|everything|lot|whole|every)\b",
    untried=r"(?:\bnot|n['\u2019]?t|\bnever)\s+(?:(?:yet|even|really|actually)\s+)?(?:try|tried)\b",
    permission=(
        r"^\W*(?:(?:and|but|so|then|ok)\W+)?(?:(?:can|may|could|should|shall|must)\s+(?:i|we)\b"
        r"|is\s+it\s+(?:ok|okay|safe|fine|alright|all\s+right|allowed)\b)"
    ),
    never=r"Never\b",
    asking=frozenset(
        "use using used ok okay safe allowed fine take put bring work good enough right wrong".split()  # noqa: SIM905
    ),
    practice="common practice",
    signals=("DANGER", "WARNING", "CAUTION", "NOTICE"),
    sections={
        name: name for name in ("Condition", "Cause", "Before you start", "Steps", "Result", "If it still fails", "Why")
    },
    choice={
        "if": "if ",
        "go": r"^go to step (\d+)\.$",
        "done": r"^the work is done\.$",
        "leave": r'^go to ".+"\.$',
        "come_back": r'^do ".+", then go to step (\d+)\.$',
        "rest": r"(?:if (?:not|no|none|neither|nothing|there is none)|otherwise)\b",
        "form": (
            "If ...: go to step N.', 'go to' with a link to a note, "
            "'do' with a link and ', then go to step N.', or 'the work is done.'"
        ),
    },
)
