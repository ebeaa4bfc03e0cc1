"""A page that needs no other file and runs nothing; what is put into it is text, never markup."""

from __future__ import annotations

import base64
import hashlib
from html import escape

from assistant.analysis.tokens import printable

__all__ = ["content_policy", "safe", "webpage"]

_BASE = """
:root { color-scheme: light; }
body { margin: 0 auto; background: #fff; color: #1b1b1b; }
"""
"""What all pages have, before a style sheet of their own."""


def safe(text: str) -> str:
    """Return text for an element or a quoted attribute: printable, nothing in it read as markup."""
    return escape(printable(text))


def content_policy(style: str, *, pictures: bool = False) -> str:
    """Return the policy of a page: nothing runs, nothing is fetched, this style sheet alone is taken, by its hash."""
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    shown = "img-src data:; " if pictures else ""
    return f"default-src 'none'; {shown}style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def webpage(title: str, style: str, body: str, *, pictures: bool = False) -> str:
    """Return a whole page.

    Parameters
    ----------
    title
        Plain text.
    style
        The style sheet of this kind of page, to which what all pages have is added; the page's policy allows it alone.
    body
        Markup; texts in it went through `safe`.
    pictures
        Whether pictures that are written into the page may be shown.
    """
    whole = f"{_BASE.strip()}\n{style.strip()}\n"
    policy = content_policy(whole, pictures=pictures)
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{safe(title)}</title>
<style>{whole}</style>
</head>
<body>
<main>
{body}
</main>
</body>
</html>
"""
