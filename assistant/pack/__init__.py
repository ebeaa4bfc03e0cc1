"""Compiled notes: one SQLite file."""
