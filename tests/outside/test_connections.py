"""Video, USB and radio links."""

from __future__ import annotations

from tests.outside.world import (
    Notes,
    about,
    advice,
    all_notes,
    at,
    choices_like,
    figures,
    first_step,
    has,
    mentions,
    said,
    whole_text,
)


def wrong_usb_voltage(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\b5 V supply\b|\bVBUS\b") and any(not 4.75 <= v <= 5.25 for v in figures(one.text, "V"))
    ]


def wrong_usb_current(notes: Notes) -> list[str]:
    found = []
    for one in said(notes):
        if has(one.text, r"\bUSB 2\.0\b"):
            wrong = any(v != 0.5 for v in figures(one.text, "A|amperes?")) or any(
                v not in {100, 500} for v in figures(one.text, "mA")
            )
            words = has(one.text, r"\bampere\b") and not has(one.text, r"\bhalf an ampere\b")
            if wrong or words:
                found.append(f"{one.place}: {one.text}")
        if has(one.text, r"\bUSB 3\b|\bUSB 3\.\w\b") and any(v not in {150, 900} for v in figures(one.text, "mA")):
            found.append(f"{one.place}: {one.text}")
    return found


def wrong_usb_length(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\bUSB 2\.0\b")
        and (
            any(v > 5 for v in figures(one.text, "m|metres?"))
            or has(
                one.text,
                r"\b(?:six|eight|ten|"
                r"twenty) metres\b",
            )
        )
    ]


def stick_in_a_hub(notes: Notes) -> list[str]:
    return advice(
        notes, r"\b(?:plug|put|use)\b[^.]*\b(?:stick|pad)\b[^.]*\b(?:into|in|through) (?:a|the) (?:hub|extension)\b"
    )


def length_limit_for_video(notes: Notes) -> list[str]:
    return mentions(
        notes,
        r"\bvideo (?:lead|cable)s?\b[^.]*\b(?:must not exceed|at most|maximum|no longer than|up to) (?:\d+|"
        r"\w+) (?:m|metres)\b|\bHDMI\b[^.]*\bmaximum length\b",
    )


def wrong_video_pins(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\bHDMI\b") and has(one.text, r"\bpins?\b") and not has(one.text, r"\b(?:19|18|1[2-6])\b")
    ]


def picture_hunt_in_the_wrong_order(notes: Notes) -> list[str]:
    found = []
    for note in about(notes, r"\bno signal\b"):
        seat, lead = (
            first_step(note, r"\bpush\b[^.]*\bhome\b"),
            first_step(note, r"\bexchange the video lead\b|\bnew video lead\b"),
        )
        other = first_step(note, r"\banother input\b")
        if seat is None or lead is None or other is None or not seat < lead <= other:
            found.append(at(note, "reseats, exchanges the lead, then tries another input"))
    return found


def wrong_channels(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes, *("before", "steps", "fails", "why"))
        if has(one.text, r"\bwireless channels? \d") and not has(one.text, r"\bchannels? (?:1|6|11)\b")
    ]


def wrong_band_reach(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:5|6) (?:GHz|or 6 GHz) reaches (?:farther|further)\b|\b2\.4 GHz\b[^.]*\bshorter\b") + [
        f"{one.place}: {one.text}" for one in said(notes) if any(v not in {2.4, 5, 6} for v in figures(one.text, "GHz"))
    ]


def noise_beside_the_receiver(notes: Notes) -> list[str]:
    return [
        at(note, "does not move data leads and hubs away from the receiver")
        for note in about(notes, r"\bwireless\b[^.]*\b(?:lags?|drops? out)\b")
        if not has(whole_text(note, "steps"), r"\bmove\b[^.]*\b(?:hubs?|data leads?|receiver)\b")
    ]


def exact_radio_channels(notes: Notes) -> list[str]:
    return mentions(notes, r"\bhops\b[^.]*\b(?!79|80)\d+ (?:narrow )?channels\b")


def part_blamed_untested(notes: Notes) -> list[str]:
    return [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, r"\bmodel is old\b|\blooks old\b")
        if branch.note in {"console-swap", "parts-order"}
    ]


def test_a_5_v_supply_stays_within_5_percent() -> None:
    """USB 2.0 specification (2000): 4.75 to 5.25 V (restated)."""
    assert wrong_usb_voltage(all_notes()) == []


def test_usb_currents_are_the_specified_ones() -> None:
    """USB 2.0 and 3.x specifications: 500 and 900 mA (restated)."""
    assert wrong_usb_current(all_notes()) == []


def test_a_usb_lead_is_five_metres_long_at_most() -> None:
    """USB 2.0 specification (2000) (restated)."""
    assert wrong_usb_length(all_notes()) == []


def test_nothing_is_fed_through_a_hub_or_extension() -> None:
    """USB 2.0 specification (2000), power budget (restated)."""
    assert stick_in_a_hub(all_notes()) == []


def test_no_maximum_length_is_invented_for_video() -> None:
    """HDMI specification: none stated (from memory)."""
    assert length_limit_for_video(all_notes()) == []


def test_video_pins_are_named_right() -> None:
    """HDMI specification, type A: 19 pins, 18 power, 19 hot plug (restated)."""
    assert wrong_video_pins(all_notes()) == []


def test_a_missing_picture_is_hunted_from_cheap_to_dear() -> None:
    """HDMI specification, hot-plug detect (restated); Kadane and Simon, order by probability over cost (restated)."""
    assert picture_hunt_in_the_wrong_order(all_notes()) == []


def test_wireless_channels_do_not_overlap() -> None:
    """IEEE 802.11, 2.4 GHz channels 1, 6 and 11 (restated)."""
    assert wrong_channels(all_notes()) == []


def test_the_lower_band_reaches_farther() -> None:
    """IEEE 802.11 bands (restated)."""
    assert wrong_band_reach(all_notes()) == []


def test_noisy_leads_move_away_from_the_receiver() -> None:
    """White paper on USB 3.0 radio noise at 2.4 GHz (restated)."""
    assert noise_beside_the_receiver(all_notes()) == []


def test_radio_channels_are_79_or_80() -> None:
    """Core specification: 79 channels (from memory); a page read says 80."""
    assert exact_radio_channels(all_notes()) == []


def test_age_alone_condemns_no_part() -> None:
    """NAVEDTRA 14191, six steps: localise before replacing (restated)."""
    assert part_blamed_untested(all_notes()) == []
