"""Words of the figures: which are explained, and that none of a report is left out."""

from __future__ import annotations

import pytest

from assistant.evaluation.glossary import GLOSSARY, glossary_lines, words_in
from assistant.evaluation.report import MEASURES


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("ok     P@1  0.966 [0.958, 0.973], at least 0.959", ["[low, high]", "bar", "P@1"]),
        ("near   confidence: AURC  0.05, at most 0.04", ["bar", "near", "AURC"]),
        ("aim missed: P@1 plain: tune 0.975, sealed 0.982; aim at least 0.99", ["bar", "aim", "tune", "sealed", "P@1"]),
        ("success@5 this program: 1/2", ["success@"]),
        ("look again: q1: the aim of the light bar is near [a, b] and the bag is sealed in", []),
        ("P@15 and MAPS", []),
    ],
)
def test_words_that_stand_in_a_text_are_found(text: str, words: list[str]) -> None:
    assert [word for word, _ in words_in(text)] == words


def test_every_measure_has_its_line() -> None:
    assert {*MEASURES, "MAP", "P@5", "success@", "Brier score", "AUROC", "AURC", "bar", "aim"} <= dict(GLOSSARY).keys()


def test_a_line_is_one_line_that_fits_a_terminal() -> None:
    assert all(len(line) <= 120 and "\n" not in line for line in glossary_lines(GLOSSARY))
