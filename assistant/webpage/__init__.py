"""Pages that need no other file and run nothing."""

from assistant.webpage.shell import safe, webpage

__all__ = ["safe", "webpage"]
