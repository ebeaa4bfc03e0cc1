"""How a journal's tables came to be: named steps that are only ever added to."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["ADDED", "MIGRATIONS"]

_FIRST = """
CREATE TABLE visit (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    store TEXT NOT NULL, rep TEXT NOT NULL) STRICT;
CREATE TABLE closing (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    visit INTEGER NOT NULL UNIQUE REFERENCES visit, remark TEXT NOT NULL) STRICT;
CREATE TABLE sighting (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    visit INTEGER NOT NULL REFERENCES visit, station TEXT NOT NULL, result TEXT NOT NULL, model TEXT NOT NULL,
    condition TEXT NOT NULL, note TEXT NOT NULL) STRICT;
CREATE TABLE question (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    text TEXT NOT NULL, decision TEXT NOT NULL, about TEXT NOT NULL, note TEXT NOT NULL, options TEXT NOT NULL,
    read_as TEXT NOT NULL, confidence REAL NOT NULL, pack TEXT NOT NULL, visit INTEGER REFERENCES visit) STRICT;
CREATE TABLE feedback (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    question INTEGER NOT NULL REFERENCES question, verdict TEXT NOT NULL, remark TEXT NOT NULL) STRICT;
CREATE TABLE work (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    note TEXT NOT NULL, title TEXT NOT NULL, action TEXT NOT NULL, revision INTEGER NOT NULL,
    minutes INTEGER NOT NULL, station TEXT NOT NULL, condition TEXT NOT NULL, visit INTEGER REFERENCES visit,
    parent INTEGER) STRICT;
CREATE TABLE act (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    work INTEGER NOT NULL REFERENCES work, act TEXT NOT NULL, step INTEGER NOT NULL, text TEXT NOT NULL,
    reason TEXT NOT NULL, choice TEXT NOT NULL, to_step INTEGER, to_note TEXT NOT NULL,
    seconds INTEGER NOT NULL) STRICT;
CREATE TABLE outcome (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    work INTEGER NOT NULL UNIQUE REFERENCES work, outcome TEXT NOT NULL, minutes REAL NOT NULL,
    remark TEXT NOT NULL) STRICT;
CREATE TABLE part (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    part TEXT NOT NULL, use TEXT NOT NULL, quantity INTEGER NOT NULL, station TEXT NOT NULL,
    visit INTEGER REFERENCES visit, work INTEGER REFERENCES work) STRICT;
CREATE TABLE escalation (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    reason TEXT NOT NULL, station TEXT NOT NULL, note TEXT NOT NULL, job TEXT NOT NULL, contact TEXT NOT NULL,
    due TEXT NOT NULL, visit INTEGER REFERENCES visit, work INTEGER REFERENCES work) STRICT;
CREATE TABLE photo (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    name TEXT NOT NULL, station TEXT NOT NULL, shows TEXT NOT NULL,
    visit INTEGER REFERENCES visit, work INTEGER REFERENCES work) STRICT;
CREATE TABLE remark (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    text TEXT NOT NULL, station TEXT NOT NULL,
    visit INTEGER REFERENCES visit, work INTEGER REFERENCES work) STRICT;
CREATE INDEX act_of_work ON act (work);
"""

_WHOLE_DAY = """
CREATE TABLE entry (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    says TEXT NOT NULL, visit INTEGER REFERENCES visit) STRICT;
CREATE TABLE undo (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    entry INTEGER NOT NULL UNIQUE REFERENCES entry) STRICT;
CREATE TABLE arrival (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    visit INTEGER NOT NULL REFERENCES visit, allowed_by TEXT NOT NULL, remark TEXT NOT NULL, entry INTEGER) STRICT;
CREATE TABLE switchedoff (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    visit INTEGER NOT NULL REFERENCES visit, station TEXT NOT NULL, reason TEXT NOT NULL, entry INTEGER) STRICT;
CREATE TABLE release (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    station TEXT NOT NULL, by TEXT NOT NULL, day TEXT NOT NULL, number TEXT NOT NULL,
    visit INTEGER REFERENCES visit, work INTEGER REFERENCES work, entry INTEGER) STRICT;
CREATE TABLE arrangement (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    station TEXT NOT NULL, point TEXT NOT NULL, owner TEXT NOT NULL, due TEXT NOT NULL,
    visit INTEGER REFERENCES visit, entry INTEGER) STRICT;
CREATE TABLE swap (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    station TEXT NOT NULL, unit TEXT NOT NULL, taken_out TEXT NOT NULL, put_in TEXT NOT NULL,
    visit INTEGER REFERENCES visit, work INTEGER REFERENCES work, entry INTEGER) STRICT;
CREATE TABLE incident (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    incident TEXT NOT NULL, text TEXT NOT NULL, station TEXT NOT NULL, told TEXT NOT NULL,
    visit INTEGER REFERENCES visit, entry INTEGER) STRICT;
CREATE TABLE count (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    part TEXT NOT NULL, quantity INTEGER NOT NULL, visit INTEGER REFERENCES visit, entry INTEGER) STRICT;
ALTER TABLE visit ADD COLUMN entry INTEGER;
ALTER TABLE sighting ADD COLUMN plays TEXT NOT NULL DEFAULT '';
ALTER TABLE sighting ADD COLUMN entry INTEGER;
ALTER TABLE work ADD COLUMN entry INTEGER;
ALTER TABLE part ADD COLUMN entry INTEGER;
ALTER TABLE escalation ADD COLUMN entry INTEGER;
ALTER TABLE photo ADD COLUMN copy TEXT NOT NULL DEFAULT '';
ALTER TABLE photo ADD COLUMN entry INTEGER;
ALTER TABLE remark ADD COLUMN entry INTEGER;
CREATE TABLE closing_again (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    visit INTEGER NOT NULL REFERENCES visit, remark TEXT NOT NULL, taken_by TEXT NOT NULL DEFAULT '',
    signed TEXT NOT NULL DEFAULT '', next_visit TEXT NOT NULL DEFAULT '', entry INTEGER) STRICT;
INSERT INTO sqlite_sequence SELECT 'closing_again', seq FROM sqlite_sequence WHERE name = 'closing';
INSERT INTO closing_again (id, at, visit, remark) SELECT id, at, visit, remark FROM closing;
DROP TABLE closing;
ALTER TABLE closing_again RENAME TO closing;
CREATE TABLE outcome_again (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL,
    work INTEGER NOT NULL REFERENCES work, outcome TEXT NOT NULL, minutes REAL NOT NULL,
    remark TEXT NOT NULL, entry INTEGER) STRICT;
INSERT INTO sqlite_sequence SELECT 'outcome_again', seq FROM sqlite_sequence WHERE name = 'outcome';
INSERT INTO outcome_again (id, at, work, outcome, minutes, remark) SELECT id, at, work, outcome, minutes, remark
    FROM outcome;
DROP TABLE outcome;
ALTER TABLE outcome_again RENAME TO outcome;
CREATE INDEX outcome_of_work ON outcome (work);
"""
"""Entries and their undoing, and the rest of a rep's day. An outcome or a closing may be taken back and made again, so
that the two tables no longer hold one row a work or a visit: the recorder sees to it, within its transaction."""

_LOOK_UPS = """
CREATE INDEX visit_by_store ON visit (store);
CREATE INDEX closing_by_visit ON closing (visit);
CREATE INDEX arrival_by_visit ON arrival (visit);
CREATE INDEX switchedoff_by_visit ON switchedoff (visit);
CREATE INDEX sighting_by_visit ON sighting (visit);
CREATE INDEX sighting_by_station ON sighting (station);
CREATE INDEX sighting_by_entry ON sighting (entry);
CREATE INDEX question_by_visit ON question (visit);
CREATE INDEX feedback_by_question ON feedback (question);
CREATE INDEX work_by_visit ON work (visit);
CREATE INDEX work_by_station ON work (station);
CREATE INDEX work_by_parent ON work (parent);
CREATE INDEX work_by_entry ON work (entry);
CREATE INDEX outcome_by_entry ON outcome (entry);
CREATE INDEX part_by_visit ON part (visit);
CREATE INDEX part_by_work ON part (work);
CREATE INDEX escalation_by_visit ON escalation (visit);
CREATE INDEX escalation_by_work ON escalation (work);
CREATE INDEX release_by_visit ON release (visit);
CREATE INDEX release_by_station ON release (station);
CREATE INDEX release_by_work ON release (work);
CREATE INDEX arrangement_by_visit ON arrangement (visit);
CREATE INDEX swap_by_visit ON swap (visit);
CREATE INDEX swap_by_work ON swap (work);
CREATE INDEX incident_by_visit ON incident (visit);
CREATE INDEX count_by_visit ON count (visit);
CREATE INDEX photo_by_visit ON photo (visit);
CREATE INDEX photo_by_work ON photo (work);
CREATE INDEX remark_by_visit ON remark (visit);
CREATE INDEX remark_by_work ON remark (work);
CREATE INDEX entry_by_visit ON entry (visit);
CREATE INDEX entry_by_at ON entry (at);
"""
"""What is looked up while a rep waits, and what erasing has to find, without reading whole tables."""

MIGRATIONS: tuple[tuple[str, str], ...] = (
    ("first-tables", _FIRST),
    ("whole-day", _WHOLE_DAY),
    ("look-ups", _LOOK_UPS),
)
"""(name, statements each ended by a semicolon at the end of a line); one once shipped is never changed or taken out."""

ADDED: Mapping[str, Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "whole-day": MappingProxyType(
            {
                "visit": ("entry",),
                "closing": ("taken_by", "signed", "next_visit", "entry"),
                "sighting": ("plays", "entry"),
                "work": ("entry",),
                "outcome": ("entry",),
                "part": ("entry",),
                "escalation": ("entry",),
                "photo": ("copy", "entry"),
                "remark": ("entry",),
            }
        )
    }
)
"""The fields that a migration added to tables which were there before it; a record from before it has none of them."""
