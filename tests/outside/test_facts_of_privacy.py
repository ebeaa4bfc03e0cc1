"""Pictures, names, accounts, recordings, complaints, recalls and test labels."""

from __future__ import annotations

import pytest

from tests.outside.facts import Fact, agrees, leads, never, order, says, unsaid
from tests.outside.world import Notes, at, choices_like, figures, has, said

_GDPR = "Regulation (EU) 2016/679, EU (from memory)"
_ICO = "ICO video surveillance guidance, UK (read)"
_RECALL = "CPSC recall guidance for retailers, US (read; steps from memory)"
_FAQ = "HSE portable appliance testing FAQ, UK (restated)"
_TOPICS = {
    r"\barticle 5\b": r"\bneeded\b|\blonger\b|\bmore of them\b",
    r"\barticle 9\b": r"\bhealth\b",
    r"\barticle 13\b": r"\bknow\b|\bseen\b|\bsign\b",
    r"\barticle 33\b": r"\bloss\b|\b72\b",
}


def article_off_its_topic(notes: Notes) -> list[str]:
    texts = [(note, text) for note in notes for text in (note.why,) if has(text, r"\bRegulation \(EU\) 2016/679\b")]
    return [
        at(note, f"{article} without its topic")
        for note, text in texts
        for article, topic in _TOPICS.items()
        if has(text, article) and not has(text, topic)
    ]


def wrong_hours_of_a_data_loss(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\bloss of data\b|\bdata loss\b") and set(figures(one.text, "hours?")) - {72}
    ]


def unread_piece_cleared(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, r"\bcannot be read\b")
        if note.id == "safety-recall"
        and not (branch.step and has(note.steps[branch.step - 1].text, r"\bfault tag\b|\brecalled\b"))
    ]


def safety_after_the_complaint(notes: Notes) -> list[str]:
    wanted = {"safety-injury", "safety-shock"}
    return [
        at(note, "who was hurt or felt a shock comes first")
        for note in notes
        if has(note.id, r"^visit-complaint$") and not wanted <= {branch.note for branch in note.steps[0].branches}
    ]


PRIVACY = [
    Fact(
        "nobody in the picture before it is taken, and it is looked at before it is sent",
        "UK GDPR article 5 (from memory); a trade forum on accident pictures (restated)",
        order(
            "visit-privacy",
            r"\bnobody stands in the picture\b",
            r"^take a photo\b",
            r"\bfor faces\b",
            r"^send the photo\b",
        ),
        {"id": "visit-privacy", "steps": "Take a photo.\nSend the photo."},
    ),
    Fact(
        "no person is photographed or filmed",
        _GDPR,
        never(
            r"\b(?:photograph|film|take a (?:photo|picture|film) of)\b[^.]*\b(?:person|people|"
            r"child|face|shoppers?|parent)\b"
        ),
        {"steps": "Photograph the person who fell."},
    ),
    Fact(
        "an injury is told as facts, in the store's own accident book, and in no chat",
        _GDPR + "; accident book, UK (restated)",
        (
            says("visit-privacy", r"\baccident book\b", "steps"),
            says("visit-privacy", r"\bno\b[^.]*\bchat\b", "steps"),
            never(
                r"\b(?:write|note|record|send)\b[^.]*\b(?:name|age|health|illness) of "
                r"(?:the|a) (?:shopper|child|person)\b"
            ),
        ),
        {"id": "visit-privacy", "steps": "Write the name of the shopper into your report."},
    ),
    Fact(
        "articles of the regulation stand with their topics",
        _GDPR,
        article_off_its_topic,
        {"why": "Article 9 of Regulation (EU) 2016/679 in the European Union is about lamps."},
    ),
    Fact(
        "a loss of data is told within 72 hours",
        "Regulation (EU) 2016/679 article 33, EU (from memory)",
        wrong_hours_of_a_data_loss,
        {"why": "A company has 24 hours to report a loss of data."},
    ),
    Fact(
        "no 31 days for pictures and no 40 days for an answer",
        _ICO + ": no fixed time; 40 days is the rule before 2018 (restated)",
        unsaid(r"\b(?:31|40|thirty-one|forty) days\b"),
        {"why": "Pictures are kept for 31 days."},
    ),
    Fact(
        "health answers are not written down",
        "Regulation (EU) 2016/679 article 9, EU (from memory)",
        (
            never(r"\b(?:write|record|note|keep|copy)\b[^.]*\b(?:health|answers|illness|pregnan\w+)\b"),
            says("safety-headset-user", r"\b(?:nobody|never)\b[^.]*\bdown\b", "why"),
        ),
        {"id": "safety-headset-user", "steps": "Write the health answers on the sheet."},
    ),
]
DEVICES = [
    Fact(
        "the sign is read before the camera sees anybody",
        _ICO + "; (restated)",
        says("console-camera", r"\bsign\b[^.]*\bbefore the camera sees\b", "steps"),
        {"id": "console-camera", "steps": "Set a privacy sign behind the station."},
    ),
    Fact(
        "what no demo needs is off first, then covered, then unplugged",
        _ICO,
        order("console-camera", r"\bturn off whichever\b", r"\bcamera cover\b", r"\bunplug the camera\b"),
        {"id": "console-camera", "steps": "Fit the camera cover."},
    ),
    Fact(
        "no recording is watched, copied or sent",
        _ICO + "; common practice",
        never(r"\b(?:watch|play|copy|send|open)\b[^.]*\b(?:recordings?|clips? of)\b"),
        {"steps": "Watch the recording to see who it is."},
    ),
    Fact(
        "no tape or glue on a lens",
        "Common practice",
        never(r"\b(?:tape|stick|glue)\b[^.]*\b(?:camera|over the lens|on the lens)\b"),
        {"steps": "Stick tape over the lens of the camera."},
    ),
    Fact(
        "a child's picture and voice count below 13",
        "16 CFR 312, US (from memory)",
        unsaid(r"\b16 CFR 312\b", r"\bunder 13\b"),
        {"why": "In the United States, 16 CFR 312 protects children under 16."},
    ),
    Fact(
        "the owner signs out; name, card and messages are not read, copied or photographed",
        "PCI DSS 3.2 and " + _GDPR,
        (
            order(
                "console-account", r"\bask the player\b", r"\bowner sign out\b", r"\bremove that user\b", r"^restart\b"
            ),
            never(
                r"\b(?:photograph|copy|read out|write down|open)\b[^.]*\b(?:card data|"
                r"card number|messages|shopper's name)\b"
            ),
        ),
        {"id": "console-account", "steps": "Photograph the card data."},
    ),
    Fact(
        "content under embargo leaves no copy and is shown by no clock that is set back",
        "Common practice: contract",
        (
            never(r"\b(?:copy|film|show|share)\b[^.]*\bembargo\b"),
            never(r"\bset\b[^.]*\bclock\b[^.]*\b(?:back|earlier)\b"),
        ),
        {"steps": "Show the embargoed loop, and film what is under embargo. Set the clock back."},
    ),
    Fact(
        "no money, date or exchange is promised, no fault admitted",
        "ISO 10002:2018 (from memory)",
        (
            never(r"\b(?:promise|offer|give)\b[^.]*\b(?:money|refund|discount|free game)\b"),
            never(r"\b(?:admit|say that it is)\b[^.]*\b(?:fault|blame)\b"),
        ),
        {"steps": "Promise a refund. Admit the fault."},
    ),
    Fact(
        "harm in a complaint comes before the complaint",
        "ISO 10002:2018 (from memory); common practice",
        safety_after_the_complaint,
        {"id": "visit-complaint", "steps": "Listen.\n- If somebody was hurt: go to step 1."},
    ),
    Fact(
        "age marks differ from country to country: the store decides",
        "Video Recordings Act 1984, UK (read); US marks are voluntary (from memory)",
        says("visit-complaint", r"\brating\b[^.]*\bdiffer\b", "why"),
        {"id": "visit-complaint", "why": "A mark of 18 is the law everywhere."},
    ),
]
RECALLS = [
    Fact(
        "play stops, then the notice, the list, the plate, the tag",
        _RECALL,
        order(
            "safety-recall",
            r"\bstop the play\b|\bshut down\b",
            r"\bwritten notice\b",
            r"\blist every place\b",
            r"\bcompare model\b",
            r"\bfault tag\b",
        ),
        {"id": "safety-recall", "steps": "Compare model and batch code.\nStop the play."},
    ),
    Fact(
        "a piece that cannot be read counts as affected",
        "CPSC Recall Handbook, US (inference)",
        unread_piece_cleared,
        {"id": "safety-recall", "steps": "Look.\n- If it cannot be read: the work is done."},
    ),
    Fact(
        "no recalled piece is sold, given away, charged, tried or posted",
        "15 USC 2068, US (read); 49 CFR 173.185(f), US (read)",
        (
            never(r"\b(?:sell|give away|hand out|charge|try|use up|post|mail|put back)\b[^.]*\brecalled\b"),
            says("safety-recall", r"\brecalled cell\b[^.]*\bpost\b", "safety"),
            says("safety-recall", r"\bapart from stock\b", "steps"),
        ),
        {"id": "safety-recall", "steps": "Post the recalled cell in a carton."},
    ),
    Fact(
        "the sale of a recalled product is barred, and the EU notice has its headline",
        "15 USC 2068, US (read); Regulation (EU) 2023/988 article 36 (restated)",
        (
            unsaid(r"\b15 USC 2068\b", r"\bforbids the sale\b"),
            unsaid(r"\b2023/988\b", r'"Product safety recall"'),
        ),
        {"why": "In the US, 15 USC 2068 allows it. In the European Union, Regulation (EU) 2023/988 does too."},
    ),
    Fact(
        "neither a yearly test nor a label is law in the United Kingdom",
        _FAQ,
        (
            says("safety-test-label", r"\bneither\b[^.]*\byearly test\b[^.]*\blabel\b", "why"),
            unsaid(r"\b(?:law|legally)\b[^.]*\b(?:test label|yearly test)\b", r"\b(?:no|not|neither)\b"),
        ),
        {"id": "safety-test-label", "why": "The law asks for a test label."},
    ),
    Fact(
        "damage decides, and not the date",
        _FAQ,
        (
            says("safety-test-label", r"\bold date\b[^.]*\bnot prove\b", "why"),
            order("safety-test-label", r"\bstore's rule\b", r"\blook along each lead\b", r"\bread the result\b"),
        ),
        {"id": "safety-test-label", "steps": "Read the result.\nLook along each lead."},
    ),
    Fact(
        "a rep neither tests nor dates nor moves a label",
        "HSG107, 3rd edition (2013), UK (restated)",
        (
            never(r"\b(?:write|put|stick|move)\b[^.]*\b(?:new date|test label|label from another)\b"),
            says("safety-test-label", r"\bnever test\b", "fails"),
        ),
        {"id": "safety-test-label", "steps": "Write a new date on it."},
    ),
    Fact(
        "a failed or damaged piece leads out of service",
        "29 CFR 1910.334(a)(2)(ii), US (restated)",
        leads(r'\bsays "failed"|\brule forbids use\b', {"visit-out-of-order"}),
        {"steps": 'Look.\n- If it says "failed": go to step 1.'},
    ),
]
FACTS = [*PRIVACY, *DEVICES, *RECALLS]


@pytest.mark.parametrize("fact", FACTS, ids=str)
def test_the_notes_agree(fact: Fact) -> None:
    agrees(fact)
