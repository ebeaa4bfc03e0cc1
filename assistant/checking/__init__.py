"""The author's check of the notes: rules, findings, waivers, reports."""
