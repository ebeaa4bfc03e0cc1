"""Leads, plugs, outlet strips and tethers."""

from __future__ import annotations

from tests.outside.world import (
    Notes,
    about,
    advice,
    all_notes,
    at,
    choices_like,
    figures,
    has,
    mentions,
    said,
    steps_like,
    whole_text,
)

_LEAD = r"(?:leads?|cables?|cords?|wires?|tether|plug|sheath|jacket|extension)"
_DAMAGE = r"(?:cut|cracked|frayed|damaged|crushed|flat|flattened|nicked|kinked|hurt|bare|split|taped|melted|broken)"
_REMEDY = (
    r"\b(?:replace|exchange|withdraw|fit|new|unplug|unplugged|out-of-order|call|report|"
    r"let nobody use|circuit cut)\b"
)
_USER_CHECK = (
    r"\bcuts?\b|\bfray\w*",
    r"\bpins?\b",
    r"\btaped\b|\bjoints?\b",
    r"\bsheath\b|\bcores?\b",
    r"\bwet\b|\bdamp\b|\bdirt\w*",
    r"\bcase\b|\bcracks?\b|\bcracked\b",
    r"\bscrews?\b|\bloose\b",
    r"\bburn\w*|\bscorch\w*|\bbrown\w*|\bmelt\w*",
)


def field_repair(notes: Notes) -> list[str]:
    return advice(
        notes,
        rf"\b(?:splice|solder|shorten|mend|repair|twist|join|wrap|tape|patch|glue) (?:up )?(?:the|a|any|each|"
        rf"both|its)\b"
        rf"[^.]*\b{_LEAD}\b|\b(?:cut|strip) (?:the|a|off) (?:\w+ )?(?:leads?|cables?|cords?|wires?)\b",
    )


def stapled_leads(notes: Notes) -> list[str]:
    return advice(
        notes, r"\b(?:staple|nail|pin|tack|screw)\b (?:the|each|a|all|down)\b[^.]*\b(?:leads?|cables?|cords?)\b"
    )


def damage_left_in_use(notes: Notes) -> list[str]:
    found = []
    by_id = {note.id: note for note in notes}
    for note, step, branch in choices_like(notes, rf"\b{_LEAD}\b.*\b{_DAMAGE}\b"):
        target = by_id.get(branch.note) if branch.note else None
        goes_on = branch.step is not None and branch.note is None and not has(note.steps[branch.step - 1].text, _REMEDY)
        informs = target is not None and target.action == "inform" and not has(target.title, "dead|safe")
        if (branch.step is None and branch.note is None) or goes_on or informs:
            found.append(at(note, branch.text, step))
    return found


def watched_instead_of_withdrawn(notes: Notes) -> list[str]:
    return advice(notes, rf"\b(?:monitor|keep an eye on|keep using|go on using|use up)\b[^.]*\b{_LEAD}\b")


def thin_lead_inspection(notes: Notes) -> list[str]:
    found = []
    for note in notes:
        if any("1910.334(a)(2)(i)" in source and "(ii)" not in source for source in note.sources):
            text = whole_text(note, "steps", "choices")
            wanted = (
                r"\bpins?\b|\bplugs?\b",
                r"\bcuts?\b|\bfray\w*|\bsheath\b|\bjacket\b",
                r"\bcrush\w*|\bflat\b|\bpinch\w*",
            )
            found += [at(note, f"inspects no {pattern}") for pattern in wanted if not has(text, pattern)]
    return found


def thin_user_check(notes: Notes) -> list[str]:
    return [
        at(note, "looks for fewer than five of the eight signs")
        for note in about(notes, r"\binspect\b[^.]*\b(?:adapter|lead)\b")
        if sum(has(whole_text(note, "steps", "choices"), sign) for sign in _USER_CHECK) < 5
    ]


def strip_into_strip(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:plug|connect|feed|hang|link|chain)\b[^.]*\b(?:strips?|extension)\b[^.]*\b(?:into|to|from)\b[^.]*"
        r"\b(?:another|second|other|next)\b[^.]*\bstrip\b|\bdaisy.chain",
    )


def leads_through_gaps(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:run|route|lay|pass|pull|feed|hide|put|lead)\b[^.]*\b(?:leads?|cables?|cords?)\b[^.]*"
        r"\b(?:through (?:a|the) (?:door|doorway|window|wall|ceiling|hinge)|under (?:a|the) (?:rug|mat|carpet|door)|"
        r"across the (?:aisle|walkway))\b",
    )


def pulled_by_the_lead(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:pull|lift|carry|lower|hang|yank|tug|grip|hold)\w*\b[^.]*\b(?:by|on) (?:the|its|each) (?:lead|"
        r"cable|cord)\b",
        "before",
        "steps",
        "choices",
        "fails",
    )


def pull_reaches_the_lead(notes: Notes) -> list[str]:
    return [
        at(note, "does not say that the lead takes no pull")
        for note in about(notes, r"\btether\b")
        if not has(whole_text(note, "steps", "choices", "result", "why"), r"\blead\b[^.]*\b(?:slack|tight\w*|pull)\b")
    ]


def tight_ties(notes: Notes) -> list[str]:
    return [
        at(note, step.text, step)
        for note, step in steps_like(notes, r"^(?!pack)[^.]*\b(?:cable tie|hook-and-loop tie)\b")
        if not has(step.text, r"\bloose(?:ly)?\b")
    ]


def yearly_test_called_law(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:law|legal\w*|statut\w*|must|required)\b[^.]*\b(?:every (?:12 months|year)|yearly test|annual\w*|"
        r"once a year)\b|\bPAT law\b",
    )


def defeated_earth(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:cut|remove|break|bend|tape|lift|bypass|file|disconnect)\b[^.]*\b(?:earth|ground(?:ing)?)\b|"
        r"\b(?:use|fit|take)\b[^.]*\b(?:two-pin|cheater|ungrounded)\b",
    )


def low_voltage_called_harmless(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\blow.voltage\b[^.]*\b(?:harmless|cannot hurt|safe to touch|no danger|so safe)\b|"
        r"\bonly low voltage\b",
    )


def low_voltage_ceiling(notes: Notes) -> list[str]:
    return [
        f"{one.place}: {one.text}"
        for one in said(notes)
        if has(one.text, r"\blow voltage\b")
        and (any(v > 60 for v in figures(one.text, "V")) or any(v > 100 for v in figures(one.text, "VA")))
    ]


def coupler_ratings(notes: Notes) -> list[str]:
    ratings = {
        "C5": 2.5,
        "C6": 2.5,
        "C7": 2.5,
        "C8": 2.5,
        "C13": 10.0,
        "C14": 10.0,
        "C15": 10.0,
        "C19": 16.0,
        "C20": 16.0,
    }
    found = []
    for one in said(notes):
        for name, amps in ratings.items():
            stated = figures(one.text, "A")
            if has(one.text, rf"\b{name}\b") and stated and amps not in stated:
                found.append(f"{one.place}: {one.text}")
    return found


def movement_cures_the_lead(notes: Notes) -> list[str]:
    return advice(
        notes,
        r"\b(?:hold|prop|bend|tie|arrange|fix|wedge|leave)\b[^.]*\b(?:lead|plug|cable)\b[^.]*\b(?:at (?:the|"
        r"an) angle|so that it (?:works|charges)|"
        r"until it (?:works|charges)|in the right position)\b",
    )


def deadly_volts(notes: Notes) -> list[str]:
    return mentions(notes, r"\b(?:above|over|from) (?!50 )\d+ V AC\b")


def straightened_pins(notes: Notes) -> list[str]:
    return advice(notes, r"\b(?:straighten|bend back|bend straight)\b[^.]*\b(?:pins?|plug|contacts?)\b")


def test_no_lead_is_mended_in_the_field() -> None:
    """29 CFR 1910.305(g)(2)(ii) (restated): flexible cord in continuous lengths without splice or tap."""
    assert field_repair(all_notes()) == []


def test_no_lead_is_stapled() -> None:
    """29 CFR 1910.334(a)(1) (restated)."""
    assert stapled_leads(all_notes()) == []


def test_a_damaged_lead_leads_to_replacement_or_withdrawal() -> None:
    """29 CFR 1910.334(a)(2)(ii) (restated)."""
    assert damage_left_in_use(all_notes()) == []


def test_a_damaged_lead_is_not_just_watched() -> None:
    """29 CFR 1910.334(a)(2)(ii) (restated)."""
    assert watched_instead_of_withdrawn(all_notes()) == []


def test_an_inspection_names_pins_jacket_and_crushing() -> None:
    """29 CFR 1910.334(a)(2)(i) (restated)."""
    assert thin_lead_inspection(all_notes()) == []


def test_a_user_check_looks_for_five_signs_or_more() -> None:
    """HSG107, 3rd edition (2013), user checks (restated)."""
    assert thin_user_check(all_notes()) == []


def test_no_strip_hangs_on_another_strip() -> None:
    """29 CFR 1910.303(b)(2) (from memory)."""
    assert strip_into_strip(all_notes()) == []


def test_no_lead_runs_through_doors_or_under_mats() -> None:
    """29 CFR 1910.305(g)(1)(iv) (restated)."""
    assert leads_through_gaps(all_notes()) == []


def test_nothing_is_pulled_or_carried_by_its_lead() -> None:
    """29 CFR 1910.334(a)(1) (restated)."""
    assert pulled_by_the_lead(all_notes()) == []


def test_a_tether_keeps_the_pull_off_the_lead() -> None:
    """29 CFR 1926.405(g)(2)(iv) (restated); 29 CFR 1910.305(g)(2)(iii) (from memory)."""
    assert pull_reaches_the_lead(all_notes()) == []


def test_ties_are_loose() -> None:
    """29 CFR 1910.334(a)(1) (restated): fastened so that the jacket is not hurt."""
    assert tight_ties(all_notes()) == []


def test_no_yearly_test_is_called_law() -> None:
    """HSG107, 3rd edition (2013): suggested intervals, none fixed by law (restated)."""
    assert yearly_test_called_law(all_notes()) == []


def test_the_earth_connection_stays_whole() -> None:
    """29 CFR 1910.334(a)(3) (restated)."""
    assert defeated_earth(all_notes()) == []


def test_low_voltage_is_not_called_harmless() -> None:
    """IEC 62368-1, power source classes (from memory)."""
    assert low_voltage_called_harmless(all_notes()) == []


def test_low_voltage_means_at_most_60_volts_and_100_va() -> None:
    """IEC 62368-1 (2018), Annex Q and ES1 (restated; table from memory)."""
    assert low_voltage_ceiling(all_notes()) == []


def test_coupler_letters_and_currents_agree() -> None:
    """IEC 60320, standard sheets (restated)."""
    assert coupler_ratings(all_notes()) == []


def test_a_lead_that_works_at_an_angle_is_not_kept() -> None:
    """29 CFR 1910.334(a)(2)(ii) (restated)."""
    assert movement_cures_the_lead(all_notes()) == []


def test_50_volts_is_where_deadly_begins() -> None:
    """HSG107, 3rd edition (2013) (restated)."""
    assert deadly_volts(all_notes()) == []


def test_bent_pins_are_not_straightened() -> None:
    """29 CFR 1910.334(a)(2)(i) names deformed pins as a defect (restated)."""
    assert straightened_pins(all_notes()) == []
