"""One Markdown file with front matter -> one `Note`, and every fault on the way with its line."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import PurePosixPath

from markdown_it import MarkdownIt
from markdown_it.token import Token

from assistant.errors import Fault, NotesError
from assistant.languages import DEFAULT, Language, language_of
from assistant.model import Branch, Figure, Note, SafetyMessage, Step
from assistant.notes.drafts import why_draft
from assistant.notes.figure_lines import figures_apart
from assistant.notes.front_matter import parse_front_matter
from assistant.notes.links import target_of
from assistant.notes.signing import note_digest
from assistant.notes.text import forbidden_characters, wrong_bullet

__all__ = ["SECTIONS", "read_note"]

SECTIONS = (
    "Condition",
    "Cause",
    "Before you start",
    "Steps",
    "Result",
    "If it still fails",
    "Why",
)
_NEEDED = frozenset({"Condition", "Steps", "Result", "If it still fails"})
_FAILS = "If it still fails"
_BEFORE = "Before you start"
_TABLE = re.compile(r"(?=[^|]*\|)\s*\|?\s*:?-+:?\s*(?:\|\s*:?-+:?\s*)*\|?\s*$")
"""The line below the head of a table."""


@dataclass
class _Body:
    """What the Markdown of one file turned into so far."""

    shown: str
    first_line: int
    faults: list[Fault] = field(default_factory=list)
    section: str = ""
    order: list[str] = field(default_factory=list)
    paragraphs: dict[str, list[str]] = field(default_factory=dict)
    steps: list[Step] = field(default_factory=list)
    safety: list[SafetyMessage] = field(default_factory=list)
    waiting: list[SafetyMessage] = field(default_factory=list)
    links: list[str] = field(default_factory=list)
    on_failure: list[str] = field(default_factory=list)
    figures: list[Figure] = field(default_factory=list)
    language: Language = field(default_factory=language_of)
    hazards: tuple[str, ...] = ()

    def heading(self, section: str) -> str:
        """Return what a section is called in the language of the note."""
        return next(heading for heading, name in self.language.sections.items() if name == section)

    def line(self, token: Token) -> int:
        return self.first_line + (token.map[0] if token.map else 0)

    def fault(self, line: int, message: str) -> None:
        self.faults.append(Fault(self.shown, line, message))


def read_note(text: str, shown: str, language: str = DEFAULT, *hazards: str) -> Note:
    """Read the text of one note.

    Parameters
    ----------
    text
        The whole file.
    shown
        Its path below the corpus folder, which must end in ``<area>/<id>.md``.
    language
        The code of the language whose headings, choices and signal words it has.
    hazards
        The keys of the hazards that there are, for the message on one that is misspelt; none where nobody knows.

    Returns
    -------
    Note
        Without example questions.

    Raises
    ------
    NotesError
        With all faults found, each as ``path:line: message``.
    """
    lines = text.split("\n")
    if lines[0].strip() != "---":
        raise NotesError([Fault(shown, 1, "front matter is missing: the first line must be '---'")])
    end = next((i for i, line in enumerate(lines[1:], start=1) if line.strip() == "---"), None)
    if end is None:
        raise NotesError([Fault(shown, 1, "front matter has no closing '---'")])
    front, faults = parse_front_matter("\n".join(lines[1:end]), shown, 2)
    body = _Body(shown, end + 2, faults, language=language_of(language), hazards=hazards)
    tokens = MarkdownIt("commonmark", {"html": False}).parse("\n".join(lines[end + 1 :]))
    _refuse_forms(tokens, lines[end + 1 :], body)
    _read_body(tokens, body)
    _check_shape(body)
    path = PurePosixPath(shown)
    values = front.values
    status = values.pop("status", "")
    review = values.get("safety_review")
    if review is not None and review.by:
        fits = (review.revision, review.digest) == (values.get("revision"), note_digest(text))
        values["safety_review"] = review._replace(fits=fits)
    if "id" in values:
        if values["id"] != path.stem:
            body.fault(front.lines["id"], f"id '{values['id']}' is not the file name '{path.stem}'")
        area = values["id"].split("-")[0]
        if path.parent.name != area:
            body.fault(front.lines["id"], f"the file must lie in the folder '{area}'")
    if body.faults:
        raise NotesError(body.faults)

    def joined(name: str) -> str:
        return " ".join(body.paragraphs.get(name, []))

    return Note(
        **values,
        condition=joined("Condition"),
        cause=tuple(body.paragraphs.get("Cause", [])),
        before_you_start=tuple(body.paragraphs.get("Before you start", [])),
        steps=tuple(body.steps),
        safety=tuple(body.safety),
        result=joined("Result"),
        if_it_still_fails=joined("If it still fails"),
        why=joined("Why"),
        links=tuple(body.links),
        on_failure=tuple(dict.fromkeys(body.on_failure)),
        figures=tuple(body.figures),
        path=shown,
        draft=why_draft(status, text),
    )


def _refuse_forms(tokens: list[Token], lines: list[str], body: _Body) -> None:
    """Add a fault for each form of Markdown that a card cannot show."""
    for token in tokens:
        if token.type in {"fence", "code_block", "hr"}:
            body.fault(body.line(token), "code blocks and rules have no place in a note")
    for number, line in enumerate(lines, start=body.first_line):
        if _TABLE.match(line):
            body.fault(number, "a table has no place in a note: write a step or a bullet for each of its rows")
        if sign := wrong_bullet(line):
            body.fault(number, f"this line begins with '{sign}', which is no bullet: begin it with '- '")


def _read_body(tokens: list[Token], body: _Body) -> None:
    i = 0
    while i < len(tokens):
        token = tokens[i]
        if token.type == "heading_open":
            _open_section(token, tokens[i + 1].content, body)
            i += 3
        elif token.type in {"ordered_list_open", "bullet_list_open", "blockquote_open"}:
            close = _closing(tokens, i)
            inner = tokens[i + 1 : close]
            if body.section == "Steps" and token.type == "ordered_list_open":
                _read_steps(inner, int(token.attrs.get("start", 1)), body)
            elif body.section == "Steps" and token.type == "blockquote_open":
                _read_safety(token, inner, body)
            elif token.type == "blockquote_open":
                body.fault(body.line(token), "a safety message stands outside the steps")
            elif body.section == "Steps":
                body.fault(body.line(token), "steps must be a numbered list")
            else:
                for item in _items(inner):
                    told = _without_figures(item, 0, body) if body.section == _BEFORE else item
                    _add_paragraph(_plain_of(told, body), token, body)
            i = close + 1
        elif token.type == "inline":
            if body.section == "Steps":
                body.fault(body.line(token), "text between the steps belongs to no step")
            _add_paragraph(_plain(token, body), token, body)
            i += 1
        else:
            i += 1


def _open_section(token: Token, name: str, body: _Body) -> None:
    line = body.line(token)
    sections = body.language.sections
    if token.tag != "h2" or name not in sections:
        body.fault(line, f"unknown section '{name}': allowed are {', '.join('## ' + s for s in sections)}")
        body.section = ""
        return
    name = sections[name]
    if name in body.order:
        body.fault(line, f"section '{body.heading(name)}' stands twice")
    elif body.order and SECTIONS.index(name) < SECTIONS.index(body.order[-1]):
        body.fault(line, f"section '{body.heading(name)}' must stand before '{body.heading(body.order[-1])}'")
    body.section = name
    body.order.append(name)


def _add_paragraph(text: str, token: Token, body: _Body) -> None:
    if not body.section:
        if not body.order:
            body.fault(body.line(token), "text before the first section")
        return
    body.paragraphs.setdefault(body.section, []).append(text)


def _closing(tokens: list[Token], start: int) -> int:
    level = tokens[start].level
    close = tokens[start].type.replace("_open", "_close")
    return next(i for i in range(start + 1, len(tokens)) if tokens[i].level == level and tokens[i].type == close)


def _items(inner: list[Token]) -> list[list[Token]]:
    items = []
    i = 0
    while i < len(inner):
        if inner[i].type == "list_item_open":
            close = _closing(inner, i)
            items.append(inner[i : close + 1])
            i = close
        i += 1
    return items


def _plain_of(tokens: list[Token], body: _Body) -> str:
    return " ".join(_plain(token, body) for token in tokens if token.type == "inline")


def _plain(token: Token, body: _Body) -> str:
    parts = []
    for child in token.children or []:
        if child.type in {"text", "code_inline"}:
            parts.append(child.content)
        elif child.type in {"softbreak", "hardbreak"}:
            parts.append(" ")
        elif child.type == "link_open":
            _take_link(str(child.attrs.get("href", "")), token, body)
            parts.append('"')
        elif child.type == "link_close":
            parts.append('"')
        elif child.type == "image":
            body.fault(body.line(token), "a picture stands under a step, or under an item of 'Before you start'")
    text = re.sub(r"\s+", " ", "".join(parts)).strip()
    for problem in forbidden_characters(text):
        body.fault(body.line(token), problem)
    return text


def _without_figures(tokens: list[Token], step: int, body: _Body) -> list[Token]:
    """Take the pictures out of a step, or an item, and return what is left of it."""
    left = []
    for token in tokens:
        if token.type == "inline":
            figures, token, faults = figures_apart(token, step, body.line(token))
            body.figures += figures
            body.faults += [Fault(body.shown, line, message) for line, message in faults]
        if token.type != "inline" or token.children:
            left.append(token)
    return left


def _take_link(href: str, token: Token, body: _Body) -> None:
    target = target_of(href)
    if target is None:
        body.fault(body.line(token), f"link '{href}' is not of the form ../area/id.md")
        return
    body.links.append(target)
    if body.section == _FAILS:
        body.on_failure.append(target)


def _read_safety(token: Token, inner: list[Token], body: _Body) -> None:
    line = body.line(token)
    text = _plain_of(inner, body)
    signal, _, rest = text.partition(" ")
    signals = body.language.signals
    if not rest and body.hazards and signal not in body.hazards and signal.upper() not in signals:
        near = get_close_matches(signal.lower(), body.hazards, n=1)
        body.fault(
            line, f"there is no hazard '{signal}' in hazards.yaml{f': did you mean {near[0]!r}?' if near else ''}"
        )
    elif signal not in signals:
        body.fault(line, f"a safety message must begin with one of {', '.join(signals)} in bold")
    elif len(re.findall(r"[.!](?=\s|$)", rest)) < 3:
        body.fault(line, "a safety message needs three sentences: hazard, consequence, how to avoid it")
    body.waiting.append(SafetyMessage(signal, rest.strip(), 0, line))


def _read_steps(inner: list[Token], start: int, body: _Body) -> None:
    for offset, item in enumerate(_items(inner)):
        n = int(item[0].info or start + offset)
        line = body.line(item[0])
        if n != len(body.steps) + 1:
            body.fault(line, f"step {n} stands where step {len(body.steps) + 1} is due")
            n = len(body.steps) + 1
        for message in body.waiting:
            body.safety.append(SafetyMessage(message.signal, message.text, n, message.line))
        body.waiting = []
        text_tokens, branches = [], []
        i = 1
        while i < len(item) - 1:
            if item[i].type in {"bullet_list_open", "ordered_list_open"}:
                close = _closing(item, i)
                branches += [_branch(choice, body) for choice in _items(item[i + 1 : close])]
                i = close
            elif item[i].type == "blockquote_open":
                body.fault(body.line(item[i]), "a safety message stands before its step, not in it")
            elif item[i].type == "inline":
                text_tokens.append(item[i])
            i += 1
        text = _plain_of(_without_figures(text_tokens, n, body), body)
        if not text:
            body.fault(line, f"step {n} is empty")
        body.steps.append(Step(n, text, tuple(branches), line))


def _branch(choice: list[Token], body: _Body) -> Branch:
    line = body.line(choice[0])
    before = len(body.links)
    text = _plain_of(choice, body)
    worded = body.language.choice
    condition, colon, outcome = text.partition(": ")
    if not colon or not condition.lower().startswith(worded["if"]):
        body.fault(line, f"a choice must read '{worded['form']}")
        return Branch(text, text)
    linked = body.links[before:]
    if go := re.match(worded["go"], outcome, re.IGNORECASE):
        return Branch(condition, text, step=int(go[1]))
    if len(linked) == 1 and re.match(worded["leave"], outcome, re.IGNORECASE):
        return Branch(condition, text, note=linked[0])
    if len(linked) == 1 and (back := re.match(worded["come_back"], outcome, re.IGNORECASE)):
        return Branch(condition, text, step=int(back[1]), note=linked[0])
    if not re.match(worded["done"], outcome, re.IGNORECASE):
        body.fault(line, f"a choice must end in '{worded['form'].partition(': ')[2]}")
    return Branch(condition, text)


def _check_shape(body: _Body) -> None:
    last = body.first_line
    for name in SECTIONS:
        if name in _NEEDED and name not in body.order:
            body.fault(last, f"section '{body.heading(name)}' is missing")
        elif name in body.order and name != "Steps" and not any(body.paragraphs.get(name, [])):
            body.fault(last, f"section '{body.heading(name)}' is empty")
    if "Steps" in body.order and not body.steps:
        body.fault(last, f"section '{body.heading('Steps')}' has no numbered step")
    for message in body.waiting:
        body.fault(message.line, "a safety message has no step after it")
    for step in body.steps:
        for branch in step.branches:
            if branch.step is not None and not 1 <= branch.step <= len(body.steps):
                body.fault(step.line, f"step {step.n} leads to step {branch.step}, which does not exist")
