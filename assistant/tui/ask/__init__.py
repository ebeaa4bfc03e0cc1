"""The screen that a rep asks on."""
