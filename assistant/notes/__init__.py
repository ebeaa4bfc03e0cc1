"""From Markdown files to notes."""
