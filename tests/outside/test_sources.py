"""Publications: named with their country, cited in force, listed where a note speaks of them."""

from __future__ import annotations

import re

from tests.outside.world import Notes, all_notes, at, has, said, whole_text

_COUNTRIES = {
    r"\b\d+ CFR\b": r"\bUS\b|\bUSA\b|\bUnited States\b",
    r"\bADA Standards\b": r"\bUS\b|\bUSA\b|\bUnited States\b",
    r"\bNIOSH\b": r"\bUS\b|\bUSA\b|\bUnited States\b",
    r"\bCDC\b": r"\bUS\b|\bUSA\b|\bUnited States\b",
    r"\b(?:OSHA \w|CPSC|EPA|NFPA|ASTM|AHA)\b|\b\d+ USC\b": r"\bUS\b|\bUSA\b|\bUnited States\b|\bAmerican\b",
    r"\bHSG107\b|\bINDG\d+\b|\bHSE\b|\bICO\b|\bProtectUK\b": r"\bUK\b|\bBritish\b|\bUnited Kingdom\b",
    r"\bRegulation \(EU\)": r"\bEU\b[^)]|\bEuropean Union\b",
}
_KNOWN = (
    r"^common practice$|^\d\d CFR \d|^2010 ADA Standards \d|^(?:HSE )?HSG107\b|^INDG236|^NIST SP \d|^NIOSH |"
    r"^CDC |^ISO \d|"
    r"^IEC \d|^EN \d|^ECMA-\d|^WCAG 2|^USB \d\.\d specification$|^NAVEDTRA \d|^ITU-R BT\.\d|^ANSI |"
    r"^\d+ USC \d|^Regulation \(EU\) \d+/\d+ articles? \d|^[A-Z][\w ]+ (?:Act|Regulations) \d{4} \w+ \d|^WHO-ITU H\.\d|"
    r"^ASTM F\d|^NFPA \d|^EPA \d|^AS/NZS \d|^OSHA (?:3153\b|crowd management fact sheet)|^HSE INDG\d+ rev \d|"
    r"^CPSC (?:anchoring advice|tip-over report)|^AHA guidelines for CPR \d{4}|^Resuscitation Council UK [\w ]+ \d{4}|"
    r"^(?:ICO|ProtectUK|St John Ambulance|NSPCC|NCMEC|US National Capital Poison Center|Herefordshire Council|"
    r"New South Wales Poisons Information Centre|Suffolk Fire and Rescue Service|HSE portable appliance testing|"
    r"Stop the Bleed)\b"
)
_PUBLICATIONS = {
    r"\b(\d\d CFR \d+)\b": None,
    r"\bHSG107\b": "HSG107",
    r"\bNIST SP 500-252\b": "SP 500-252",
    r"\bNIOSH\b": "NIOSH",
    r"\bCDC\b": "CDC",
    r"\bWCAG\b": "WCAG",
    r"\bIEC 60825-1\b": "IEC 60825-1",
    r"\bIEC 62368-1\b": "IEC 62368-1",
    r"\bISO 18925\b": "ISO 18925",
    r"\bISO 18938\b": "ISO 18938",
    r"\bEN 13306\b": "EN 13306",
    r"\bNAVEDTRA 14191\b": "NAVEDTRA 14191",
    r"\bADA Standards\b": "ADA Standards",
    r"\bUSB 2\.0\b": "USB 2.0",
}
_EDITIONS = {"EN 13306": "2017", "IEC 60825-1": "2014", "ISO 18938": "2014", "HSG107": "2013"}


def rule_without_country(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        for rule, country in _COUNTRIES.items()
        if has(one.text, rule) and not has(one.text, country) and not has(whole_text(one.note, one.section), country)
    ]


def source_without_country(notes: Notes) -> list[str]:
    return [
        at(note, source)
        for note in notes
        for source in note.sources
        for rule, country in _COUNTRIES.items()
        if has(source, rule) and not has(source, country)
    ]


def unknown_source(notes: Notes) -> list[str]:
    return [at(note, source) for note in notes for source in note.sources if not has(source, _KNOWN)]


def no_source(notes: Notes) -> list[str]:
    return [at(note, "names no source") for note in notes if not note.sources]


def unlisted_publication(notes: Notes) -> list[str]:
    found = []
    for one in said(notes):
        listed = " ".join(one.note.sources)
        for pattern, name in _PUBLICATIONS.items():
            match = re.search(pattern, one.text)
            if match and (name or match[1]) not in listed:
                found.append(f"{one.place}: {match.group()} is not among the sources")
    return found


def wrong_edition(notes: Notes) -> list[str]:
    return [
        at(note, match.group())
        for note in notes
        for text in (*note.sources, whole_text(note))
        for name, year in _EDITIONS.items()
        for match in re.finditer(rf"\b{re.escape(name)}\b(?: \w+){{0,2}}[: ]((?:19|20)\d\d)\b(?! CFR)", text)
        if match[1] != year and "CFR" not in match.group()
    ]


def guidance_called_law(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\b(?:HSG107|CDC|NIOSH|WCAG|NIST)\b")
        and has(one.text, r"\b(?:the law (?:in|requires)|by law|illegal|legally)\b")
    ]


def wrong_paragraph(notes: Notes) -> list[str]:
    places = {
        r"1910\.23\(b\)\(9\)": r"\bshift\b|\blook\b",
        r"1910\.23\(c\)\(8\)": r"\btop step\b",
        r"1910\.305\(g\)\(2\)": r"\bsplice\b|\bone (?:piece|length)\b",
        r"1910\.334\(a\)\(2\)\(ii\)": r"\bout of (?:use|service)\b",
        r"1910\.147\(a\)\(2\)": r"\bplug\b",
        r"1910\.22\(a\)": r"\bfloors?\b|\bsurfaces?\b",
        r"1040\.10\(f\)\(1\)": r"\bhousing\b",
    }
    return [
        f"{one.place}: {one.text}"
        for one in said(notes, "why")
        for place, topic in places.items()
        if has(one.text, place) and not has(one.text, topic)
    ]


def local_rules_overruled(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\b(?:overrules?|goes before|comes before|ignore)\b[^.]*\b(?:store|local) rules?\b")
    ]


def test_a_rule_in_the_text_names_its_country() -> None:
    """Common practice: rules differ from country to country."""
    assert rule_without_country(all_notes()) == []


def test_a_rule_among_the_sources_names_its_country() -> None:
    """Common practice: rules differ from country to country."""
    assert source_without_country(all_notes()) == []


def test_every_source_is_a_known_kind_of_publication() -> None:
    """Common practice."""
    assert unknown_source(all_notes()) == []


def test_every_note_names_a_source() -> None:
    """Common practice."""
    assert no_source(all_notes()) == []


def test_a_publication_in_the_text_is_among_the_sources() -> None:
    """Common practice."""
    assert unlisted_publication(all_notes()) == []


def test_editions_are_the_ones_in_force() -> None:
    """EN 13306:2017, IEC 60825-1:2014, ISO 18938:2014, HSG107 third edition 2013 (restated)."""
    assert wrong_edition(all_notes()) == []


def test_guidance_is_not_called_law() -> None:
    """HSG107, 3rd edition (2013): guidance, no fixed interval in law (restated)."""
    assert guidance_called_law(all_notes()) == []


def test_a_cited_paragraph_is_on_its_topic() -> None:
    """29 CFR 1910.22, .23, .147, .305, .334 and 21 CFR 1040.10 (restated)."""
    assert wrong_paragraph(all_notes()) == []


def test_local_rules_come_first() -> None:
    """Common practice."""
    assert local_rules_overruled(all_notes()) == []
