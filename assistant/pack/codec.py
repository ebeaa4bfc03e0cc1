"""Notes, the trade and the decision as JSON and back; nothing is taken over that is not of the type it has to be.

What a rep does not need, such as example questions, stays behind.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from assistant.model import (
    MOST_DAYS,
    MOST_OF_ANY,
    SIGNALS,
    Branch,
    Contact,
    Figure,
    Item,
    Note,
    Review,
    SafetyMessage,
    Step,
    Trade,
)
from assistant.pack.checked import json_of, keyed_of, object_of, pairs_of, text_of, texts_of, whole_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

__all__ = ["decision_from_json", "note_from_json", "note_to_json", "trade_from_json", "trade_to_json"]

_TUPLES = (
    "station",
    "tools",
    "parts",
    "see_also",
    "sources",
    "cause",
    "before_you_start",
    "links",
    "on_failure",
    "hazards",
)
_TEXTS = (
    "id",
    "title",
    "action",
    "reviewed",
    "condition",
    "result",
    "if_it_still_fails",
    "why",
    "path",
)
_NUMBERS = ("minutes", "revision")
_LEFT_OUT = ("draft", "examples", "phrases")
_FIGURES = "figures"
_KINDS = ("svg", "png", "jpg", "jpeg")
"""Stands only in a note that has any."""
_NOTE = tuple(name for name in Note._fields if name not in (*_LEFT_OUT, _FIGURES))
_KEYED = ("stations", "areas", "actions")
_LISTED = ("tools", "parts")
_MARGINS = 3
_THOUSANDTHS = (0, 1000)
_CALIBRATION = {"weights": ..., "table": ...}
_BARS: Mapping[str, Any] = MappingProxyType(
    {
        "bm25f_share": None,
        "bars": dict.fromkeys(("lead", "over_none", "points")),
        "refuse_below": None,
        "choose_within": None,
        "harm": {"bar": None, "near": None, "offered": dict.fromkeys(("points", "over_none")), "right": None},
        "right": _CALIBRATION,
        "covered": _CALIBRATION,
        "turn": dict.fromkeys(("lead_share", "leave_at", "own_at", "asked_at", "sure_at")),
    }
)
"""What answering asks of the decision: whole numbers where there is None; what is ``...`` is looked at by itself."""


def note_to_json(note: Note) -> str:
    """Return the note as one JSON object."""
    import json

    data = note._asdict()
    data["safety"] = [message._asdict() for message in note.safety]
    data["safety_review"] = note.safety_review._asdict() if note.safety_review else None
    for name in _LEFT_OUT:
        del data[name]
    if data[_FIGURES]:
        data[_FIGURES] = [figure._asdict() for figure in note.figures]
    else:
        del data[_FIGURES]
    data["steps"] = [
        {**step._asdict(), "branches": [branch._asdict() for branch in step.branches]} for step in note.steps
    ]
    return json.dumps(data, ensure_ascii=False, sort_keys=True)


def note_from_json(raw: str | bytes, signals: Collection[str] = SIGNALS) -> Note:
    """Return the note that `note_to_json` wrote.

    Raises
    ------
    ValueError
        If it is something else: a key too many or too few, a value of another type, steps that do not count from 1, a
        message or a choice that names a step which is not there, an unknown signal word.
    """
    data = object_of(json_of(raw))
    figures = _list(data.pop(_FIGURES, []))
    data = _whole(data, _NOTE)
    listed = _list(data["steps"])
    if not listed:
        raise ValueError("a note without steps")
    steps = tuple(_step(_whole(step, Step._fields), n, len(listed)) for n, step in enumerate(listed, start=1))
    review = data["safety_review"]
    values: dict[str, Any] = {name: text_of(data[name]) for name in _TEXTS}
    values |= {name: whole_of(data[name], 1, MOST_OF_ANY) for name in _NUMBERS}
    values |= {name: texts_of(data[name]) for name in _TUPLES}
    values["safety"] = tuple(
        _message(_whole(each, SafetyMessage._fields), len(steps), signals) for each in _list(data["safety"])
    )
    values[_FIGURES] = tuple(_figure(_whole(each, Figure._fields), len(steps)) for each in figures)
    values["safety_review"] = None if review is None else _review(_whole(review, Review._fields))
    return Note(**values, steps=steps)


def _step(data: dict[str, Any], n: int, count: int) -> Step:
    branches = tuple(_branch(_whole(branch, Branch._fields), count) for branch in _list(data["branches"]))
    return Step(whole_of(data["n"], n, n), text_of(data["text"]), branches, whole_of(data["line"], 0))


def _branch(data: dict[str, Any], count: int) -> Branch:
    step, note = data["step"], data["note"]
    return Branch(
        text_of(data["condition"]),
        text_of(data["text"]),
        None if step is None else whole_of(step, 1, count),
        None if note is None else text_of(note),
    )


def _message(data: dict[str, Any], count: int, signals: Collection[str]) -> SafetyMessage:
    if data["signal"] not in signals:
        raise ValueError("a safety message without a signal word")
    before = whole_of(data["before_step"], 1, count)
    return SafetyMessage(data["signal"], text_of(data["text"]), before, whole_of(data["line"], 0))


def _figure(data: dict[str, Any], count: int) -> Figure:
    name, alt, digest = (text_of(data[field]) for field in ("name", "alt", "digest"))
    stem, _, kind = name.rpartition(".")
    if kind not in _KINDS or not stem.isascii() or not stem.replace("-", "").isalnum():
        raise ValueError("a picture whose name is none")
    return Figure(name, alt, whole_of(data["step"], 0, count), whole_of(data["line"], 0), digest)


def _review(data: dict[str, Any]) -> Review:
    if not isinstance(data["fits"], bool):
        raise ValueError("a signature that neither fits nor does not")
    by, on, digest = (text_of(data[name]) for name in ("by", "on", "digest"))
    return Review(by, on, whole_of(data["revision"], 0, MOST_OF_ANY), digest, data["fits"])


def _whole(value: object, fields: Collection[str]) -> dict[str, Any]:
    """Return ``value`` if it is an object of these fields and no other."""
    data = object_of(value, fields)
    if len(data) != len(fields):
        raise ValueError("an object with keys that are not known")
    return data


def _list(value: object) -> list[Any]:
    if not isinstance(value, list):
        raise ValueError("no list where there must be one")
    return value


def trade_to_json(trade: Trade) -> str:
    """Return the trade as one JSON object, without what the check of the notes alone reads."""
    import json

    data: dict[str, Any] = {name: dict(getattr(trade, name)) for name in _KEYED}
    data |= {name: [item._asdict() for item in getattr(trade, name)] for name in _LISTED}
    return json.dumps({**data, "contacts": [contact._asdict() for contact in trade.contacts]}, ensure_ascii=False)


def trade_from_json(raw: str | bytes, *, listed: bool = True) -> Trade:
    """Return the trade that `trade_to_json` wrote.

    Parameters
    ----------
    listed
        With its tools and parts, of which there are many.

    Raises
    ------
    ValueError
        If it is something else.
    """
    data = object_of(json_of(raw), (*_KEYED, *_LISTED, "contacts"))
    values: dict[str, Any] = {name: MappingProxyType(keyed_of(data[name])) for name in _KEYED}
    if listed:
        values |= {name: tuple(_item(_whole(item, Item._fields)) for item in _list(data[name])) for name in _LISTED}
    contacts = tuple(_contact(_whole(contact, Contact._fields)) for contact in _list(data["contacts"]))
    return Trade(**values, contacts=contacts)


def _item(data: dict[str, Any]) -> Item:
    name, plural, place = (text_of(data[field]) for field in ("name", "plural", "place"))
    return Item(name, plural, place, whole_of(data["least"], 1, MOST_OF_ANY), texts_of(data["other"]))


def _contact(data: dict[str, Any]) -> Contact:
    key, name, number = (text_of(data[field]) for field in ("key", "name", "number"))
    return Contact(key, name, number, whole_of(data["days"], 0, MOST_DAYS))


def decision_from_json(raw: str | bytes) -> dict[str, Any]:
    """Return the weights and bars of the decision.

    Raises
    ------
    ValueError
        If one that answering asks for is missing or no whole number.
    """
    decision: dict[str, Any] = json_of(raw)
    _check_bars(decision, _BARS)
    whole_of(decision["harm"]["right"], *_THOUSANDTHS)
    for name in ("right", "covered"):
        weights = _list(decision[name]["weights"])
        if len(weights) != _MARGINS:
            raise ValueError("a margin without its weight")
        for weight in weights:
            whole_of(weight)
        for _, stated in pairs_of(decision[name]["table"]):
            whole_of(stated, *_THOUSANDTHS)
    return decision


def _check_bars(value: object, form: Any) -> None:
    if form is None:
        whole_of(value)
        return
    data = object_of(value, form)
    for name, below in form.items():
        if below is not ...:
            _check_bars(data[name], below)
