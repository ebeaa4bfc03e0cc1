"""What a release is signed off by: facts, changes since an earlier one, the last opening, and the trend over some."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import NotesError, UsageError
from assistant.evaluation.figures import figures_of
from assistant.evaluation.release import (
    Release,
    Saved,
    changes_since,
    git_revision,
    note_digests,
    read_saved,
    release_json,
    settings_digest,
)
from assistant.evaluation.report import score_notes
from assistant.evaluation.sealed import LEDGER, last_opening
from assistant.evaluation.statistics import Share
from assistant.evaluation.study import study, study_json
from assistant.evaluation.trend import trend_json, trend_of, trend_page, trend_text
from assistant.pack.reader import Pack
from tests.unit.evaluation.making import labelled, write_lines

DAY = date(2026, 11, 28)
OPENED: dict[str, Any] = {"date": "2026-11-27T09:30:05+00:00", "pack": "p1", "why": "w", "figures": {"P@1": [3, 4]}}


def release(pack: Pack, **more: Any) -> Release:
    return Release(DAY, "1.2", "", pack.digest, settings_digest(pack), note_digests(pack), **more)


def saved(name: str, day: str = "", **figures: float) -> Saved:
    return Saved(name, day, "", {key.replace("_", " "): value for key, value in figures.items()}, None)


def test_what_a_report_wrote_is_read_back(mini_pack: Pack, tmp_path: Path) -> None:
    questions = [
        labelled("q1", "wipe the sticky disc", notes=("disc-clean",)),
        labelled("q2", "display shows no signal", notes=("pad-stick-cap",)),
    ]
    report = score_notes(mini_pack, questions, [], "tune")
    path = tmp_path / "r.json"
    path.write_text(json.dumps(study_json(study(mini_pack, report, None, release(mini_pack)))), "utf-8")
    found = read_saved(path)
    assert (found.name, found.day, found.pack) == ("r.json", "2026-11-28", mini_pack.digest)
    assert found.notes == note_digests(mini_pack)
    assert found.figures == pytest.approx(figures_of(report), abs=1e-4)
    assert changes_since(found, note_digests(mini_pack), figures_of(report))[1:] == ((), (), (), ())


def test_a_saved_baseline_is_read_without_notes(tmp_path: Path) -> None:
    path = tmp_path / "b.json"
    path.write_text(json.dumps({"splits": {"tune": {"P@1": 0.5}}}), "utf-8")
    assert read_saved(path) == Saved("b.json", "", "", {"P@1": 0.5}, None)


@pytest.mark.parametrize(
    "content", ["{", "[]", "{}", '{"splits": {}}', '{"splits": {"tune": 3}}', '{"pack": "p", "shares": 1}']
)
def test_what_is_neither_is_refused(tmp_path: Path, content: str) -> None:
    path = tmp_path / "b.json"
    path.write_text(content, "utf-8")
    with pytest.raises(NotesError, match="neither figures of a report nor a saved baseline"):
        read_saved(path)


def test_changes_are_told_by_digest() -> None:
    before = Saved("old", "", "", {"P@1": 0.9, "gone": 0.1, "same": 0.5}, {"a": "1", "b": "1", "c": "1"})
    found = changes_since(before, {"b": "1", "c": "2", "d": "1"}, {"P@1": 0.95, "same": 0.50001, "new": 1.0})
    assert (found.added, found.changed, found.gone) == (("d",), ("c",), ("a",))
    assert found.figures == (("P@1", 0.9, 0.95),)


def test_a_signature_does_not_change_the_digest_of_a_note_and_its_text_does(mini_pack: Pack) -> None:
    digests = note_digests(mini_pack)
    assert set(digests) == set(mini_pack.titles)
    assert len(set(digests.values())) == len(digests)
    assert len(settings_digest(mini_pack)) == 12


def test_the_facts_are_written_as_json(mini_pack: Pack, tmp_path: Path) -> None:
    write_lines(tmp_path / LEDGER, OPENED, {**OPENED, "pack": "p2", "figures": {"P@1": [4, 4]}})
    opening = last_opening(tmp_path)
    assert opening is not None
    assert (opening.number, opening.pack, opening.figures) == (2, "p2", {"P@1": Share(4, 4)})
    changes = changes_since(saved("old", P=0.5), {"n": "1"}, {"P": 0.6})
    found = release_json(release(mini_pack, sealed=opening, changes=changes, signed_by="A"))
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert (found["day"], found["version"], found["revision"], found["signed_by"]) == ("2026-11-28", "1.2", None, "A")
    assert found["sealed"]["figures"] == {"P@1": [4, 4]}
    assert found["changes"]["figures"] == [{"name": "P", "before": 0.5, "now": 0.6}]
    assert found["changes"]["notes_known"] is False


def test_a_folder_without_openings_has_none(tmp_path: Path) -> None:
    assert last_opening(tmp_path) is None
    (tmp_path / LEDGER).write_text("\n", "utf-8")
    assert last_opening(tmp_path) is None


@pytest.mark.parametrize("record", ["{", {}, {**OPENED, "figures": {"P@1": [5, 4]}}, {**OPENED, "figures": {"P@1": 1}}])
def test_a_damaged_ledger_is_refused(tmp_path: Path, record: Any) -> None:
    path = write_lines(tmp_path / LEDGER, OPENED, record)
    with pytest.raises(NotesError, match=rf"{path}:2: not an opening"):
        last_opening(tmp_path)


def test_the_revision_is_told_where_there_is_one(tmp_path: Path) -> None:
    assert git_revision(tmp_path) == ""
    person = ("-c", "user.name=a", "-c", "user.email=a@example.org")
    for arguments in (("init", "-q"), (*person, "commit", "-q", "--allow-empty", "-m", "first")):
        subprocess.run(["git", "-C", str(tmp_path), *arguments], check=True, capture_output=True)
    head = git_revision(tmp_path)
    assert len(head) == 12
    (tmp_path / "new.md").write_text("x", "utf-8")
    assert git_revision(tmp_path) == f"{head}, notes changed since"


RELEASES = (
    Saved("b.json", "2026-11-20", "p2", {"P@1": 0.9, "false answers": 0.05}, None),
    Saved("a.json", "2026-11-02", "p1", {"P@1": 0.8}, None),
    Saved("old.json", "", "", {"P@1": 0.7}, None),
)


def test_releases_stand_in_the_order_of_their_days() -> None:
    trend = trend_of(RELEASES)
    assert trend.heads == ("old.json", "2026-11-02", "2026-11-20")
    assert trend.rows == (("P@1", (0.7, 0.8, 0.9)), ("false answers", (None, None, 0.05)))
    assert [line.split() for line in trend_text(trend).splitlines()] == [
        ["figure", "old.json", "2026-11-02", "2026-11-20", "moved"],
        ["P@1", "0.700", "0.800", "0.900", "+0.200"],
        ["false", "answers", "-", "-", "0.050", "-"],
    ]
    found = trend_json(trend)
    assert found["figures"]["P@1"] == [0.7, 0.8, 0.9]
    assert [one["pack"] for one in found["releases"]] == [None, "p1", "p2"]


def test_only_named_figures_are_shown() -> None:
    assert [name for name, _ in trend_of(RELEASES, ["false answers"]).rows] == ["false answers"]
    with pytest.raises(UsageError, match="no figure 'x'"):
        trend_of(RELEASES, ["x"])


def test_the_page_of_the_trend_holds_plot_and_table() -> None:
    releases: Mapping[str, Saved] = {one.name: one for one in RELEASES}
    page = trend_page(trend_of([*releases.values(), saved("<b>.json", P=0.1)]))
    assert page.count("<svg") == page.count("<figcaption") == 1
    assert "P@1: 0.700, -, 0.800, 0.900" in page
    assert '<td class="number">+0.200</td>' in page
    assert "&lt;b&gt;.json" in page
    assert "<b>.json" not in page
