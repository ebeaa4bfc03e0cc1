"""The terminal screen."""
