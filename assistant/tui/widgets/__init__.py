"""Widgets of the terminal application."""
