"""Where links stand, what they lead to, and how one is written."""

from __future__ import annotations

import pytest

from assistant.notes.links import Link, links_in, path_to, target_of, written


def test_links_are_found_with_their_line_and_text() -> None:
    lines = [
        "See [Pad](../pad/pad-other.md), or [a disc",
        "that sticks](../disc/disc-stuck.md).",
        "Not [this](https://example.org), nor [that](pad-other.md).",
    ]
    assert list(links_in(lines)) == [
        Link("pad-other", "Pad", 1, "[Pad](../pad/pad-other.md)"),
        Link("disc-stuck", "a disc that sticks", 1, "[a disc\nthat sticks](../disc/disc-stuck.md)"),
    ]


@pytest.mark.parametrize("title", ["Another pad", "Pad [left] stays dark", "a ] b"])
def test_what_is_written_is_found_again(title: str) -> None:
    (link,) = links_in([f"Go to {written('pad-other', title)}."])
    assert (link.target, link.text) == ("pad-other", title)


@pytest.mark.parametrize("href", ["", "pad-other.md", "../disc/pad-other.md", "../pad/pad-other", "/pad/pad-other.md"])
def test_what_leads_to_no_note_has_no_target(href: str) -> None:
    assert target_of(href) is None
    assert target_of(path_to("pad-other")) == "pad-other"
