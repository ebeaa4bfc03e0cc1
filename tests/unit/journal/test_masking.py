"""Telephone numbers and e-mail addresses in what is kept, where they are to be masked."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import JournalError
from assistant.journal.masking import masked
from assistant.journal.records import Act, Entry, Question, Remark, Swap, Work
from assistant.journal.store import Journal

NUMBER, ADDRESS = "(telephone number)", "(e-mail address)"


@pytest.mark.parametrize(
    "number",
    [
        "(0607) 123 4567",  # ITU-T E.123, from memory: national form
        "+22 607 123 4567",  # the same: international form
        "(0609) 123 4567",
        "(0607) 123 4567/8",
        "+33 1 23 45 67 89",
        "01 23 45 67 89",
        "+44 (0)20 7946 0958",
        "020 7946 0958",
        "030/1234567",
        "0171-555 01 23",
        "(555) 555-0100",
        "555-555-0100",
        "555.555.0100",
        "555-0100",
        "5555550100",
        "+4930555010",
        "0049 30 555010",
        "\uff0b22 607 123 4567",
        "\u0660\u0661\u0662\u0663\u0664\u0665\u0666\u0667",
        "+22\u00a0607\u202f123 4567",
    ],
)
def test_numbers_of_several_countries_are_masked(number: str) -> None:
    assert masked(number) == NUMBER
    assert masked(f"A-0101: call {number}, on 2026-11-30.") == f"A-0101: call {NUMBER}, on 2026-11-30."
    assert masked(f"2026-11-30 {number}") == f"2026-11-30 {NUMBER}"


@pytest.mark.parametrize("address", ["ina@example.org", "Ina.K+x@shop-014.example", "ina\uff20example.org"])
def test_addresses_are_masked(address: str) -> None:
    assert masked(f"write to <{address}>.") == f"write to <{ADDRESS}>."
    assert masked(f"{address} or {address}") == f"{ADDRESS} or {ADDRESS}"


@pytest.mark.parametrize(
    "text",
    [
        "A-0101, A-0102 and SC-01",
        "SC-0101234567",
        "on 2026-11-30 at 16:23:37",
        "2026-11-30 16:23",
        "2026-11-30, 2026-12-01",
        "30.11.2026 and 30/11/2026",
        "2 pads, 4 leads 10 20 30",
        "100-240 V 50/60 Hz",
        "firmware 2.10.4",
        "version 12.0.1234567b",
        "x1234567 and 1234567x",
        "12345678901234567890",
        "@home, at 5 @ 3",
    ],
)
def test_codes_days_and_amounts_stay(text: str) -> None:
    assert masked(text) == text


def test_what_is_hostile_takes_no_longer_than_what_is_long() -> None:
    """Each would take some 2 to the 4000 tries if a run of digits could be parted anywhere."""
    for text in ("1" * 4000 + "x", "1 " * 2000 + "x", "(1" * 2000, "1)" * 2000 + "x", "a@" * 2000, "a.b@c." * 700):
        assert masked(text)


def kept(path: Path) -> list[object]:
    with Journal(path) as journal:
        says = journal.add(Entry("A-0101: call 555-0100")).says
        remark = journal.add(Remark("ina@example.org")).text
        asked = journal.add(Question("who is 555-0100?", "none", "procedure", read_as="555-0100"))
        swap = journal.add(Swap("A-0101", "pad", "1234567890", "1234567891"))
        work = journal.add(Work("n", "t", "clean", 1, 5, "A-0101", "dark, call 555-0100"))
        act = journal.add(Act(work.id, "acknowledged", 1, "Call 555-0100", "says 555-0100"))
        assert journal.all(Remark)[-1].text == remark
    return [says, remark, asked.text, asked.read_as, swap.taken_out, swap.put_in, work.condition, act.text, act.reason]


PLAIN: list[object] = [
    "A-0101: call 555-0100",
    "ina@example.org",
    "who is 555-0100?",
    "555-0100",
    "1234567890",
    "1234567891",
    "dark, call 555-0100",
    "Call 555-0100",
    "says 555-0100",
]
MASKED: list[object] = [
    f"A-0101: call {NUMBER}",
    ADDRESS,
    f"who is {NUMBER}?",
    NUMBER,
    "1234567890",
    "1234567891",
    f"dark, call {NUMBER}",
    "Call 555-0100",
    f"says {NUMBER}",
]


@pytest.mark.parametrize(
    ("variable", "settings", "wanted"),
    [
        (None, None, PLAIN),
        (None, "{}", PLAIN),
        (None, '{"mask": true}', MASKED),
        (None, '{"mask": false}', PLAIN),
        ("1", None, MASKED),
        ("1", '{"mask": false}', MASKED),
        ("0", '{"mask": true}', PLAIN),
        ("", None, PLAIN),
    ],
)
def test_only_free_words_are_masked_and_only_where_it_is_wanted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, variable: str | None, settings: str | None, wanted: list[object]
) -> None:
    monkeypatch.delenv("ASSISTANT_MASK", raising=False)
    if variable is not None:
        monkeypatch.setenv("ASSISTANT_MASK", variable)
    if settings is not None:
        (tmp_path / "settings.json").write_text(settings, "utf-8")
    assert kept(tmp_path / "a.db") == wanted


@pytest.mark.parametrize("settings", ["", "[]", '{"mask": 1}', '{"mask": "yes"}', "[" * 100_000, "\udcff"])
def test_a_setting_that_is_not_understood_keeps_nothing(tmp_path: Path, settings: str) -> None:
    path = tmp_path / "settings.json"
    path.write_bytes(settings.encode("utf-8", "surrogateescape"))
    with pytest.raises(JournalError, match=r'settings\.json:1: must be .*\{"mask": true\}'):
        Journal(tmp_path / "a.db")
    assert list(tmp_path.iterdir()) == [path]
    Journal(tmp_path / "a.db", readonly=True).close()


def test_a_word_of_the_variable_that_is_not_known_keeps_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ASSISTANT_MASK", "yes please")
    with pytest.raises(JournalError, match="ASSISTANT_MASK: must be 1"):
        Journal(tmp_path / "a.db")
