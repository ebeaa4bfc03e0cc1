"""The arithmetic of ranking."""
