"""Targets that are handed what nobody would write; ``python -m tests.fuzz`` goes round them for as long as told."""
