"""The author's and QA's screens."""
