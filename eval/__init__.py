"""Labelled questions, their figures, and what measures the program."""
