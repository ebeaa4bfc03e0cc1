"""The screen on which questions are labelled."""
