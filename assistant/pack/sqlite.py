"""`sqlite3` as pack and journal need it, without its half in Python, which takes as long to load as to read a pack.

That half names what is in the other one, and lets values of `datetime` be stored, of which there are none here.
"""

from __future__ import annotations

__all__ = ["sqlite3"]

TYPE_CHECKING = False
if TYPE_CHECKING:
    import sqlite3
else:
    try:
        import _sqlite3 as sqlite3
    except ImportError:
        import sqlite3
