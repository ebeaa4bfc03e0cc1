"""Contrast of text, measured as WCAG 2.1 defines it (success criterion 1.4.3; relative luminance)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from rich.color import Color
from textual.theme import Theme

from assistant.model import SIGNALS, Answer, SafetyMessage
from assistant.tui.ask.app import StationApp
from assistant.tui.common.question import QuestionLine
from assistant.tui.common.theme import PAIRS, THEMES, colours
from tests.tui.bench import places

LEAST = 4.5
Rgb = tuple[int, int, int]


def luminance(colour: Rgb) -> float:
    parts = [c / 255 for c in colour]
    red, green, blue = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Rgb, other: Rgb) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def rgb(text: str) -> Rgb:
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def test_measure_agrees_with_the_ends_of_the_scale() -> None:
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast(rgb("#777777"), rgb("#ffffff")) == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("pair", PAIRS, ids=" on ".join)
def test_every_named_pair_is_readable(theme: Theme, pair: tuple[str, str]) -> None:
    named = colours(theme)
    assert contrast(rgb(named[pair[0]]), rgb(named[pair[1]])) >= LEAST


@pytest.mark.parametrize("width", [100, 40])
@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
async def test_every_painted_pair_is_readable_and_named(
    app: StationApp,
    answers: dict[str, Answer],
    theme: Theme,
    width: int,
) -> None:
    known = answers["controller stick cap broken?"]
    every_signal = tuple(SafetyMessage(signal, "Hazard. Harm. Care.", 2) for signal in SIGNALS)
    answers["signals"] = known._replace(safety=every_signal)
    names = {rgb(value): name for name, value in colours(theme).items()}
    named = {(rgb(colours(theme)[a]), rgb(colours(theme)[b])) for a, b in PAIRS}
    app.theme = theme.name
    seen: set[tuple[Rgb, Rgb]] = set()
    async with app.run_test(size=(width, 90), tooltips=True) as pilot:
        await pilot.pause()
        seen |= set(_painted(app))
        for question in ("signals", "the pad is puffed up", "thanks", "the game is odd", "when do i get paid"):
            app.screen.query_one(QuestionLine).value = question
            await pilot.press("enter")
            await pilot.pause()
            seen |= set(_painted(app))
        await pilot.press("s", "enter")
        seen |= set(_painted(app))
        await pilot.press("a", "b", "shift+home")
        await pilot.pause()
        seen |= set(_painted(app))
        place = places(pilot, "option")[-1]
        await pilot.hover(offset=(place.x + 3, place.y))
        await pilot.pause()
        seen |= set(_painted(app))
        await pilot.press("tab")
        await pilot.pause()
        seen |= set(_painted(app))
        await pilot.press("h", "enter")
        await pilot.pause()
        seen |= set(_painted(app))
    assert len(seen) >= 10
    poor = {pair: contrast(*pair) for pair in seen if contrast(*pair) < LEAST}
    assert not poor
    assert {(names.get(a), names.get(b)) for a, b in seen - named} == set()


@pytest.mark.parametrize("width", [100, 40])
@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
async def test_each_signal_word_stands_in_its_own_safety_colour(
    app: StationApp, answers: dict[str, Answer], theme: Theme, width: int
) -> None:
    messages = tuple(SafetyMessage(signal, "Hazard. Harm. Care.", 2) for signal in SIGNALS)
    answers["signals"] = answers["controller stick cap broken?"]._replace(safety=messages)
    app.theme = theme.name
    async with app.run_test(size=(width, 90)) as pilot:
        app.screen.query_one(QuestionLine).value = "signals"
        await pilot.press("enter")
        await pilot.pause()
        strips = app.screen._compositor.render_strips()
        found = {
            segment.text.strip(" !"): _rgb(segment.style.bgcolor)
            for strip in strips
            for segment in strip
            if segment.style and segment.style.bgcolor and segment.text.startswith(" ! ")
        }
    names = {"DANGER": "danger", "WARNING": "warn", "CAUTION": "caution", "NOTICE": "notice"}
    assert found == {signal: rgb(colours(theme)[names[signal]]) for signal in SIGNALS}


def _painted(app: StationApp) -> Iterator[tuple[Rgb, Rgb]]:
    """Yield the colours of every piece of text on the screen and of what lies behind it."""
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            if not any(character.isascii() and not character.isspace() for character in segment.text):
                continue
            style = segment.style
            assert style is not None
            assert style.color is not None
            assert style.bgcolor is not None
            assert not style.dim
            pair = _rgb(style.color), _rgb(style.bgcolor)
            yield (pair[1], pair[0]) if style.reverse else pair


def _rgb(colour: Color) -> Rgb:
    red, green, blue = colour.get_truecolor()
    return red, green, blue
