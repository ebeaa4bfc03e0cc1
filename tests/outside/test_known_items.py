"""Known items: the questions of a published FAQ, each to find its own answer; the questions are not indexed."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest

from assistant.evaluation.collection import Collection
from assistant.evaluation.compare import OURS, Comparison
from tests.outside.rankings import figures, ranked

FAQ = Path("/usr/share/doc/debian/FAQ/debian-faq.en.txt.gz")
MEASURES = ("MRR", "success@1", "success@3", "success@5")
_ENTRY = re.compile(r"^(\d+\.\d+)\.\s+(\S.*?)\n\n(.*?)(?=^\d+\.\d+\.\s|^Chapter\s\d|\Z)", re.MULTILINE | re.DOTALL)


def entries(text: str) -> dict[str, tuple[str, str]]:
    """Return (title, text) by number: headings stand at the margin, the table of contents and all text are indented."""
    return {number: (" ".join(title.split()), " ".join(body.split())) for number, title, body in _ENTRY.findall(text)}


def known_items(found: dict[str, tuple[str, str]]) -> Collection:
    """Return the texts without titles, and each title with a question mark as the question whose answer is its text."""
    questions = {number: title for number, (title, _) in found.items() if "?" in title}
    return Collection(
        {number: ("", body) for number, (_, body) in found.items()},
        questions,
        {number: {number: 1} for number in questions},
    )


@pytest.fixture(scope="module")
def faq() -> dict[str, tuple[str, str]]:
    if not FAQ.is_file():
        pytest.skip(f"the Debian package debian-faq is not installed: {FAQ} is absent")
    return entries(gzip.decompress(FAQ.read_bytes()).decode("utf-8"))


@pytest.fixture(scope="module")
def comparison(faq: dict[str, tuple[str, str]], tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return ranked(known_items(faq), tmp_path_factory.mktemp("faq"), MEASURES)


def test_entries_are_cut_at_their_headings() -> None:
    text = (
        "Contents\n\n1. First\n    1.1. What is it?\n\nChapter 1. First\n\n1.1.\u00a0What\nis it?\n\n    A thing.\n\n"
        "1.1.1. Kinds\n\n    Two.\n\n1.2. More\n\n    See 1.1. above.\n\nChapter 2. Next\n\n2.1. How?\n\n    So.\n"
    )
    assert entries(text) == {
        "1.1": ("What is it?", "A thing. 1.1.1. Kinds Two."),
        "1.2": ("More", "See 1.1. above."),
        "2.1": ("How?", "So."),
    }
    items = known_items(entries(text))
    assert items.questions == {"1.1": "What is it?", "2.1": "How?"}
    assert items.documents["2.1"] == ("", "So.")


def test_the_faq_is_read_whole(faq: dict[str, tuple[str, str]]) -> None:
    """Debian GNU/Linux FAQ, package debian-faq 11.1: 112 entries, 103 of them questions; other editions come near."""
    questions = sum("?" in title for title, _ in faq.values())
    assert 90 <= questions <= len(faq) <= 150
    assert all(title and body for title, body in faq.values())
    assert not [number for number, (title, body) in faq.items() if title in body[: len(title)]]


@pytest.mark.parametrize("measure", ["MRR", "success@1"])
def test_ours_finds_the_answers_no_worse_than_any_baseline(comparison: Comparison, measure: str) -> None:
    """Debian GNU/Linux FAQ, package debian-faq; .02 is allowed for chance."""
    best = max(comparison.mean(name, measure) for name in comparison.values if name != OURS)
    ours = comparison.mean(OURS, measure)
    assert ours >= best - 0.02, f"{measure}: ours {ours:.4f}, best baseline {best:.4f}{figures(comparison)}"
