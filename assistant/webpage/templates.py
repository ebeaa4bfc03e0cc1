"""Pages that need no other file and run nothing, from templates on one base: every value is text, never markup."""

from __future__ import annotations

import base64
import hashlib
from functools import lru_cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from assistant.analysis.tokens import printable
from assistant.languages import severity
from assistant.model import SIGNALS

__all__ = ["css_string", "data_uri", "frame_of", "page_of", "picture_of", "style_of"]

_FOLDER = Path(__file__).with_name("templates")
_BASE = "base.css"
_TYPES = {".svg": "svg+xml", ".png": "png", ".jpg": "jpeg", ".jpeg": "jpeg"}


def page_of(
    template: str, title: str, style: str, *, pictures: bool = False, language: str = "en", **values: object
) -> str:
    """Return a whole page.

    Parameters
    ----------
    template
        Name of a file in ``templates`` that extends ``base.html.j2``.
    style
        The style sheet of this kind of page (see `style_of`), to which what all pages have is added; the page's policy
        allows it alone.
    pictures
        Whether pictures that are written into the page may be shown.
    language
        The code of that of most of its words.
    values
        What the template names. A text is escaped, but where the template says ``safe`` of what this program drew.
    """
    whole = f"{style_of(_BASE).strip()}\n{style.strip()}\n"
    policy = _policy(whole, pictures=pictures)
    return f"{_drawn(template, title=title, style=whole, policy=policy, language=language, **values)}\n"


def picture_of(template: str, **values: object) -> str:
    """Return a picture that stands alone, from a template that extends no other."""
    return f"{_drawn(template, **values)}\n"


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


def data_uri(name: str, raw: bytes) -> str:
    """Return a picture as the address of an element ``img``, which runs nothing of it; its name tells its kind.

    >>> data_uri("dot.png", b"1")
    'data:image/png;base64,MQ=='
    """
    return f"data:image/{_TYPES[Path(name).suffix]};base64,{base64.b64encode(raw).decode('ascii')}"


def frame_of(signal: str) -> str:
    """Return the style class of the frame of a safety message, the same for a signal word of any language."""
    return SIGNALS[severity(signal)].lower()


def _policy(style: str, *, pictures: bool) -> str:
    """Return the policy of a page: nothing runs, nothing is fetched, this style sheet alone is taken, by its hash."""
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    shown = "img-src data:; " if pictures else ""
    return f"default-src 'none'; {shown}style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def _drawn(template: str, **values: object) -> str:
    return _environment().get_template(template).render(**values)


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
