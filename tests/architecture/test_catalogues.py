"""The catalogues of what a rep reads: as wide as the code, translated, compiled; card and report say nothing else."""

from __future__ import annotations

import ast
import gettext
import re
import string
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po

import assistant
from assistant.languages import CODES, DEFAULT, DOMAIN, FOLDER
from assistant.visiting.typed import WHAT

PROGRAM = Path(assistant.__file__).parent
LOCALE = PROGRAM / "languages" / FOLDER
OTHERS = [code for code in CODES if code != DEFAULT]
KEYWORDS = {"said": None, "to_say": None, "said_of": (1, 2)}
SAYING = frozenset(KEYWORDS)
CARD = (
    "answering/apart.py",
    "answering/assistant.py",
    "answering/card.py",
    "answering/compose.py",
    "answering/told.py",
)
REPORT = (
    "visiting/checks.py",
    "visiting/entries.py",
    "visiting/open_points.py",
    "visiting/report.py",
    "visiting/report_blocks.py",
    "visiting/report_forms.py",
    "visiting/report_message.py",
    "visiting/report_page.py",
    "visiting/report_stations.py",
    "visiting/report_words.py",
    "visiting/report_works.py",
    "visiting/station_entry.py",
    "visiting/typed.py",
    "visiting/words.py",
)
PAGES = ("booklet.html.j2", "report.html.j2")
"""Templates with words of a rep or a shop in them; that of the card has none, the others are for authors and QA."""
Said = str | tuple[str, ...]


@cache
def in_code() -> frozenset[Said]:
    found = extract_from_dir(PROGRAM, [("**.py", "python"), ("**.j2", "jinja2")], keywords=KEYWORDS)
    return frozenset(message for _, _, message, _, _ in found)


def in_templates() -> frozenset[Said]:
    found = extract_from_dir(PROGRAM, [("**.j2", "jinja2")], keywords=KEYWORDS)
    return frozenset(message for _, _, message, _, _ in found)


def catalogue(path: Path) -> dict[Said, Said]:
    with path.open("rb") as file:
        read: Catalog = read_po(file)
    return {_as_said(message.id): _as_said(message.string) for message in read if message.id}


def _as_said(text: str | Iterable[str] | None) -> Said:
    return text if isinstance(text, str) else tuple(text or ())


def po(code: str) -> dict[Said, Said]:
    return catalogue(LOCALE / code / "LC_MESSAGES" / f"{DOMAIN}.po")


def fields(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


def each(message: Said) -> tuple[str, ...]:
    return (message,) if isinstance(message, str) else message


def said_in(tree: ast.Module) -> Iterator[Said]:
    """Yield what a module says, wherever it stands: the extractor does not look into f-strings."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAYING:
            texts = [arg.value if isinstance(arg, ast.Constant) else None for arg in node.args]
            if texts and isinstance(texts[0], str):
                yield (texts[0], str(texts[1])) if node.func.id == "said_of" else texts[0]


def test_the_template_holds_what_the_code_says() -> None:
    assert in_code() == catalogue(LOCALE / f"{DOMAIN}.pot").keys()
    trees = [ast.parse(path.read_text("utf-8")) for path in PROGRAM.rglob("*.py")]
    assert {message for tree in trees for message in said_in(tree)} | in_templates() == in_code()


@pytest.mark.parametrize("code", OTHERS)
def test_a_catalogue_translates_all_of_it(code: str) -> None:
    translated = po(code)
    assert translated.keys() == in_code()
    assert [message for message, other in translated.items() if not all(each(other))] == []
    with (LOCALE / code / "LC_MESSAGES" / f"{DOMAIN}.po").open("rb") as file:
        assert [message.id for message in read_po(file) if message.id and message.fuzzy] == []


@pytest.mark.parametrize("code", OTHERS)
def test_what_is_filled_in_agrees(code: str) -> None:
    for message, other in po(code).items():
        wanted = fields(each(message)[-1])
        assert all(fields(text) == wanted for text in each(other)), message


@pytest.mark.parametrize("code", OTHERS)
def test_blanks_and_ends_at_the_edges_agree(code: str) -> None:
    """What follows a text such as ``Asked: `` is put right behind it."""
    for message, other in po(code).items():
        for one, text in zip(each(message), each(other), strict=True):
            assert (text[:1] == " ", text[-1:] == " ") == (one[:1] == " ", one[-1:] == " "), message


@pytest.mark.parametrize("code", OTHERS)
def test_the_compiled_catalogue_is_that_of_the_text(code: str) -> None:
    with (LOCALE / code / "LC_MESSAGES" / f"{DOMAIN}.mo").open("rb") as file:
        compiled = gettext.GNUTranslations(file)
    for message, other in po(code).items():
        if isinstance(message, str):
            assert compiled.gettext(message) == other
        else:
            one, many = message
            assert (compiled.ngettext(one, many, 1), compiled.ngettext(one, many, 2)) == other


def unsaid(tree: ast.Module) -> Iterator[str]:
    """Yield every text of a module with a capital letter or two words that is neither said nor documentation."""
    free: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr | ast.Raise):
            free |= (
                set(ast.walk(node)) if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) else set()
            )
        if isinstance(node, ast.Assign) and [ast.unparse(target) for target in node.targets] == ["__all__"]:
            free |= set(ast.walk(node))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAYING:
            free |= set(ast.walk(node))
        if isinstance(node, ast.AnnAssign | ast.arg | ast.FunctionDef) and (kind := getattr(node, "annotation", None)):
            free |= set(ast.walk(kind))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in free:
            text = node.value
            if any(c.isupper() for c in text) or len([word for word in text.split() if word.isalpha()]) > 1:
                yield text


@pytest.mark.parametrize("name", CARD + REPORT)
def test_every_text_of_card_and_report_is_said(name: str) -> None:
    assert list(unsaid(ast.parse((PROGRAM / name).read_text("utf-8")))) == []


def test_a_text_that_is_not_said_is_found() -> None:
    tree = ast.parse('"""Doc here."""\n__all__ = ["A"]\nx = f(said("Yes it is"), "no it is not", g("Parts"), "kind")')
    assert list(unsaid(tree)) == ["no it is not", "Parts"]


def bare(template: str) -> list[str]:
    """Return the words of a template outside of all tags and of what it says."""
    text = re.sub(r"\{[{%].*?[%}]\}", " ", template, flags=re.DOTALL)
    return re.findall(r"[^\W\d_]{2,}", re.sub(r"<[^>]*>", " ", text))


@pytest.mark.parametrize("name", PAGES)
def test_every_text_of_a_page_is_said(name: str) -> None:
    assert bare((PROGRAM / "webpage" / "templates" / name).read_text("utf-8")) == []


def test_a_bare_text_of_a_page_is_found() -> None:
    assert bare('<p class="x">{{ said("Yes") }} Left {% if a %}out{% endif %}</p>') == ["Left", "out"]


def test_what_is_typed_has_a_name_in_the_catalogues() -> None:
    """The names of `typed.WHAT` stand in the second place of its functions, the third of ``one_of``."""
    places = {"clean": 1, "label": 1, "_name": 1, "one_of": 2}
    named = {
        found.value
        for path in (PROGRAM / "visiting").glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call) and (name := ast.unparse(node.func).rpartition(".")[2]) in places
        for found in node.args[places[name] :][:1]
        if isinstance(found, ast.Constant)
    }
    assert named == set(WHAT)
