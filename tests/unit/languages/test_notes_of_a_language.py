"""Notes in another language: read, refused and checked by the words of that language, and their packs held to it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from assistant.analysis.spelling import repairs, splits
from assistant.analysis.tokens import spellings, tokenize
from assistant.answering.assistant import Assistant
from assistant.checking.book import read_book
from assistant.checking.by_language import ENGLISH, readable, unread
from assistant.checking.check import check
from assistant.checking.registry import all_rules
from assistant.errors import NotesError, PackError
from assistant.languages import language_of
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from tests.conftest import GERMAN
from tests.packs import manifest

TASTE = "pad/pad-taste-klemmt.md"
TODAY = date(2026, 11, 28)


@pytest.fixture
def german_notes(tmp_path: Path) -> Path:
    return Path(shutil.copytree(GERMAN, tmp_path / "notes"))


def faults_after(root: Path, file: str, change: Callable[[str], str]) -> list[str]:
    path = root / file
    before = path.read_text("utf-8")
    path.write_text(change(before), "utf-8")
    assert path.read_text("utf-8") != before
    with pytest.raises(NotesError) as raised:
        read_corpus(root)
    return [str(fault) for fault in raised.value.faults]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("## Fehlerbild", "## Condition", "unknown section 'Condition': allowed are ## Fehlerbild, ## Ursache"),
        ("## Warum", "## Ergebnis", "section 'Ergebnis' stands twice"),
        ("**HINWEIS**", "**NOTICE**", "must begin with one of GEFAHR, WARNUNG, VORSICHT, HINWEIS in bold"),
        ("Wenn keine klemmt:", "If none sticks:", "a choice must read 'Wenn ...: weiter mit Schritt N.'"),
        ("die Arbeit ist fertig.", "the work is done.", "a choice must end in 'weiter mit Schritt N.'"),
    ],
)
def test_a_note_is_held_to_the_words_of_its_language(german_notes: Path, old: str, new: str, told: str) -> None:
    faults = faults_after(german_notes, TASTE, lambda text: text.replace(old, new, 1))
    assert any(told in fault for fault in faults), faults


def test_signal_words_of_hazards_are_those_of_the_language(german_notes: Path) -> None:
    faults = faults_after(german_notes, "hazards.yaml", lambda text: text.replace("GEFAHR", "DANGER"))
    assert any("must be one of GEFAHR, WARNUNG, VORSICHT, HINWEIS" in fault for fault in faults)


@pytest.mark.parametrize("value", ["xx", "[de]", "1", "DE"])
def test_a_language_that_is_not_known_is_refused_with_its_line(german_notes: Path, value: str) -> None:
    faults = faults_after(german_notes, "trade.yaml", lambda text: text.replace("language: de", f"language: {value}"))
    assert "trade.yaml:3: 'language' must be one of en, de" in faults


def test_notes_that_tell_no_language_are_english(mini_pack: Pack, german_pack: Pack) -> None:
    assert mini_pack.manifest["language"] == "en"
    assert (mini_pack.language, german_pack.language) == (language_of("en"), language_of("de"))


def test_a_pack_of_a_language_that_is_not_known_is_refused(mini_pack_path: Path, tmp_path: Path) -> None:
    path = Path(shutil.copy(mini_pack_path, tmp_path / "x.pack"))
    manifest("language", "xx")(path)
    with Pack(path) as pack, pytest.raises(PackError, match=re.escape("language: this version knows no such one")):
        Assistant(pack)
    manifest("language", None)(path)
    with Pack(path) as pack:
        assert pack.language == language_of("en")


def test_the_check_finds_nothing_in_the_german_notes_and_names_what_is_off() -> None:
    book = read_book(GERMAN, TODAY)
    assert check(book, all_rules()) == []
    kept = readable(book, all_rules())
    assert len(kept) + len(ENGLISH) == len(all_rules())
    assert unread(book).startswith(f"{len(ENGLISH)} rules read English alone and are off for notes in 'de': C204, ")


def test_rules_that_read_every_language_still_find(german_notes: Path) -> None:
    path = german_notes / TASTE
    path.write_text(path.read_text("utf-8").replace("[gängige Praxis]", "[common practice]"), "utf-8")
    (found,) = check(read_book(german_notes, TODAY), all_rules())
    assert (found.rule.code, found.finding.message) == (
        "C106",
        "'common practice' is neither a known publication nor gängige Praxis",
    )


def test_both_spellings_of_an_umlaut_are_one_form() -> None:
    german = language_of("de")
    assert tokenize("Grüße, Straße", german) == tokenize("Gruesse, STRASSE", german) == ["gruesse", "strasse"]
    assert tokenize("geht kein Ton", german) == ["geht", "nicht", "ton"]
    assert spellings("Grüße aus der Straße", german) == {"gruesse": "grüße", "strasse": "straße"}
    assert tokenize("Grüße") == ["grüße"]


def test_compounds_and_negations_are_those_of_the_language() -> None:
    german = language_of("de")
    assert ("station", "lampe") in splits("stationslampe", german.joints)
    assert ("station", "lampe") not in splits("stationslampe")
    assert repairs("undicht", [("dicht", 5), ("undichte", 1)], german) == ["undichte"]
