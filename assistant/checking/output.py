"""Findings and rules as text, JSON, SARIF 2.1.0 and a Markdown table; nothing in them acts on a terminal."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from urllib.parse import quote

from assistant.analysis.tokens import json_line, printable
from assistant.checking.check import Found
from assistant.checking.rule import Edit, Rule

__all__ = ["findings_json", "findings_sarif", "findings_text", "rules_json", "rules_markdown", "rules_text"]

_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_TOOL = "station-assistant"


def findings_text(found: Iterable[Found], root: Path) -> str:
    """Return a line ``path:line: severity CODE message`` for each finding."""
    return "\n".join(
        printable(f"{root / f.path}:{f.line}: {rule.severity} {rule.code} {f.message}") for f, rule in found
    )


def findings_json(found: Iterable[Found], root: Path) -> str:
    """Return one line of JSON: an object with the list ``findings``."""
    listed = [
        {
            "path": (root / finding.path).as_posix(),
            "line": finding.line,
            "severity": rule.severity,
            "code": rule.code,
            "name": rule.name,
            "message": printable(finding.message),
            "fix": finding.edit and {"before": finding.edit.before, "after": finding.edit.after},
        }
        for finding, rule in found
    ]
    return json_line({"findings": listed})


def findings_sarif(found: Sequence[Found], root: Path, rules: Sequence[Rule], version: str) -> str:
    """Return one line of JSON: a log of OASIS SARIF 2.1.0 with one run.

    ``rules`` are those that ran; every rule of ``found`` is among them.
    """
    place = {rule.code: n for n, rule in enumerate(rules)}
    driver = {"name": _TOOL, "version": version, "rules": [_descriptor(rule) for rule in rules]}
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "results": [_result(one, root, place[one.rule.code]) for one in found],
    }
    return json_line({"$schema": _SCHEMA, "version": "2.1.0", "runs": [run]})


def _descriptor(rule: Rule) -> dict[str, object]:
    examples = f"Good: {_one_line(rule.good)}\nBad: {_one_line(rule.bad)}"
    return {
        "id": rule.code,
        "name": rule.name,
        "shortDescription": {"text": rule.summary},
        "fullDescription": {"text": f"{rule.summary} {rule.reason}"},
        "help": {"text": f"{rule.summary}\nWhy: {rule.reason}\nSource: {rule.source}\n{examples}"},
        "defaultConfiguration": {"level": rule.severity},
    }


def _result(one: Found, root: Path, index: int) -> dict[str, object]:
    finding, rule = one
    artifact = {"uri": _uri(root / finding.path)}
    location = {"physicalLocation": {"artifactLocation": artifact, "region": {"startLine": finding.line}}}
    result: dict[str, object] = {
        "ruleId": rule.code,
        "ruleIndex": index,
        "level": rule.severity,
        "message": {"text": printable(finding.message)},
        "locations": [location],
    }
    if finding.edit:
        replacements = [_replacement(edit) for edit in (finding.edit, *finding.more)]
        change = {"artifactLocation": artifact, "replacements": replacements}
        result["fixes"] = [{"description": {"text": rule.summary}, "artifactChanges": [change]}]
    return result


def _replacement(edit: Edit) -> dict[str, object]:
    if edit.after is None:
        region = {"startLine": edit.line, "startColumn": 1, "endLine": edit.line + 1, "endColumn": 1}
        return {"deletedRegion": region}
    region = {"startLine": edit.line, "startColumn": 1, "endColumn": len(edit.before) + 1}
    return {"deletedRegion": region, "insertedContent": {"text": edit.after}}


def _uri(path: Path) -> str:
    return path.as_uri() if path.is_absolute() else quote(os.fsencode(path.as_posix()))


def _one_line(example: str) -> str:
    """Return an example on one line; hidden characters are written as escapes."""
    lines = [line.strip() for line in example.split("\n") if line.strip()]
    text = " / ".join(lines) if len(lines) > 1 else example
    return "".join(c if c.isprintable() and c.isascii() else ascii(c)[1:-1] for c in text)


def rules_text(rules: Iterable[Rule]) -> str:
    """Return a line for each rule."""
    return "\n".join(f"{rule.code} {rule.severity:7} {rule.name}: {rule.summary}" for rule in rules)


def rules_json(rules: Iterable[Rule]) -> str:
    """Return one line of JSON: an object with the list ``rules``."""
    fields = ("code", "name", "severity", "summary", "reason", "source", "place", "good", "bad")
    return json_line({"rules": [{name: getattr(rule, name) for name in fields} for rule in rules]})


def rules_markdown(rules: Iterable[Rule]) -> str:
    """Return the table of the rules."""
    rows = [
        f"| {rule.code} | {rule.severity} | {_cell(rule.summary)} | {_cell(rule.reason)} | {_cell(rule.source)} "
        f"| {_code(rule.bad)} |"
        for rule in rules
    ]
    return "\n".join(("| code | level | what is wanted | why | source | found |", "|---|---|---|---|---|---|", *rows))


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _code(example: str) -> str:
    """Return an example as code, cut where it is long."""
    text = _one_line(example).replace("`", "'").replace("|", "\\|")
    return f"`{text if len(text) <= 120 else text[:117].rstrip() + '...'}`"
