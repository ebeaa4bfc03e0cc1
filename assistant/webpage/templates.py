"""Pages from templates, in the shell of all pages: every value is printable text that is escaped, never markup."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from assistant.analysis.tokens import printable
from assistant.webpage.shell import webpage

__all__ = ["css_string", "page_of", "style_of"]

_FOLDER = Path(__file__).with_name("templates")


def page_of(template: str, title: str, style: str, **values: object) -> str:
    """Return a whole page.

    Parameters
    ----------
    template
        Name of a file in ``templates`` that makes what the page shows.
    style
        The style sheet (see `style_of`).
    values
        What the template names. A text is escaped, but where the template says ``safe`` of what this program drew.
    """
    return webpage(title, style, _environment().get_template(template).render(title=title, **values))


def style_of(name: str) -> str:
    """Return a style sheet that lies beside the templates."""
    return (_FOLDER / name).read_text("utf-8")


def css_string(text: str) -> str:
    r"""Return a text as a string of a style sheet, with no character in it that could end it.

    >>> css_string('a"<')
    '"a\\22 \\3c "'
    """
    shown = (c if c == " " or (c.isascii() and c.isalnum()) else f"\\{ord(c):x} " for c in printable(text))
    return f'"{"".join(shown)}"'


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(_FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_shown,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _shown(value: object) -> object:
    return printable(value) if isinstance(value, str) and not hasattr(value, "__html__") else value
