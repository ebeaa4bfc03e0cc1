"""The rep's visit: working through notes, the round, parts, figures, the report."""
