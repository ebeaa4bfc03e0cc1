"""The commands of a visit over a German pack: what they print holds no word of their English twin."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from assistant.pack.reader import Pack
from tests.cli.conftest import Ran, Run
from tests.german import english_twin, mixed, texts_of
from tests.unit.visiting.report_scene import photo

PAD, SCREEN, BATTERY = "pad-taste-klemmt", "screen-kein-bild", "safety-akku"
TYPED = (
    "Ina; Kai; Taste X klemmt; dunkel; zu laut; kein Ersatz da; Gast griff hin; Uhr; Netzteil; bild.jpg; UTC; Poisson"
)
SOON = (datetime.now().astimezone().date() + timedelta(days=9)).isoformat()
BEFORE: tuple[tuple[str, ...], ...] = (
    ("list",),
    ("status",),
    ("report",),
    ("figures",),
    ("plan",),
    ("bag",),
    ("parts",),
    ("open", "S-014", "--rep", "Ina", "--allowed-by", "Kai", "--switched-off", "A-0103=zu laut", "A-0104"),
    ("pass", "A-0101", "A-0102", "A-0105"),
    ("pass", "A-0106"),
    ("close", "--anyway"),
)
"""One visit, so that stations are known, and what is shown where nothing is."""
VISIT: tuple[tuple[str, ...], ...] = (
    ("open", "S-014"),
    ("open", "S-014"),
    ("status",),
    ("rest",),
    ("rest", "--yes"),
    ("rest", "--yes"),
    ("record", "A-0101", "fault", "Taste", "X", "klemmt", "--note", PAD, "--outcome", "replaced", "--minutes", "7.5"),
    ("record", "A-0102", "fault", "dunkel", "--note", SCREEN, "--wanted", "2 bildkabel", "--used", "1 bildkabel"),
    ("record", "A-0101", "fault", "Taste", "X", "klemmt", "--plays", "no", "--photo", "bild.jpg", "--remark", "Uhr"),
    ("record", "A-0105", "fault", "Akku", "--note", BATTERY, "--outcome", "out-of-service"),
    ("record", "A-0101"),
    ("record", "A-0101", "dunkel"),
    ("record", "A-0999", "pass"),
    ("record", "A-0101", "fault", "dunkel", "--note", "pad-taste"),
    ("record", "A-0101", "fault", "dunkel", "--note", "xyz"),
    ("record", "A-0101", "pass", "--outcome", "mended"),
    ("pass", "A-0105"),
    ("pass", "rest"),
    ("hand-over", "A-0102", "kein", "Ersatz", "da", "--number", "J-77", "--taken-by", "Kai", "--by-when", SOON),
    ("hand-over", "A-0102", "kein", "Ersatz", "da"),
    ("release", "A-0105", "--by", "Kai", "--number", "R-1"),
    ("release", "A-0102", "--by", "Kai", "--number", "R-1"),
    ("release", "A-0999", "--by", "Kai", "--number", "R-1"),
    ("pass", "A-0105"),
    ("swap", "A-0101", "Netzteil", "--out", "H-1", "--in", "H-2"),
    ("swap", "A-0101", "Netzteil", "--out", "H-1", "--in", "H-1"),
    ("incident", "near_miss", "Gast", "griff", "hin", "--station", "A-0101", "--told", "Kai"),
    ("incident", "shock", "Gast", "griff", "hin"),
    ("arrange", "A-0102", "--owner", "Kai", "--point", "fault"),
    ("arrange", "A-0102", "--owner", "Kai"),
    ("arrange", "A-0105", "--owner", "Kai"),
    ("arrange", "A-0101"),
    ("end", "A-0101", "mended"),
    ("status",),
    ("bag", "3 kabelbinder", "0 bildkabel"),
    ("bag",),
    ("bag", "--forecast"),
    ("bag", "3 xyz"),
    ("parts",),
    ("plan",),
    ("plan", "S-099"),
    ("first", PAD, SCREEN),
    ("first", PAD, SCREEN, "--full"),
    ("first", PAD),
    ("report",),
    ("report", "--full"),
    ("report", "--format", "message"),
    ("report", "--visit", "1"),
    ("report", "--visit", "9"),
    ("report", "--since", "2000-01-01"),
    ("report", "--since", "2000-01-01", "--full"),
    ("record", "A-0106", "fault", "dunkel", "--plays", "no"),
    ("record", "A-0104", "fault", "Akku", "--note", BATTERY, "--new"),
    ("undo",),
    ("undo", "--sure"),
    ("figures",),
    ("figures", "--full"),
    ("close",),
    ("close", "--signed", "typed"),
    ("close", "--anyway", "--signed", "typed", "--taken-by", "Kai", "--remark", "Uhr"),
    ("list",),
    ("status",),
    ("demo",),
)


@pytest.fixture
def here(german_pack_path: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setenv("ASSISTANT_PACK", str(german_pack_path))
    photo(tmp_path / "bild.jpg", (12, 9))
    return tmp_path


def _all(run: Run, home: str) -> Iterator[tuple[tuple[str, ...], Ran]]:
    for words in BEFORE + VISIT:
        yield words, run("--home", home, "visit", *words)


def test_no_command_of_a_visit_prints_an_english_word(here: Path, run: Run, german_pack: Pack) -> None:
    """On both streams; what the words and options of a command line itself lack is told in English (`argparse`)."""
    german = list(_all(run, "a"))
    with english_twin():
        english = list(_all(run, "b"))
    own = [TYPED, *texts_of((n for i in german_pack.note_ids if (n := german_pack.note(i))), german_pack.trade)]
    own += [
        "--point part; --home a/journal.db",
        *(word for words in BEFORE + VISIT for word in words if word.islower()),
    ]
    for (words, ran), (_, twin) in zip(german, english, strict=True):
        assert ran.code == twin.code, (words, ran, twin)
        for told, other in ((ran.out, twin.out), (ran.err, twin.err)):
            left = mixed(other.splitlines(), told.splitlines(), own)
            assert left == [], (words, left, told)
            assert len(told.splitlines()) == len(other.splitlines())
    assert {ran.code for _, ran in german} == {0, 1, 2}
    assert sum(ran.out != twin.out for (_, ran), (_, twin) in zip(german, english, strict=True)) > len(VISIT) / 2


def test_the_language_is_that_of_the_pack_and_english_without_one(
    here: Path, run: Run, mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("visit").out.startswith("Kein Besuch ist offen.")
    monkeypatch.setenv("ASSISTANT_PACK", str(mini_pack_path))
    assert run("visit").out.startswith("No visit is open.")
    monkeypatch.setenv("ASSISTANT_PACK", str(here / "none.pack"))
    assert run("visit").out.startswith("No visit is open.")
    Path(here, "broken.pack").write_bytes(b"no pack")
    monkeypatch.setenv("ASSISTANT_PACK", str(here / "broken.pack"))
    assert run("visit").out.startswith("No visit is open.")


def test_where_a_yes_is_asked_for_a_german_one_is_heard(
    here: Path, run: Run, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from assistant.cli import visit_acts
    from assistant.languages import speak

    class Typed:
        def __init__(self, text: str) -> None:
            self.text = text

        def isatty(self) -> bool:
            return True

        def readline(self) -> str:
            return self.text

    speak("de")
    for text, agreed in (("j\n", True), ("Ja\n", True), ("y\n", True), ("n\n", False), ("\n", False)):
        monkeypatch.setattr(sys, "stdin", Typed(text))
        assert visit_acts._agreed() is agreed, text
    assert "Festhalten? j oder n:" in capsys.readouterr().err
