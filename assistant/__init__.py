"""Offline assistant that answers from procedure notes for demo stations."""
