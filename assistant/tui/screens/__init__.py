"""Screens of the terminal application."""
