"""The one theme in its dark and its light form; a test measures the contrast of every pair that is painted."""

from __future__ import annotations

from textual.theme import Theme

__all__ = ["DARK", "LIGHT", "PAIRS", "THEMES", "colours"]

_SIGNALS = {
    "danger": "#a4101e",
    "on-danger": "#ffffff",
    "warn": "#f28c1b",
    "on-warn": "#000000",
    "caution": "#f5d021",
    "on-caution": "#000000",
    "notice": "#0f4c9a",
    "on-notice": "#ffffff",
}
"""Safety colours after ANSI Z535.1 (from memory): red, orange, yellow, blue, the same in both forms."""

PAIRS = (
    ("ink", "page"),
    ("quiet", "page"),
    ("mark", "page"),
    ("page", "mark"),
    ("ink", "line"),
    ("quiet", "line"),
    ("mark", "line"),
    ("line", "ink"),
    ("ink", "key"),
    ("mark", "key"),
    ("ink", "key-hover"),
    ("mark", "key-hover"),
    ("on-danger", "danger"),
    ("on-warn", "warn"),
    ("on-caution", "caution"),
    ("on-notice", "notice"),
)
"""(text, background): the only pairs that the style sheet puts together."""


def _theme(name: str, colours: dict[str, str], *, dark: bool) -> Theme:
    named = {**colours, **_SIGNALS}
    return Theme(
        name=name,
        primary=named["mark"],
        secondary=named["mark"],
        accent=named["mark"],
        warning=named["warn"],
        error=named["danger"],
        success=named["mark"],
        foreground=named["ink"],
        background=named["page"],
        surface=named["line"],
        panel=named["key"],
        dark=dark,
        text_alpha=1.0,
        variables={
            **named,
            "input-cursor-background": named["ink"],
            "input-cursor-foreground": named["line"],
            "input-selection-background": named["mark"],
            "input-selection-foreground": named["page"],
            "screen-selection-background": named["mark"],
            "screen-selection-foreground": named["page"],
            "scrollbar": named["quiet"],
            "scrollbar-hover": named["mark"],
            "scrollbar-active": named["mark"],
            "scrollbar-background": named["line"],
            "scrollbar-background-hover": named["line"],
            "scrollbar-background-active": named["line"],
            "scrollbar-corner-color": named["line"],
        },
    )


DARK = _theme(
    "station-dark",
    {
        "page": "#101418",
        "ink": "#e8ecef",
        "quiet": "#a9b4bc",
        "mark": "#7fd1c7",
        "line": "#1b2228",
        "key": "#26313a",
        "key-hover": "#34424d",
    },
    dark=True,
)
LIGHT = _theme(
    "station-light",
    {
        "page": "#fafaf7",
        "ink": "#16191c",
        "quiet": "#4a545b",
        "mark": "#00594f",
        "line": "#eceeea",
        "key": "#dde3df",
        "key-hover": "#c9d3ce",
    },
    dark=False,
)
THEMES = (DARK, LIGHT)


def colours(theme: Theme) -> dict[str, str]:
    """Return the theme's own colours by name, as ``#rrggbb``."""
    names = {name for pair in PAIRS for name in pair}
    return {name: theme.variables[name] for name in sorted(names)}
