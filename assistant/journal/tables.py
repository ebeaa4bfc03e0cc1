"""The tables of a journal as its migrations make them, so that an opening need not make them to compare."""

from __future__ import annotations

__all__ = ["TABLES"]

TABLES = """
index|act_of_work|act|CREATE INDEX act_of_work ON act (work)
index|arrangement_by_visit|arrangement|CREATE INDEX arrangement_by_visit ON arrangement (visit)
index|arrival_by_visit|arrival|CREATE INDEX arrival_by_visit ON arrival (visit)
index|closing_by_visit|closing|CREATE INDEX closing_by_visit ON closing (visit)
index|count_by_visit|count|CREATE INDEX count_by_visit ON count (visit)
index|entry_by_at|entry|CREATE INDEX entry_by_at ON entry (at)
index|entry_by_visit|entry|CREATE INDEX entry_by_visit ON entry (visit)
index|escalation_by_visit|escalation|CREATE INDEX escalation_by_visit ON escalation (visit)
index|escalation_by_work|escalation|CREATE INDEX escalation_by_work ON escalation (work)
index|feedback_by_question|feedback|CREATE INDEX feedback_by_question ON feedback (question)
index|incident_by_visit|incident|CREATE INDEX incident_by_visit ON incident (visit)
index|outcome_by_entry|outcome|CREATE INDEX outcome_by_entry ON outcome (entry)
index|outcome_of_work|outcome|CREATE INDEX outcome_of_work ON outcome (work)
index|part_by_visit|part|CREATE INDEX part_by_visit ON part (visit)
index|part_by_work|part|CREATE INDEX part_by_work ON part (work)
index|photo_by_visit|photo|CREATE INDEX photo_by_visit ON photo (visit)
index|photo_by_work|photo|CREATE INDEX photo_by_work ON photo (work)
index|question_by_visit|question|CREATE INDEX question_by_visit ON question (visit)
index|release_by_station|release|CREATE INDEX release_by_station ON release (station)
index|release_by_visit|release|CREATE INDEX release_by_visit ON release (visit)
index|release_by_work|release|CREATE INDEX release_by_work ON release (work)
index|remark_by_visit|remark|CREATE INDEX remark_by_visit ON remark (visit)
index|remark_by_work|remark|CREATE INDEX remark_by_work ON remark (work)
index|sighting_by_entry|sighting|CREATE INDEX sighting_by_entry ON sighting (entry)
index|sighting_by_station|sighting|CREATE INDEX sighting_by_station ON sighting (station)
index|sighting_by_visit|sighting|CREATE INDEX sighting_by_visit ON sighting (visit)
index|sqlite_autoindex_about_1|about|
index|sqlite_autoindex_undo_1|undo|
index|swap_by_visit|swap|CREATE INDEX swap_by_visit ON swap (visit)
index|swap_by_work|swap|CREATE INDEX swap_by_work ON swap (work)
index|switchedoff_by_visit|switchedoff|CREATE INDEX switchedoff_by_visit ON switchedoff (visit)
index|visit_by_store|visit|CREATE INDEX visit_by_store ON visit (store)
index|work_by_entry|work|CREATE INDEX work_by_entry ON work (entry)
index|work_by_parent|work|CREATE INDEX work_by_parent ON work (parent)
index|work_by_station|work|CREATE INDEX work_by_station ON work (station)
index|work_by_visit|work|CREATE INDEX work_by_visit ON work (visit)
table|about|about|CREATE TABLE about (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT
table|act|act|CREATE TABLE act (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, work INTEGER NOT NULL REFERENCES work, act TEXT NOT NULL, step INTEGER NOT NULL, text TEXT NOT NULL, reason TEXT NOT NULL, choice TEXT NOT NULL, to_step INTEGER, to_note TEXT NOT NULL, seconds INTEGER NOT NULL) STRICT
table|arrangement|arrangement|CREATE TABLE arrangement (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, station TEXT NOT NULL, point TEXT NOT NULL, owner TEXT NOT NULL, due TEXT NOT NULL, visit INTEGER REFERENCES visit, entry INTEGER) STRICT
table|arrival|arrival|CREATE TABLE arrival (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, visit INTEGER NOT NULL REFERENCES visit, allowed_by TEXT NOT NULL, remark TEXT NOT NULL, entry INTEGER) STRICT
table|closing|closing|CREATE TABLE closing (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, visit INTEGER NOT NULL REFERENCES visit, remark TEXT NOT NULL, taken_by TEXT NOT NULL DEFAULT '', signed TEXT NOT NULL DEFAULT '', next_visit TEXT NOT NULL DEFAULT '', entry INTEGER) STRICT
table|count|count|CREATE TABLE count (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, part TEXT NOT NULL, quantity INTEGER NOT NULL, visit INTEGER REFERENCES visit, entry INTEGER) STRICT
table|entry|entry|CREATE TABLE entry (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, says TEXT NOT NULL, visit INTEGER REFERENCES visit) STRICT
table|escalation|escalation|CREATE TABLE escalation (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, reason TEXT NOT NULL, station TEXT NOT NULL, note TEXT NOT NULL, job TEXT NOT NULL, contact TEXT NOT NULL, due TEXT NOT NULL, visit INTEGER REFERENCES visit, work INTEGER REFERENCES work, entry INTEGER) STRICT
table|feedback|feedback|CREATE TABLE feedback (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, question INTEGER NOT NULL REFERENCES question, verdict TEXT NOT NULL, remark TEXT NOT NULL) STRICT
table|incident|incident|CREATE TABLE incident (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, incident TEXT NOT NULL, text TEXT NOT NULL, station TEXT NOT NULL, told TEXT NOT NULL, visit INTEGER REFERENCES visit, entry INTEGER) STRICT
table|migration|migration|CREATE TABLE migration (id INTEGER PRIMARY KEY, name TEXT NOT NULL, at TEXT NOT NULL) STRICT
table|outcome|outcome|CREATE TABLE outcome (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, work INTEGER NOT NULL REFERENCES work, outcome TEXT NOT NULL, minutes REAL NOT NULL, remark TEXT NOT NULL, entry INTEGER) STRICT
table|part|part|CREATE TABLE part (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, part TEXT NOT NULL, use TEXT NOT NULL, quantity INTEGER NOT NULL, station TEXT NOT NULL, visit INTEGER REFERENCES visit, work INTEGER REFERENCES work, entry INTEGER) STRICT
table|photo|photo|CREATE TABLE photo (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, name TEXT NOT NULL, station TEXT NOT NULL, shows TEXT NOT NULL, visit INTEGER REFERENCES visit, work INTEGER REFERENCES work, copy TEXT NOT NULL DEFAULT '', entry INTEGER) STRICT
table|question|question|CREATE TABLE question (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, text TEXT NOT NULL, decision TEXT NOT NULL, about TEXT NOT NULL, note TEXT NOT NULL, options TEXT NOT NULL, read_as TEXT NOT NULL, confidence REAL NOT NULL, pack TEXT NOT NULL, visit INTEGER REFERENCES visit) STRICT
table|release|release|CREATE TABLE release (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, station TEXT NOT NULL, by TEXT NOT NULL, day TEXT NOT NULL, number TEXT NOT NULL, visit INTEGER REFERENCES visit, work INTEGER REFERENCES work, entry INTEGER) STRICT
table|remark|remark|CREATE TABLE remark (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, text TEXT NOT NULL, station TEXT NOT NULL, visit INTEGER REFERENCES visit, work INTEGER REFERENCES work, entry INTEGER) STRICT
table|sighting|sighting|CREATE TABLE sighting (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, visit INTEGER NOT NULL REFERENCES visit, station TEXT NOT NULL, result TEXT NOT NULL, model TEXT NOT NULL, condition TEXT NOT NULL, note TEXT NOT NULL, plays TEXT NOT NULL DEFAULT '', entry INTEGER) STRICT
table|sqlite_sequence|sqlite_sequence|CREATE TABLE sqlite_sequence(name,seq)
table|swap|swap|CREATE TABLE swap (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, station TEXT NOT NULL, unit TEXT NOT NULL, taken_out TEXT NOT NULL, put_in TEXT NOT NULL, visit INTEGER REFERENCES visit, work INTEGER REFERENCES work, entry INTEGER) STRICT
table|switchedoff|switchedoff|CREATE TABLE switchedoff (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, visit INTEGER NOT NULL REFERENCES visit, station TEXT NOT NULL, reason TEXT NOT NULL, entry INTEGER) STRICT
table|undo|undo|CREATE TABLE undo (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, entry INTEGER NOT NULL UNIQUE REFERENCES entry) STRICT
table|visit|visit|CREATE TABLE visit (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, store TEXT NOT NULL, rep TEXT NOT NULL, entry INTEGER) STRICT
table|work|work|CREATE TABLE work (id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, note TEXT NOT NULL, title TEXT NOT NULL, action TEXT NOT NULL, revision INTEGER NOT NULL, minutes INTEGER NOT NULL, station TEXT NOT NULL, condition TEXT NOT NULL, visit INTEGER REFERENCES visit, parent INTEGER, entry INTEGER) STRICT
"""
"""A row a line: type, name, table and statement, see ``_plain_table``; a test tells when a migration has changed them."""
