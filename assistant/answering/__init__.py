"""From a question to an answer."""
