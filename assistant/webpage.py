"""A page that needs no other file and runs nothing; what is put into it is text, never markup."""

from __future__ import annotations

import base64
import hashlib
from html import escape

from assistant.analysis.tokens import printable

__all__ = ["safe", "webpage"]


def safe(text: str) -> str:
    """Return text for an element or a quoted attribute: printable, nothing in it read as markup."""
    return escape(printable(text))


def webpage(title: str, style: str, body: str, *, pictures: bool = False) -> str:
    """Return a whole page.

    Parameters
    ----------
    title
        Plain text.
    style
        The style sheet; the page's policy allows this one alone, by its hash.
    body
        Markup; texts in it went through `safe`.
    pictures
        Whether pictures that are written into the page may be shown.
    """
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    shown = "img-src data:; " if pictures else ""
    policy = f"default-src 'none'; {shown}style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{safe(title)}</title>
<style>{style}</style>
</head>
<body>
<main>
{body}
</main>
</body>
</html>
"""
