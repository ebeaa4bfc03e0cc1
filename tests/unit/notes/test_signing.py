"""Signatures: what they cover, how they are written, and what they say to a rep."""

from __future__ import annotations

import hashlib

import pytest

from assistant.model import Note, Review
from assistant.notes.reader import read_note
from assistant.notes.signing import SignOffs, note_digest, safety_line, sign_offs, signed, state_of
from tests.making import NOTE_PATH, NOTE_TEXT

UNSIGNED = NOTE_TEXT.replace("sources: [common practice]\n", "sources: [common practice]\nsafety_review: unsigned\n")
SIGNED = signed(UNSIGNED, "A. Officer", "2026-11-20", 3)
HARMLESS = "\n".join(line for line in NOTE_TEXT.split("\n") if not line.startswith(">"))


def note_of(text: str) -> Note:
    return read_note(text, NOTE_PATH)


def test_the_digest_is_that_of_the_text_without_signature_and_date() -> None:
    kept = NOTE_TEXT.replace("reviewed: 2026-11-02\n", "")
    assert note_digest(NOTE_TEXT) == hashlib.sha256(kept.encode()).hexdigest()[:12]
    assert note_digest(UNSIGNED) == note_digest(SIGNED) == note_digest(NOTE_TEXT)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("reviewed: 2026-11-02", "reviewed: 2026-11-20"),
        ("safety_review: unsigned", "safety_review:\n  by: B\n  on: 2026-01-01\n  revision: 1\n  digest: aaaaaaaaaaaa"),
        ("The pad does nothing.", "The pad does nothing.  "),
        ("\n", "\r\n"),
    ],
)
def test_what_a_signature_does_not_cover(old: str, new: str) -> None:
    assert old in UNSIGNED
    assert note_digest(UNSIGNED.replace(old, new)) == note_digest(UNSIGNED)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("revision: 3", "revision: 4"),
        ("Unplug the pad.", "Unplug the console."),
        ("They can burn a hand.", "They can burn."),
        ("sources: [common practice]", "sources: [NIST SP 500-252]"),
        ("The lamp is lit.", "reviewed: the lamp is lit."),
        ("A lead breaks inside.", "A lead breaks  inside."),
    ],
)
def test_a_change_makes_a_signature_stale(old: str, new: str) -> None:
    assert state_of(note_of(SIGNED)) == "signed"
    assert old in SIGNED
    assert state_of(note_of(SIGNED.replace(old, new))) == "stale"


def test_a_signature_is_written_in_place_of_the_one_before() -> None:
    review = note_of(SIGNED).safety_review
    assert review == Review("A. Officer", "2026-11-20", 3, note_digest(NOTE_TEXT))
    again = signed(SIGNED, 'Jo "Q" O\u2019Neil \U0001f600: #1', "2026-11-21", 3)
    assert again.count("safety_review:") == 1
    assert note_of(again).safety_review == Review(
        'Jo "Q" O\u2019Neil \U0001f600: #1', "2026-11-21", 3, note_digest(NOTE_TEXT)
    )
    assert signed(again, "A. Officer", "2026-11-20", 3) == SIGNED


def test_a_signature_over_several_lines_goes_away_whole() -> None:
    long = UNSIGNED.replace("safety_review: unsigned", "safety_review:\n  by: B\n  revision: 1")
    assert signed(long, "A. Officer", "2026-11-20", 3) == SIGNED


def test_a_signature_of_another_revision_is_stale() -> None:
    assert state_of(note_of(signed(UNSIGNED, "A. Officer", "2026-11-20", 2))) == "stale"


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (NOTE_TEXT, "Safety: not signed by a safety officer"),
        (UNSIGNED, "Safety: not signed by a safety officer"),
        (SIGNED, "Safety: signed by A. Officer, 2026-11-20"),
        (
            SIGNED.replace("revision: 3\n", "revision: 4\n"),
            "Safety: not signed by a safety officer since it was changed; before that by A. Officer, 2026-11-20",
        ),
        (HARMLESS, ""),
    ],
)
def test_what_a_rep_is_told(text: str, line: str) -> None:
    assert safety_line(note_of(text)) == line


def test_notes_with_a_hazard_are_counted() -> None:
    texts = [NOTE_TEXT, UNSIGNED, SIGNED, SIGNED.replace("revision: 3\n", "revision: 4\n"), HARMLESS]
    counts = sign_offs(map(note_of, texts))
    assert counts == SignOffs(4, 1, 1, 2)
    assert str(counts) == "4 notes with a hazard: 1 signed, 1 stale, 2 not signed by a safety officer"
