"""Which records are old, and erasing them within a transaction."""

from __future__ import annotations

from collections.abc import Collection

from assistant.journal.first import STANDS
from assistant.journal.records import KINDS, Undo, Visit, kind_name
from assistant.pack.sqlite import sqlite3

__all__ = ["erase_rows"]

_OF_VISIT = "visit IN old_visit OR (visit IS NULL AND at < :before)"
_ENDED = f"SELECT work FROM outcome WHERE {STANDS}"
_CLOSED = f"SELECT visit FROM closing WHERE {STANDS}"
_OLD_VISIT = (
    f"SELECT id FROM visit WHERE at < :before AND (id IN ({_CLOSED}) OR NOT {STANDS}) "
    "AND id NOT IN (SELECT id FROM kept_visit)"
)
_STILL_OFF = (
    f"SELECT done.work FROM outcome AS done JOIN work AS its ON its.id = done.work WHERE done.outcome = 'withdrawn' "
    f"AND its.station != '' AND NOT EXISTS (SELECT 1 FROM release WHERE station = its.station "
    f"AND entry > done.entry AND {STANDS})"
)
"""Works that took a station out of service which nobody has released since."""
_OLD_WORK = (
    "SELECT id FROM work WHERE visit IN old_visit "
    f"OR (visit IS NULL AND at < :before AND (NOT {STANDS} OR (id IN ({_ENDED}) AND id NOT IN ({_STILL_OFF}))))"
)
_OLD = (
    ("old_visit", _OLD_VISIT),
    ("old_work", _OLD_WORK),
    ("old_question", f"SELECT id FROM question WHERE {_OF_VISIT}"),
)
_LOOSE = "work IN old_work OR visit IN old_visit OR (work IS NULL AND visit IS NULL AND at < :before)"
_STILL_HELD = " UNION ALL ".join(
    f"SELECT entry FROM {kind_name(kind)} WHERE entry IS NOT NULL"
    + (" AND id NOT IN (SELECT id FROM old_visit)" if kind is Visit else "")
    for kind in KINDS
    if "entry" in kind._fields and kind is not Undo
)
_OLD_ENTRY = f"({_OF_VISIT}) AND id NOT IN ({_STILL_HELD})"
_PURGED = (
    ("remark", _LOOSE),
    ("photo", _LOOSE),
    ("count", _OF_VISIT),
    ("incident", _OF_VISIT),
    ("swap", _LOOSE),
    ("arrangement", _OF_VISIT),
    ("release", _LOOSE),
    ("escalation", _LOOSE),
    ("part", _LOOSE),
    ("outcome", "work IN old_work OR entry IN (SELECT id FROM entry WHERE visit IN old_visit)"),
    ("act", "work IN old_work"),
    ("work", "id IN old_work"),
    ("feedback", "question IN old_question"),
    ("question", "id IN old_question"),
    ("sighting", "visit IN old_visit"),
    ("switchedoff", "visit IN old_visit"),
    ("arrival", "visit IN old_visit"),
    ("closing", "visit IN old_visit"),
    ("undo", f"entry IN (SELECT id FROM entry WHERE {_OLD_ENTRY})"),
    ("entry", _OLD_ENTRY),
    ("visit", "id IN old_visit"),
)


def erase_rows(db: sqlite3.Connection, before: str, keep: Collection[int]) -> dict[str, int]:
    """Delete what was recorded before a time, but for the visits to ``keep``; return how many of each kind went."""
    gone = {}
    db.execute("CREATE TEMP TABLE kept_visit (id INTEGER PRIMARY KEY)")
    db.executemany("INSERT INTO kept_visit VALUES (?)", [(visit,) for visit in set(keep)])
    for name, rows in _OLD:
        db.execute(f"CREATE TEMP TABLE {name} AS {rows}", {"before": before})
    for table, condition in _PURGED:
        gone[table] = db.execute(f"DELETE FROM {table} WHERE {condition}", {"before": before}).rowcount
    for name in ("kept_visit", *(name for name, _ in _OLD)):
        db.execute(f"DROP TABLE temp.{name}")
    return gone
